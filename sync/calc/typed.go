package calc

import (
	"math"
	"slices"
	"strings"

	"witnessmark/sync/quantity"
)

// given reports whether anything was given under that name.
func (s *sheet) given(name string) bool {
	_, ok := s.in.Nominal[name]
	return ok || len(s.in.Items[name]) > 0
}

// optNumber reads an option that is a plain number; false when it is not
// given, or is none, which then is missing with its reason.
func (s *sheet) optNumber(name, what string) (float64, bool) {
	if s.in.Opts[name] == "" {
		return 0, false
	}
	q, err := quantity.Parse(quantity.Written{Text: s.in.Opts[name], Unit: "1"})
	if err != nil {
		s.missing(what + ": " + err.Error())
		return 0, false
	}
	return q.SI, true
}

// in is a value in a unit with its symbol, for the working.
func in(si float64, u quantity.Unit, dec int) string {
	return quantity.FormatStep(si, u, dec) + thin(u.Symbol)
}

// places is how many digits after the point show so many figures of a value.
func places(si float64, u quantity.Unit, figures int) int {
	x := math.Abs(u.FromStep(si))
	n := figures
	for p := 1.0; n > 0 && x >= p*0.9999999; p *= 10 {
		n--
	}
	return min(n, 9)
}

// wants lists as missing what a limit needs that was set and judged nothing:
// no value of that name was worked out.
func (s *sheet) wants(limit, value, what string) {
	_, set := s.in.Limits[limit]
	if set && !slices.ContainsFunc(s.Vals, func(v Val) bool { return strings.HasPrefix(v.Name, value) }) {
		s.missing(what)
	}
}

// verdictWords ends a sentence with what is outside, not proven or missing.
func (s *sheet) verdictWords() string {
	text := ""
	for _, of := range []Verdict{Outside, NotProven} {
		var labels []string
		for _, v := range s.Vals {
			if v.Verdict == of {
				labels = append(labels, strings.ToLower(v.Label)+" "+strings.TrimSpace(v.Text+"\u2009"+v.Unit))
			}
		}
		if len(labels) > 0 {
			text += " " + strings.ToUpper(string(of[:1])) + string(of[1:]) + ": " + strings.Join(labels, "; ") + "."
		}
	}
	if len(s.Missing) > 0 {
		text += " Missing: " + s.Missing[0] + "."
	}
	return text
}

// part is a contribution by its standard uncertainty.
func part(what string, u float64) quantity.Part { return quantity.Part{What: what, U: math.Abs(u)} }

// rise is a temperature that was meant as a difference, in kelvin.
func rise(m measured) float64 { return m.unit.Step(m.unit.From(m.si)) }

// temperature adds a temperature, which is shown in degrees: its nought is not
// that of the kelvin.
func (s *sheet) temperature(name, label string, si float64, parts []quantity.Part, u quantity.Unit, dec int, limit string) {
	v := s.value(name, label, si, parts, u, dec, "")
	v.Text = quantity.Format(si, u, dec)
	if l, ok := s.in.Limits[limit]; ok {
		s.judge(v, l, u, dec)
	}
}
