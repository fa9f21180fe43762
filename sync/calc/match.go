package calc

import (
	"cmp"
	"math"
	"slices"

	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
)

var matchSpec = Spec{
	Name: "match", Version: "1", Title: "Matching the speeds of the pair",
	Needs: []Need{
		{"left", "speed of the left engine at each station, several rounds", "speed", "item", false},
		{"right", "speed of the right engine at the same lever position", "speed", "item", false},
		{"left_exchanged", "left again, with the right one's tachometer", "speed", "item", true},
		{"right_exchanged", "right again, with the left one's tachometer", "speed", "item", true},
		{"idle", "idle speed wanted", "speed", "nominal", true},
		{"per_turn", "what one turn of the idle stop screw changes, measured on this engine", "speed", "nominal", true},
		{"droop", "speed from no load to full load on the governor", "speed", "nominal", true},
		{"torque", "full-load torque of one engine", "torque", "nominal", true},
		{"firings", "firings in one turn: 3 for six cylinders, four-stroke", "1", "nominal", true},
		{"beats", "beats counted by ear, where nobody has a tachometer", "1", "nominal", true},
		{"beat_time", "the time in which they were counted", "time", "nominal", true},
		{"governed", "the point that is the governed no-load speed; 'governed' when left out", "", "option", true},
		{"match", "difference allowed", "speed", "limit", true},
		{"match_percent", "difference allowed, of the speed; the larger of the two counts", "1", "limit", true},
		{"share", "share of full load that one engine may carry more", "1", "limit", true},
	},
	Above: "left right left_exchanged right_exchanged idle per_turn droop torque firings beats beat_time",
	run:   runMatch,
}

const cautionMatch = "Speed can run away while a linkage is off: a hand at the stop, the air plate ready, nobody in line with the flywheel. Adjust one engine at a time, hot, with its own rod back on before the next. The maker's governor settings come before any figure here."

// sides are both engines at every station.
type sides struct {
	left, right   string
	at            []station // by speed
	leftX, rightX []group   // the tachometers changed over
}

// station is both engines at one lever position; d is right less left.
type station struct {
	point   string
	l, r    measured
	d, mean float64
	parts   []quantity.Part
	dec     int
}

// runMatch: at each station Δ = right − left, against the larger of a plain
// limit and one in percent of the mean speed. The tachometers, exchanged, show
// their own difference, (Δ − Δ exchanged)/2.
func runMatch(s *sheet) {
	s.caution(cautionMatch)
	heard := s.heard()
	p := s.abreast(heard)
	if len(p.at) == 0 {
		return
	}
	worst := 0
	for i := range p.at {
		s.exchanged(p, &p.at[i])
		v := s.station(p, p.at[i])
		w := s.Vals[slices.IndexFunc(s.Vals, func(x Val) bool { return x.Name == "difference."+p.at[worst].point })]
		if rank(v.Verdict) > rank(w.Verdict) || v.Verdict == w.Verdict && math.Abs(v.SI) > math.Abs(w.SI) {
			worst = i
		}
	}
	words := s.worstWords(p, worst) + s.stopOrRatio(p) + s.screws(p)
	s.loadShare(p)
	s.beat(p.at[0])
	s.says(words)
}

func rank(v Verdict) int {
	return slices.Index([]Verdict{Within, NoLimit, NotProven, Outside}, v)
}

// abreast reads both engines, station by station.
func (s *sheet) abreast(heard bool) sides {
	l, nameL := s.side("left", "left")
	r, nameR := s.side("right", "right")
	p := sides{left: nameL, right: nameR, leftX: s.groups("left_exchanged", nameL+", tachometers exchanged"), rightX: s.groups("right_exchanged", nameR+", tachometers exchanged")}
	for _, a := range l {
		b, ok := ofPoint(r, a.point)
		if !ok {
			s.missing("speed of the right engine" + atStation(a.point))
			continue
		}
		dec := min(a.dec, b.measured.decIn(a.unit))
		p.at = append(p.at, station{a.point, a.measured, b.measured, b.si - a.si, (b.si + a.si) / 2, difference(a.measured, b.measured), dec})
	}
	for _, b := range r {
		if _, ok := ofPoint(l, b.point); !ok {
			s.missing("speed of the left engine" + atStation(b.point))
		}
	}
	if len(l)+len(r) == 0 && !heard {
		s.missing("speed of both engines at a station")
	}
	order.By(p.at, func(a, b station) int { return cmp.Compare(a.mean, b.mean) })
	return p
}

// side reads one engine. All its readings bear one name: a reading of the
// other engine among them would spoil the pair without a trace.
func (s *sheet) side(name, what string) ([]group, string) {
	gs := s.groups(name, what)
	if len(gs) == 0 {
		return gs, what
	}
	for _, g := range gs {
		if g.label != gs[0].label {
			s.missing(what + ": readings of " + gs[0].label + " and of " + g.label + " on one side; say which engine it is")
			return nil, what
		}
	}
	if gs[0].label != "" {
		what = gs[0].label
	}
	return gs, what
}

func ofPoint(gs []group, point string) (group, bool) {
	i := slices.IndexFunc(gs, func(g group) bool { return g.point == point })
	if i < 0 {
		return group{}, false
	}
	return gs[i], true
}

func atStation(point string) string {
	if point == "" {
		return ""
	}
	return " at " + point
}

// exchanged takes the tachometers' own difference out of a station that was
// read again with the instruments changed over.
func (s *sheet) exchanged(p sides, st *station) {
	l, ok1 := ofPoint(p.leftX, st.point)
	r, ok2 := ofPoint(p.rightX, st.point)
	if !ok1 || !ok2 {
		return
	}
	if st.l.tool == st.r.tool && l.tool == r.tool && st.l.tool != l.tool {
		s.other(st, l, r)
		return
	}
	if st.l.tool != r.tool || st.r.tool != l.tool {
		s.missing("exchanged readings" + atStation(st.point) + " with the instruments really changed over: first " + st.l.tool + " and " + st.r.tool + ", then " + l.tool + " and " + r.tool)
		return
	}
	d2 := r.si - l.si
	own := slices.Concat(st.l.own, st.r.own, l.own, r.own)
	tools, u := (st.d-d2)/2, st.l.unit
	v := s.value("instruments."+st.point, "The tachometers differ"+atStation(st.point), tools, times(own, 0.5), u, st.dec, "")
	says := "innocent"
	if math.Abs(tools) > v.U {
		says = "not innocent: repeats tell " + v.UText
	}
	s.line("tachometers exchanged" + atStation(st.point) + ": " + quantity.FormatStep(st.d, u, st.dec) + ", then " + quantity.FormatStep(d2, u, st.dec) +
		"; half their sum is the engines', " + quantity.FormatStep((st.d+d2)/2, u, st.dec) + ", half their difference the tachometers', " + v.Text + ": " + says)
	st.d, st.parts = (st.d+d2)/2, times(own, 0.5)
}

// other takes the mean of two differences that were each read with one
// tachometer on both engines: what either of them reads too much cancels.
func (s *sheet) other(st *station, l, r group) {
	d2, u := r.si-l.si, st.l.unit
	own := times(slices.Concat(st.l.own, st.r.own, l.own, r.own), 0.5)
	tools := (l.si - st.l.si + r.si - st.r.si) / 2
	v := s.value("instruments."+st.point, "The tachometers differ"+atStation(st.point), tools, own, u, st.dec, "")
	says := "innocent"
	if math.Abs(st.d-d2) > float64(2*v.U) { // a difference of two differences, each with all four readings' parts in it
		says = "not innocent: repeats tell " + v.UText
	}
	s.line("tachometer changed on both engines" + atStation(st.point) + ": with " + st.l.tool + " " + quantity.FormatStep(st.d, u, st.dec) + ", with " + l.tool + " " + quantity.FormatStep(d2, u, st.dec) +
		"; each cancels in its own difference, and their mean is the engines', " + quantity.FormatStep((st.d+d2)/2, u, st.dec) + "; " + l.tool + " reads " + v.Text + " more: " + says)
	st.d, st.parts = (st.d+d2)/2, own
}

// station adds one station's difference, judged by its size.
func (s *sheet) station(p sides, st station) Val {
	u := st.l.unit
	share := st.d / st.mean
	s.line("difference" + atStation(st.point) + ", " + p.right + " − " + p.left + ": " + quantity.FormatStep(st.mean+float64(st.d/2), u, st.dec) + " − " +
		quantity.FormatStep(st.mean-float64(st.d/2), u, st.dec) + " = " + figureIn(st.d, u, st.dec) + ", " + figureIn(share, percent, 1) + " of the mean " + quantity.FormatStep(st.mean, u, st.dec+1))
	s.value("percent."+st.point, "Difference of the mean speed"+atStation(st.point), share, times(st.parts, 1/st.mean), percent, 1, "")
	v := s.value("difference."+st.point, "Difference"+atStation(st.point)+", "+p.right+" less "+p.left, st.d, st.parts, u, st.dec, "")
	if math.Abs(st.d) <= v.U {
		s.line("that is within what these readings can tell, ± " + v.UText)
	}
	if l, ok := s.larger(st); ok {
		s.judgeSize(v, l, u, st.dec)
	}
	return *v
}

// larger is the limit that counts at a station: the larger of the plain one
// and that in percent of the speed.
func (s *sheet) larger(st station) (Limit, bool) {
	plain, ok1 := s.in.Limits["match"]
	share, ok2 := s.in.Limits["match_percent"]
	if !ok2 || ok1 && plain.Accepted && !share.Accepted {
		return plain, ok1
	}
	u := st.l.unit
	_, part, _, why := bounds(share, percent)
	if why != "" || infinite(part) {
		s.missing("limit " + share.Name + ", in percent: " + why)
		return plain, ok1
	}
	allowed := float64(part * st.mean)
	if _, hi, _, why := bounds(plain, u); ok1 && why == "" && plain.Accepted == share.Accepted && hi >= allowed {
		return plain, true
	}
	share.Max = &quantity.Written{Text: quantity.FormatStep(allowed, u, st.dec+1), Unit: u.Code}
	s.line("allowed" + atStation(st.point) + ": " + figureIn(part, percent, 1) + " of " + quantity.FormatStep(st.mean, u, st.dec+1) + " = " + share.Max.String())
	return share, true
}
