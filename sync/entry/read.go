package entry

import (
	"bytes"

	"witnessmark/sync/jcs"
)

// Read reads one entry as sent. The error is ErrTooLarge or ErrMalformed, for
// a line that cannot be stored; anything else comes back, with Bad saying why
// it is not usable if it is not. The caller must not change raw afterwards.
func Read(raw []byte) (Entry, error) {
	if len(raw) > MaxEntry {
		return Entry{}, ErrTooLarge
	}
	if bytes.IndexByte(raw, '\n') >= 0 {
		return Entry{}, ErrMalformed
	}
	doc, err := jcs.Read(raw)
	if err != nil {
		return Entry{}, ErrMalformed
	}
	e, ok := envelope(doc.Value)
	if !ok {
		return Entry{}, ErrMalformed
	}
	e.Raw = raw
	e.ID = Sum(raw)
	switch {
	case !doc.Canonical:
		e.Bad = "its bytes are not in the agreed form, so it cannot be checked"
	case !doc.Whole:
		e.Bad = "it holds a number that is not whole; measured values are kept as text"
	default:
		e.Bad = check(e)
	}
	return e, nil
}

// envelope reads the fields around the body. It fails when they are not there
// or are not what they should be: nothing could be stored by such a link.
func envelope(v jcs.Value) (Entry, bool) {
	if v.Kind() != jcs.KindObject {
		return Entry{}, false
	}
	e := Entry{
		V: v.Get("v").Int64(), Job: JobID(v.Get("job").Text()), Log: LogID(v.Get("log").Text()),
		Seq: v.Get("seq").Int64(), Prev: ID(v.Get("prev").Text()), At: v.Get("at").Text(),
		By: v.Get("by").Text(), Kind: v.Get("kind").Text(), Body: v.Get("body"),
	}
	var okOver, okAfter bool
	e.Over, okOver = ids(v.Get("over"))
	e.After, okAfter = ids(v.Get("after"))
	ok := okOver && okAfter && e.V >= 1 && e.Seq >= 1 && isHex(string(e.Job), 32) && isHex(string(e.Log), 32) &&
		e.Kind != "" && (e.Seq == 1) == (e.Prev == "") && (e.Prev == "" || isHex(string(e.Prev), 64))
	return e, ok
}

func ids(v jcs.Value) ([]ID, bool) {
	if v.IsNull() {
		return nil, true
	}
	if v.Kind() != jcs.KindArray {
		return nil, false
	}
	out := make([]ID, 0, len(v.Items()))
	for _, it := range v.Items() {
		if !isHex(it.Text(), 64) {
			return nil, false
		}
		out = append(out, ID(it.Text()))
	}
	return out, true
}

func isHex(s string, n int) bool {
	if len(s) != n {
		return false
	}
	for i := 0; i < len(s); i++ {
		if c := s[i]; (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return false
		}
	}
	return true
}
