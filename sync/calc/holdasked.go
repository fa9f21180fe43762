package calc

import (
	"math"

	"witnessmark/sync/quantity"
)

// early is the part of a wanted time in which an end still counts as taken in time.
const early = 0.99

// HeldShort reports whether a test was ended well before the time wanted.
// What is no time is not short.
func HeldShort(held, wanted quantity.Written) bool {
	h, err1 := quantity.Parse(held)
	w, err2 := quantity.Parse(wanted)
	return err1 == nil && err2 == nil && h.Unit.Dim == quantity.Time && w.Unit.Dim == quantity.Time && h.SI < w.SI*early
}

// pressedBy compares what was put on with what the limit of a test asks for, by
// size, so that a vacuum counts with and without its sign: -1 for less, 1 for
// more, 0 for the same to the last digit that the limit prints, and for what is
// no pressure.
func pressedBy(on, asked quantity.Written) int {
	p, err1 := quantity.Parse(on)
	a, err2 := quantity.Parse(asked)
	if err1 != nil || err2 != nil || p.Unit.Dim != quantity.Pressure || a.Unit.Dim != quantity.Pressure {
		return 0
	}
	apart := math.Abs(p.SI) - math.Abs(a.SI)
	switch half := float64(a.Res/2) * 1.000001; { // what floats lose is no difference
	case apart < -half:
		return -1
	case apart > half:
		return 1
	}
	return 0
}

// NotAsAsked says where a hold test is not the one that its limit asks for: put
// on less, or held for less; such a test proves nothing, however little is
// lost. Any argument may be nil: not known, or not asked for.
// The words end without a stop.
func NotAsAsked(on, asked, held, askedTime *quantity.Written) []string {
	var out []string
	if on != nil && asked != nil && pressedBy(*on, *asked) < 0 {
		out = append(out, "tested at "+on.String()+", the limit asks for "+asked.String())
	}
	if held != nil && askedTime != nil && HeldShort(*held, *askedTime) {
		out = append(out, "held for "+held.String()+", the limit asks for "+askedTime.String())
	}
	return out
}

// OverAsked says that more is put on than the limit of a test asks for; "" when not.
func OverAsked(on, asked *quantity.Written) string {
	if on == nil || asked == nil || pressedBy(*on, *asked) <= 0 {
		return ""
	}
	return on.String() + " is on, more than the " + asked.String() + " that the limit asks for"
}

// asAsked takes 'within' from every value of a test that is not the one its
// limit asks for, and says why; what is outside stays so. Returns the
// sentence that stands first, "" where the test is as asked or nothing judges.
func (s *sheet) asAsked() string {
	short := NotAsAsked(s.writtenOf("start"), s.writtenOf("asked"), s.writtenOf("time"), s.writtenOf("asked_time"))
	if over := OverAsked(s.writtenOf("start"), s.writtenOf("asked")); over != "" {
		s.line(over)
	}
	judged := false
	for i := range s.Vals {
		v := &s.Vals[i]
		judged = judged || v.Verdict != NoLimit
		if len(short) > 0 && v.Verdict == Within {
			v.Verdict, v.Close = NotProven, false
		}
	}
	says := ""
	for _, why := range short {
		s.line(why)
		if judged {
			says += capital(why) + ": not proven. "
		}
	}
	return says
}

// writtenOf is an input that is one figure, as it was written; nil where there is none.
func (s *sheet) writtenOf(name string) *quantity.Written {
	if items := s.in.Items[name]; len(items) == 1 {
		return &items[0].V
	}
	if w, ok := s.in.Nominal[name]; ok {
		return &w
	}
	return nil
}
