package calc

import "witnessmark/sync/quantity"

var minutes = mustUnit("min")

// standardAir is the atmosphere where nobody read a barometer, Pa (ISO 2533).
const standardAir = 101325

// oneRead is one for what somebody reads off and types: it counts as read to
// its last digit.
func (s *sheet) oneRead(name, what string) (measured, bool) {
	return lastRead(s.one(name, what))
}

// maybeRead is oneRead for what may be left out.
func (s *sheet) maybeRead(name, what string) (measured, bool) {
	return lastRead(s.maybe(name, what))
}

func lastRead(m measured, ok bool) (measured, bool) {
	if ok && len(m.own) == 0 {
		m.own = []quantity.Part{{What: "resolution", U: quantity.Resolution(lastDigit(m))}}
	}
	return m, ok
}

// atmosphere is the pressure of the day, or the standard one, and says which.
func (s *sheet) atmosphere(u quantity.Unit) float64 {
	if m, ok := s.maybeRead("p_atm", "atmosphere"); ok {
		return m.si
	}
	s.line("atmosphere: standard, " + figureIn(standardAir, u, 3) + " (1.01325 bar), as nobody read a barometer")
	return standardAir
}

// figureIn is a value with its unit, for a line of working.
func figureIn(si float64, u quantity.Unit, dec int) string {
	return quantity.FormatStep(si, u, dec) + thin(u.Symbol)
}

// shownAs is a measured value with its unit; a temperature keeps its nought.
func shownAs(m measured, dec int) string {
	return text(m, dec) + thin(m.unit.Symbol)
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
	case v.Verdict == NoLimit && v.Limit.Accepted:
		return ": not judged"
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
