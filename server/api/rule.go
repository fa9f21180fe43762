package api

import (
	"net/http"
	"strings"
	"time"

	"witnessmark/server/access"
	"witnessmark/server/store"
)

// rule says who may use a route. The zero rule lets nobody in, so a route without one is shut, not open.
type rule int

const (
	shut         rule = iota
	open              // anybody
	cookie            // a paired phone's secret: only for buying access tokens
	firstMessage      // a socket whose first message carries an access token
	reads             // an access token of any role
	writes            // an access token of a lead or fitter
	leads             // an access token of a lead
	views             // the cookie of the link in the path
)

// who is the caller, as far as the rule asked.
type who struct {
	device store.Device
	ends   time.Time // of the token or cookie
	link   store.Link
	fresh  string // a new device secret to hand out
}

// identify applies a rule. Errors: access.ErrDenied, errRole.
func (s *server) identify(rl rule, r *http.Request) (who, error) {
	switch rl {
	case open, firstMessage:
		return who{}, nil
	case cookie:
		return s.byCookie(r)
	case reads, writes, leads:
		return s.byToken(rl, r)
	case views:
		return s.byView(r)
	}
	return who{}, access.ErrDenied
}

func (s *server) byCookie(r *http.Request) (who, error) {
	c, err := r.Cookie(s.deviceCookie(r))
	if err != nil {
		return who{}, access.ErrDenied
	}
	dev, fresh, err := s.Access.Enter(r.Context(), c.Value)
	return who{device: dev, fresh: fresh}, err
}

func (s *server) byToken(rl rule, r *http.Request) (who, error) {
	token, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
	if !ok {
		return who{}, access.ErrDenied
	}
	dev, ends, err := s.Access.Device(r.Context(), token)
	if err != nil {
		return who{}, err
	}
	if wait := s.limits.take("device "+string(dev.ID), deviceLimit); wait > 0 {
		return who{}, tooMany(wait)
	}
	if (rl == writes && !dev.Role.Writes()) || (rl == leads && dev.Role != store.RoleLead) {
		return who{}, errRole
	}
	return who{device: dev, ends: ends}, nil
}

func (s *server) byView(r *http.Request) (who, error) {
	c, err := r.Cookie(secureView)
	if err != nil {
		c, err = r.Cookie(plainView)
	}
	if err != nil {
		return who{}, access.ErrDenied
	}
	link, ends, err := s.Access.View(r.Context(), store.LinkID(r.PathValue("id")), c.Value)
	return who{link: link, ends: ends}, err
}
