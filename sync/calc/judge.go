package calc

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"witnessmark/sync/quantity"
)

// value adds a value, judged against the limit of that name if there is one.
func (s *sheet) value(name, label string, si float64, parts []quantity.Part, u quantity.Unit, dec int, limit string) *Val {
	return s.bounded("", name, label, si, parts, u, dec, limit)
}

// bounded is value for one that the readings may only bound: is is "at least",
// "at most" or "".
func (s *sheet) bounded(is, name, label string, si float64, parts []quantity.Part, u quantity.Unit, dec int, limit string) *Val {
	l, judged := s.in.Limits[limit]
	if judged {
		u, dec = s.asLimited(l, u, dec)
	}
	c, dof := quantity.Combine(parts)
	v := Val{Is: is, Name: name, Label: label, SI: si, DoF: dof, K: quantity.Coverage(dof), Unit: u.Symbol, Glyph: Glyph{-1, -1, 500, 0}}
	v.U = float64(v.K * c)
	v.unnamed = slices.ContainsFunc(parts, noTool)
	v.below = s.belowNought(limit, si, u, dec)
	v.Text = strings.TrimSpace(is + " " + quantity.FormatStep(si, u, dec))
	v.UText = uncertainty(v.U, u, dec)
	if judged {
		s.judge(&v, l, u, dec)
	}
	s.Vals = append(s.Vals, v)
	return &s.Vals[len(s.Vals)-1]
}

// belowNought reports a gap of less than nothing, unless its limit means that, as of a press fit.
func (s *sheet) belowNought(limit string, si float64, u quantity.Unit, dec int) bool {
	if !slices.Contains(s.gaps, limit) || quantity.Quantise(u.FromStep(si), dec) >= 0 {
		return false
	}
	l, judged := s.in.Limits[limit]
	lo, hi, _, _ := bounds(l, u)
	return !judged || hi >= 0 && (lo >= 0 || math.IsInf(lo, -1))
}

// missingTool: what nobody knows the instrument of is uncertain by more than its last digit, and by how much nobody can say.
func (s *sheet) missingTool() {
	if what := "the instrument of each reading, for a limit with margin"; !slices.Contains(s.Missing, what) {
		s.missing(what)
	}
}

// warnBelow says once what is below nought.
func (s *sheet) warnBelow() {
	var names []string
	for _, v := range s.Vals {
		if v.below {
			names = append(names, v.Label+" "+v.Text+thin(v.Unit))
		}
	}
	if len(names) > 0 {
		s.caution("Below nought: " + strings.Join(names, "; ") + ". Either nothing is free to move there, or a size is wrong or of another part. Measure again before anything is put together.")
	}
}

// uncertainty shows U with as many digits as the value, or one more where it
// would vanish.
func uncertainty(u float64, unit quantity.Unit, dec int) string {
	if u == 0 {
		return ""
	}
	for d := dec; d < dec+4; d++ {
		if quantity.Quantise(unit.FromStep(u), d) > 0 {
			return quantity.FormatStep(u, unit, d)
		}
	}
	return quantity.FormatStep(u, unit, dec+4)
}

// judge gives v its verdict. A limit that nobody accepted is shown and judges
// nothing.
func (s *sheet) judge(v *Val, l Limit, u quantity.Unit, dec int) {
	s.use(l.Ref)
	v.Limit = &l
	lo, hi, decL, why := bounds(l, u)
	if why != "" {
		s.missing("limit " + l.Name + ": " + why)
		return
	}
	v.Glyph = glyph(lo, hi, v.SI, v.U)
	if v.below && math.IsInf(lo, -1) { // a limit without a least means from nought
		lo = 0
	}
	if !l.Accepted {
		s.line("limit " + limitWords(l) + ": not accepted by the lead yet, so it judges nothing")
		return
	}
	dec = max(dec, decL)
	q := func(x float64) float64 { return quantity.Quantise(u.FromStep(x), dec) }
	below, above := math.Inf(1), math.Inf(1) // how far inside each limit
	if !math.IsInf(lo, -1) {
		below = q(v.SI) - q(lo)
	}
	if !math.IsInf(hi, 1) {
		above = q(hi) - q(v.SI)
	}
	if v.Is == "" {
		v.Verdict, v.Close = verdict(math.Min(below, above), q(v.U), l.Margin)
	} else {
		v.Verdict = boundVerdict(v.Is, below, above)
	}
	if l.Margin && v.unnamed && v.Verdict != Outside {
		s.missingTool()
		v.Verdict = Incomplete
	}
	s.line(v.Label + " " + v.Text + against(v, l))
}

// judgeSize judges a difference by its size, whichever way it goes.
func (s *sheet) judgeSize(v *Val, l Limit, u quantity.Unit, dec int) {
	judged := *v
	if judged.SI < 0 {
		judged.SI = -judged.SI
	}
	s.judge(&judged, l, u, dec)
	v.Verdict, v.Close, v.Limit, v.Glyph = judged.Verdict, judged.Close, judged.Limit, judged.Glyph
}

// verdict: inside is how far the value lies inside its nearest limit, in steps
// like u. With margin it follows ISO 14253-1: what lies within U of the limit,
// on either side, is not proven.
func verdict(inside, u float64, margin bool) (Verdict, bool) {
	switch {
	case margin && inside >= u, !margin && inside >= 0:
		return Within, !margin && inside < u
	case margin && inside > -u:
		return NotProven, false
	}
	return Outside, false
}

// boundVerdict judges a value of which only one end is known: it is within
// when that end keeps the only limit there is, outside when it is past the
// limit on its own side, and nothing is proven otherwise.
func boundVerdict(is string, below, above float64) Verdict {
	known, other := below, above // at least: the lower end is known
	if is == "at most" {
		known, other = above, below
	}
	switch {
	case other < 0:
		return Outside
	case known >= 0 && math.IsInf(other, 1):
		return Within
	}
	return NotProven
}

func against(v *Val, l Limit) string {
	text := thin(v.Unit) + ", limit " + limitWords(l)
	if v.below && l.Min == nil {
		text += " and not below nought"
	}
	if l.Margin {
		text += ", with margin (U = " + cmp.Or(v.UText, "0") + ", k = " + quantity.Fixed(v.K, 2) + ")"
	} else {
		text += ", as read"
	}
	text += ": " + string(v.Verdict)
	if v.Close {
		text += ", close (U = " + v.UText + ")"
	}
	return text
}

// bounds returns the limits in SI, infinite where there is none, and the
// digits that they are written with.
func bounds(l Limit, u quantity.Unit) (lo, hi float64, dec int, why string) {
	lo, hi = math.Inf(-1), math.Inf(1)
	if l.Min == nil && l.Max == nil {
		return lo, hi, 0, "it has neither a least nor a most"
	}
	for _, end := range []struct {
		w  *quantity.Written
		to *float64
	}{{l.Min, &lo}, {l.Max, &hi}} {
		if end.w == nil {
			continue
		}
		q, err := quantity.Parse(*end.w)
		if err != nil {
			return lo, hi, 0, err.Error()
		}
		switch {
		case q.Unit.Dim != u.Dim:
			return lo, hi, 0, "it is in " + unitWords(q.Unit) + ", the value is not"
		case q.Half > 0:
			return lo, hi, 0, "an end of it is one figure, not " + end.w.String()
		}
		*end.to = q.SI
		dec = max(dec, quantity.Decimals(q.Res, u))
	}
	if lo > hi {
		return lo, hi, 0, "its least, " + l.Min.String() + ", is above its most, " + l.Max.String()
	}
	return lo, hi, dec, ""
}

func limitWords(l Limit) string {
	switch {
	case l.Min != nil && l.Max != nil && l.Min.Unit == l.Max.Unit:
		return numberOf(*l.Min) + " to " + endWords(l.Max)
	case l.Min != nil && l.Max != nil:
		return endWords(l.Min) + " to " + endWords(l.Max)
	case l.Min != nil:
		return "at least " + endWords(l.Min)
	case l.Max != nil:
		return "at most " + endWords(l.Max)
	}
	return "not given"
}

// endWords is one end of a limit: that it is the least or the most is said
// already.
func endWords(w *quantity.Written) string {
	end := *w
	if boundIs(end.Is) != "" {
		end.Is = ""
	}
	return end.String()
}

func numberOf(w quantity.Written) string { return strings.Replace(w.Text, "-", "−", 1) }

// glyph draws the line of the limit glyph: both stops at 200 and 800, a lone
// upper one at 700 with nought at 100, a lone lower one at 300.
func glyph(lo, hi, v, u float64) Glyph {
	place := func(x float64) int { return int(math.Max(20, math.Min(980, math.Floor(x+0.5)))) }
	switch {
	case !math.IsInf(lo, -1) && !math.IsInf(hi, 1) && hi > lo:
		k := 600 / (hi - lo)
		return Glyph{200, 800, place(200 + float64((v-lo)*k)), bar(float64(u * k))}
	case !math.IsInf(hi, 1) && hi > 0:
		k := 600 / hi
		return Glyph{-1, 700, place(100 + float64(v*k)), bar(float64(u * k))}
	case !math.IsInf(lo, -1):
		span := math.Max(math.Abs(v-lo), float64(4*u))
		if span == 0 {
			return Glyph{300, -1, 300, 0}
		}
		return Glyph{300, -1, place(300 + float64((v-lo)*400)/span), bar(float64(u*400) / span)}
	}
	return Glyph{-1, -1, 500, 0}
}

func bar(x float64) int { return int(math.Max(0, math.Min(480, math.Floor(x+0.5)))) }

// decides is the value that keeps the work from going on, of those that are
// judged; the first one where none is.
func (s *sheet) decides() Val {
	at := -1
	for i, v := range s.Vals {
		if v.Limit != nil && (at < 0 || v.Verdict != s.Vals[at].Verdict && Worse(v.Verdict, s.Vals[at].Verdict) == v.Verdict) {
			at = i
		}
	}
	return s.Vals[max(at, 0)]
}

// sentence says the result in one plain line: the value that decides, its
// verdict and the limit.
func (s *sheet) sentence() string {
	if len(s.Vals) == 0 {
		if len(s.Missing) > 0 {
			return "Not yet: " + s.Missing[0] + "."
		}
		return "Nothing to work out."
	}
	v := s.decides()
	what := v.Label + " "
	if c := v.Label[max(0, len(v.Label)-1):]; c >= "0" && c <= "9" {
		what = v.Label + ", " // "injector 1 177 bar" would be read as one figure
	}
	text := what + v.Text + thin(v.Unit)
	switch {
	case v.Limit == nil:
		text += ": no limit."
	case v.Verdict == NoLimit && v.Limit.Accepted:
		text += ": not judged."
	case v.Verdict == NoLimit:
		text += ": the limit is not accepted yet."
	case v.below && v.Verdict != Within:
		text += ": " + string(v.Verdict) + ", below nought, limit " + limitWords(*v.Limit) + "."
	case v.Verdict == NotProven && v.Is != "":
		text = "Too close to call: " + text + " says only so much, limit " + limitWords(*v.Limit) + ". Measure again for a figure."
	case v.Verdict == NotProven:
		text = "Too close to call: " + what + v.Text + " ± " + v.UText + thin(v.Unit) + " reaches over the limit, " + limitWords(*v.Limit) + ". Measure again with a finer instrument."
	case v.Close:
		text += ": within, close to the limit, " + limitWords(*v.Limit) + "."
	default:
		text += ": " + string(v.Verdict) + ", limit " + limitWords(*v.Limit) + "."
	}
	if len(s.Missing) > 0 {
		text += " Missing: " + s.Missing[0] + "."
	}
	return text
}
