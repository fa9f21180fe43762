package entry

import (
	"errors"
	"slices"

	"witnessmark/sync/jcs"
)

// Compose makes an entry from its fields: it checks them more strictly than
// Read does, as capture must, and returns the entry with its canonical bytes
// and id. The error says in the user's words what to put right.
func Compose(d Entry) (Entry, error) {
	if d.V == 0 {
		d.V = Version
	}
	d.Over, d.After = distinct(d.Over), distinct(d.After)
	raw := jcs.Obj(
		jcs.M("v", jcs.Int(d.V)), jcs.M("job", jcs.Str(string(d.Job))), jcs.M("log", jcs.Str(string(d.Log))),
		jcs.M("seq", jcs.Int(d.Seq)), jcs.M("prev", jcs.Opt(string(d.Prev))), jcs.M("at", jcs.Str(d.At)),
		jcs.M("by", jcs.Opt(d.By)), jcs.M("kind", jcs.Str(d.Kind)), jcs.M("over", list(d.Over)),
		jcs.M("after", list(d.After)), jcs.M("body", d.Body),
	).Append(nil)
	e, err := Read(raw)
	if err != nil {
		return Entry{}, err
	}
	if why := capture(e); why != "" {
		return Entry{}, errors.New(why)
	}
	return e, nil
}

func list(refs []ID) jcs.Value {
	if len(refs) == 0 {
		return jcs.Null()
	}
	return jcs.Strs(refs)
}

func distinct(refs []ID) []ID {
	var out []ID
	for _, r := range refs {
		if !slices.Contains(out, r) {
			out = append(out, r)
		}
	}
	return out
}

// capture returns what keeps e from being saved on a phone, or "".
func capture(e Entry) string {
	switch {
	case e.Bad != "":
		return e.Bad
	case !e.Known():
		return "this version does not know the kind of entry '" + e.Kind + "'"
	case e.V != Version:
		return "this version writes entries of another form"
	case !isTime(e.At):
		return "the time is missing: check the clock of this phone"
	case e.By == "" && e.Kind != "log":
		return "say who writes this"
	case len(e.Over) > MaxRefs || len(e.After) > MaxRefs:
		return "too many entries named at once: do it in two steps"
	case tooLong(e.Body):
		return "a text is too long: shorten it, or put it in two notes"
	}
	return ""
}

// isTime reports whether s has the shape of an RFC 3339 time, as in
// 2031-04-12T10:22:31+01:00.
func isTime(s string) bool {
	if len(s) < len("2006-01-02T15:04:05Z") || len(s) > 40 || s[10] != 'T' || s[13] != ':' || s[16] != ':' {
		return false
	}
	zone := s[19:]
	return IsDay(s[:10]) && (zone[len(zone)-1] == 'Z' || len(zone) >= 6)
}

// IsDay reports whether s has the shape of a day, as in 2031-04-12.
func IsDay(s string) bool {
	if len(s) != 10 || s[4] != '-' || s[7] != '-' {
		return false
	}
	for i := 0; i < len(s); i++ {
		if i != 4 && i != 7 && (s[i] < '0' || s[i] > '9') {
			return false
		}
	}
	return s[5:7] >= "01" && s[5:7] <= "12" && s[8:] >= "01" && s[8:] <= "31"
}

// tooLong walks only what was written by hand: a type sheet, which is not,
// is bounded by MaxEntry alone.
func tooLong(v jcs.Value) bool {
	if len(v.Text()) > MaxText {
		return true
	}
	if slices.ContainsFunc(v.Items(), tooLong) {
		return true
	}
	return slices.ContainsFunc(v.Members(), func(m jcs.Member) bool { return tooLong(m.Val) })
}
