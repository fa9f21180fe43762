package calc

import (
	"strings"

	"witnessmark/sync/quantity"
)

var minutes = mustUnit("min")

// standardAir is the atmosphere where nobody read a barometer, Pa (ISO 2533).
const standardAir = 101325

// oneIn is one for a value of one kind. A figure that somebody typed counts
// as read to its last digit.
func (s *sheet) oneIn(dim quantity.Dim, name, what string) (measured, bool) {
	if len(s.in.Items[name]) == 0 && s.in.Nominal[name].IsZero() {
		s.missing(what)
		return measured{}, false
	}
	return s.maybeIn(dim, name, what)
}

// maybeIn is oneIn for what may be left out.
func (s *sheet) maybeIn(dim quantity.Dim, name, what string) (measured, bool) {
	m, ok := s.maybe(name, what)
	switch {
	case !ok:
		return m, false
	case m.unit.Dim != dim:
		s.missing(what + ": " + m.text + " is not " + article(dim) + "; write it again in a unit of that kind")
		return m, false
	case m.is != "":
		s.missing(what + ": '" + m.text + "' bounds the value; a figure is needed")
		return m, false
	}
	if len(m.own) == 0 {
		m.own = []quantity.Part{{What: "resolution", U: quantity.Resolution(lastDigit(m))}}
	}
	return m, true
}

// kelvin is a temperature that can be.
func (s *sheet) kelvin(name, what string) (measured, bool) {
	m, ok := s.oneIn(quantity.Temperature, name, what)
	if ok && m.si <= 0 {
		s.missing(what + ": " + m.text + " is below the lowest temperature there is. Write it again")
		return m, false
	}
	return m, ok
}

// atmosphere is the pressure of the day, or the standard one, and says which.
func (s *sheet) atmosphere(u quantity.Unit) float64 {
	if m, ok := s.maybeIn(quantity.Pressure, "p_atm", "atmosphere"); ok {
		return m.si
	}
	s.line("atmosphere: standard, " + figureIn(standardAir, u, 3) + " (1.01325 bar), as nobody read a barometer")
	return standardAir
}

// figureIn is a value with its unit, for a line of working.
func figureIn(si float64, u quantity.Unit, dec int) string {
	text := quantity.FormatStep(si, u, dec)
	if u.Symbol != "" {
		text += "\u2009" + u.Symbol
	}
	return text
}

// shownAs is a measured value with its unit; a temperature keeps its nought.
func shownAs(m measured, dec int) string {
	return strings.TrimSuffix(text(m, dec)+"\u2009"+m.unit.Symbol, "\u2009")
}

// expanded is the expanded uncertainty of some contributions.
func expanded(parts []quantity.Part) float64 {
	u, dof := quantity.Combine(parts)
	return float64(quantity.Coverage(dof) * u)
}

// ruling says a value's verdict and limit, as the end of a sentence.
func ruling(v Val) string {
	switch {
	case v.Limit == nil:
		return ": no limit"
	case v.Verdict == NoLimit:
		return ": the limit is not accepted yet"
	case v.Verdict == NotProven:
		return ": not proven (± " + v.UText + "), limit " + limitWords(*v.Limit)
	case v.Close:
		return ": within, close to the limit, " + limitWords(*v.Limit)
	}
	return ": " + string(v.Verdict) + ", limit " + limitWords(*v.Limit)
}

// saysWorst says the value that decides, and what else there is to say.
func (s *sheet) saysWorst(more string) {
	for _, v := range s.Vals {
		s.Verdict = Worse(s.Verdict, v.Verdict)
	}
	s.Says = s.sentence() + more
}

// otherLimits says the verdicts of all judged values but one.
func (s *sheet) otherLimits(but string) string {
	words := ""
	for _, v := range s.Vals {
		if v.Name != but && v.Limit != nil {
			words += " " + v.Label + " " + v.Text + thin(v.Unit) + ruling(v) + "."
		}
	}
	return words
}

// says sets the sentence, and what is missing behind it.
func (s *sheet) says(text string) {
	if len(s.Missing) > 0 {
		text += " Missing: " + s.Missing[0] + "."
	}
	s.Says = text
}
