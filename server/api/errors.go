package api

import (
	"context"
	"errors"
	"math"
	"net/http"
	"strconv"
	"time"

	"witnessmark/server/access"
	"witnessmark/server/numbers"
	"witnessmark/server/office"
	"witnessmark/server/photos"
	"witnessmark/server/recordbook"
	"witnessmark/server/store"
)

// code is the wire's closed list (schema/openapi.yaml).
type code string

const (
	codeInvalid      code = "invalid"
	codeUnauthorized code = "unauthorized"
	codeNotFound     code = "not_found"
	codeConflict     code = "conflict"
	codeTooLarge     code = "too_large"
	codeUnavailable  code = "unavailable"
	codeInternal     code = "internal"
)

// failure is an error with its place on the wire. says is for people, in plain words with what to do.
type failure struct {
	status int
	code   code
	says   string
	retry  time.Duration // 0 = no Retry-After
}

func (f failure) Error() string { return f.says }

func invalid(says string) failure {
	return failure{status: http.StatusBadRequest, code: codeInvalid, says: says}
}

func tooLarge(says string) failure {
	return failure{status: http.StatusRequestEntityTooLarge, code: codeTooLarge, says: says}
}

func tooMany(wait time.Duration) failure {
	return failure{status: http.StatusTooManyRequests, code: codeUnavailable, says: "too much at once: wait a little, nothing is lost", retry: wait}
}

var (
	errRole = failure{status: http.StatusForbidden, code: codeUnauthorized,
		says: "this phone may not do that: ask the lead"}
	errOrigin = failure{status: http.StatusForbidden, code: codeUnauthorized,
		says: "this request comes from another site"}
)

// known maps the sentinels of the packages below to the wire. The first that matches counts.
var known = []struct {
	err  error
	fail failure
}{
	{access.ErrDenied, failure{status: http.StatusUnauthorized, code: codeUnauthorized,
		says: "not paired, or no longer: pair this phone again; what is on it stays"}},
	{access.ErrTries, failure{status: http.StatusTooManyRequests, code: codeUnauthorized, says: access.ErrTries.Error(), retry: 10 * time.Minute}},
	{access.ErrCode, failure{status: http.StatusUnauthorized, code: codeUnauthorized, says: access.ErrCode.Error()}},
	{access.ErrName, invalid(access.ErrName.Error())},
	{access.ErrRole, invalid(access.ErrRole.Error())},
	{access.ErrOwn, failure{status: http.StatusConflict, code: codeConflict, says: access.ErrOwn.Error()}},
	{photos.ErrName, invalid(photos.ErrName.Error())},
	{photos.ErrSize, tooLarge(photos.ErrSize.Error())},
	{photos.ErrChunk, tooLarge(photos.ErrChunk.Error())},
	{photos.ErrOffset, failure{status: http.StatusConflict, code: codeConflict, says: photos.ErrOffset.Error()}},
	{photos.ErrHash, failure{status: http.StatusConflict, code: codeConflict, says: photos.ErrHash.Error()}},
	{store.ErrNotFound, failure{status: http.StatusNotFound, code: codeNotFound, says: "there is no such thing here"}},
	{recordbook.ErrNoEngine, failure{status: http.StatusNotFound, code: codeNotFound, says: recordbook.ErrNoEngine.Error()}},
	{recordbook.ErrPaper, invalid(recordbook.ErrPaper.Error())},
	{recordbook.ErrNoBrowser, failure{status: http.StatusServiceUnavailable, code: codeUnavailable, says: recordbook.ErrNoBrowser.Error()}},
	{numbers.ErrNoFile, failure{status: http.StatusNotFound, code: codeNotFound, says: numbers.ErrNoFile.Error()}},
	{store.ErrFull, failure{status: http.StatusInsufficientStorage, code: codeUnavailable,
		says: "the server's disk is full: nothing was taken in, the phone keeps it; tell whoever looks after the server", retry: time.Minute}},
	{store.ErrAway, failure{status: http.StatusServiceUnavailable, code: codeUnavailable,
		says: "the server cannot reach its database: the phone keeps it and tries again by itself; tell whoever looks after the server if it goes on", retry: time.Second}},
}

// classify finds an error's place on the wire. ours says that it is this server's fault and somebody must look.
func classify(err error) (f failure, ours bool) {
	var ready failure
	var refusal photos.Refusal
	var day office.NoSuchDay
	var big *http.MaxBytesError
	switch {
	case errors.As(err, &ready):
		return ready, false
	case errors.As(err, &day):
		return invalid(day.Why), false
	case errors.As(err, &refusal):
		return failure{status: http.StatusUnprocessableEntity, code: codeInvalid, says: refusal.Why}, false
	case errors.As(err, &big):
		return tooLarge("the request is larger than " + strconv.FormatInt(big.Limit, 10) + " bytes"), false
	case errors.Is(err, context.Canceled):
		return failure{status: http.StatusServiceUnavailable, code: codeUnavailable, says: "the request was broken off"}, false
	}
	for _, k := range known {
		if errors.Is(err, k.err) {
			return k.fail, errors.Is(err, store.ErrFull) || errors.Is(err, store.ErrAway)
		}
	}
	return failure{status: http.StatusInternalServerError, code: codeInternal,
		says: "the server could not do this: nothing is lost, try again; tell the lead if it goes on"}, true
}

// fail is the one place where an error becomes a reply and a log line.
func (s *server) fail(w *replyWriter, r *http.Request, err error) {
	f, ours := classify(err)
	if ours {
		s.Log.Error("request", "method", r.Method, "route", r.Pattern, "err", err)
	}
	if w.status != 0 {
		// The reply has begun: cutting the connection is the only way to say that it is not whole.
		panic(http.ErrAbortHandler)
	}
	if f.retry > 0 {
		w.Header().Set("Retry-After", strconv.Itoa(int(math.Ceil(f.retry.Seconds()))))
	}
	body := map[string]any{"error": map[string]any{"code": f.code, "says": f.says}}
	if err := writeJSON(w, f.status, body); err != nil {
		s.Log.Error("write error reply", "err", err)
	}
}
