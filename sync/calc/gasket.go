package calc

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
)

var gasketSpec = Spec{
	Name: "gasket", Version: "4", Title: "Which gasket: the window of compressed thickness",
	Needs: append(slices.Clone(chamberNeeds),
		Need{"trial_bore", "opening of the gasket on trial, an engine, where it is not that of the gasket to be ordered", "length", "item", true},
		Need{"free", "free thickness of the lot, an engine, several spots", "length", "item", true},
		Need{"valve_clay", "clay between valve and piston, each valve as 2117/E3, several spots", "length", "item", true},
		Need{"ratio", "compression ratio allowed", "1", "limit", true},
		Need{"bump", "bump clearance allowed in any cylinder", "length", "limit", true},
		Need{"valve", "least valve-to-piston clearance", "length", "limit", true},
		Need{"compressed", "compressed thickness that the maker allows", "length", "limit", true},
		Need{"valve_angle", "degrees between valve and cylinder axis", "", "option", true}),
	Above: "bore stroke gasket_bore trial_bore compressed free bowl",
	Typed: "bowl recess protrusion compressed gasket_bore",
	run:   runGasket,
}

const cautionGasket = "A valve that meets a piston costs a valve, a piston and a rod: turn two full turns by hand before any start. What is calculated is then measured, with lead and clay. The maker's gasket and torque come first. Old sandwich gaskets hold asbestos."

// bound is one end that a limit puts to the compressed thickness.
type bound struct {
	t, u   float64 // m; u is the expanded uncertainty where the limit has margin
	who    string  // the cylinder or valve that limits
	limit  string  // in words
	lowest bool    // it bounds from below
}

// runGasket gathers every bound on the compressed thickness, over all
// cylinders and engines, and intersects them.
func runGasket(s *sheet) {
	s.caution(cautionGasket)
	g, ok := s.geometry()
	if !ok {
		return
	}
	mm := mustUnit("mm")
	opening := s.source("gasket_bore", "opening of the gasket to be ordered")
	var cs []chamber
	var ratios, rest []bound
	for _, c := range s.chambers(false) {
		if !s.take(&c.opening, opening, c.label) {
			continue
		}
		cs = append(cs, c)
		ratios = append(ratios, s.ratioBounds(g, c)...)
		rest = append(rest, s.bumpBounds(c)...)
	}
	rest = append(rest, append(s.valveBounds(), s.makerBounds()...)...)
	bounds := append(slices.Clip(ratios), rest...)
	from, to, ok := s.window(bounds, mm)
	if !ok {
		return
	}
	if from <= to {
		s.lots(from, to, s.trialWindows(g, cs, rest))
	}
	if len(cs) > 0 {
		s.chart(g, cs, bounds, from, to)
	}
}

// trialWindows returns the window of each engine's gasket on trial whose opening is another than that of the one to be ordered: its
// volume is another, and with it the ratio.
func (s *sheet) trialWindows(g geometry, cs []chamber, rest []bound) map[string][2]float64 {
	out := map[string][2]float64{}
	tried, squeezed := s.pooled("trial_bore", "opening of the gasket on trial"), s.pooled("compressed", "compressed thickness")
	for _, engine := range sorted(tried) {
		_, here := squeezed[engine]
		if !here || !slices.ContainsFunc(cs, func(c chamber) bool { return c.opening.si != tried[engine].si }) {
			continue
		}
		var ratios []bound
		for _, c := range cs {
			c.opening = tried[engine]
			ratios = append(ratios, s.ratioBounds(g, c)...)
		}
		lows, highs := ends(append(ratios, rest...)) // the window of the one to be ordered has both
		from, to := inward(lows[0].t+lows[0].u, true), inward(highs[0].t-highs[0].u, false)
		out[engine] = [2]float64{from, to}
		words := "none exists"
		if from <= to {
			words = hundredths(from) + " to " + hundredths(to)
		}
		s.line("with the opening of the gasket on trial, " + cylinderWords(engine) + ", the window is another: " + words)
	}
	return out
}

// open adds the two ends that a limit puts to a quantity, each mapped to a thickness t and what that is uncertain by.
func (s *sheet) open(name, who string, at func(x float64) (t float64, parts []quantity.Part), falls bool) []bound {
	l, ok := s.in.Limits[name]
	if !ok {
		return nil
	}
	s.use(l.Ref)
	if !l.Accepted {
		if words := "limit " + title(name) + " " + limitWords(l) + ": not accepted by the lead yet, so it bounds nothing"; !slices.Contains(s.Working, words) {
			s.line(words)
		}
		return nil
	}
	unit := mustUnit("mm")
	if name == "ratio" {
		unit = ratio1
	}
	lo, hi, _, why := bounds(l, unit)
	if why != "" {
		s.missing("limit " + l.Name + ": " + why)
		return nil
	}
	var out []bound
	for _, end := range []struct {
		x      float64
		lowest bool
		words  string
	}{{lo, !falls, "at least "}, {hi, falls, "at most "}} {
		if infinite(end.x) {
			continue
		}
		if name == "ratio" && end.x <= 1 {
			s.missing("limit " + l.Name + ": a compression ratio is more than 1")
			return nil
		}
		b := bound{who: who, lowest: end.lowest}
		t, parts := at(end.x)
		if b.t = t; l.Margin {
			b.u = s.margin(parts)
		}
		w := l.Min
		if end.words == "at most " {
			w = l.Max
		}
		b.limit = title(name) + " " + end.words + w.String()
		out = append(out, b)
	}
	return out
}

// margin is the expanded uncertainty, as far as it is known.
func (s *sheet) margin(parts []quantity.Part) float64 {
	if slices.ContainsFunc(parts, noTool) {
		s.missingTool()
	}
	u, dof := quantity.Combine(parts)
	return float64(quantity.Coverage(dof) * u)
}

func title(name string) string {
	switch name {
	case "ratio":
		return "compression ratio"
	case "bump":
		return "bump clearance"
	case "valve":
		return "valve to piston"
	}
	return "the maker's compressed thickness"
}

// ratioBounds: the ratio falls as the gasket gets thicker.
func (s *sheet) ratioBounds(g geometry, c chamber) []bound {
	a := area(c.opening.si)
	return s.open("ratio", c.label, func(r float64) (float64, []quantity.Part) {
		t := (g.swept.si/(r-1) - c.fixed(g)) / a
		return t, append(times(c.fixedParts(g), 1/a), scaled(c.opening, 2*t/c.opening.si)...)
	}, true)
}

func (s *sheet) bumpBounds(c chamber) []bound {
	return s.open("bump", c.label, func(x float64) (float64, []quantity.Part) { return x + c.protrusion.si, c.protrusion.all() }, false)
}

// valveBounds: clay was taken with the trial gasket; another gasket lifts the
// head along the cylinder, and the gap, taken square to the valve's head, by
// the cosine of the valve's angle.
func (s *sheet) valveBounds() []bound {
	spots := s.allSpots("valve_clay", "clay, valve to piston")
	if len(spots) == 0 {
		if l, ok := s.in.Limits["valve"]; ok && l.Accepted {
			s.missing("clay between valve and piston, for its limit")
		}
		return nil
	}
	squeeze := s.source("compressed", "compressed thickness of the trial gasket")
	angle, err := quantity.Parse(quantity.Written{Text: cmp.Or(s.in.Opts["valve_angle"], "0"), Unit: "deg"})
	if err != nil || angle.SI >= 80 || angle.SI <= -80 {
		s.missing("angle of the valves: a number of degrees from the cylinder's axis")
		return nil
	}
	cos := quantity.Cos(angle.SI)
	if angle.SI != 0 {
		s.line("valves lean by " + s.in.Opts["valve_angle"] + "°: the gap changes by " + quantity.Fixed(cos, 4) + " of the gasket's change")
	}
	var out []bound
	least := leastOf(spots)
	for _, v := range spots { // one that is less sure may bind before the least
		var t0 measured
		if !s.take(&t0, squeeze, v.label) {
			continue
		}
		bounds := s.open("valve", v.label, func(x float64) (float64, []quantity.Part) {
			return t0.si + (x-v.si)/cos, append(times(v.all(), 1/cos), t0.all()...)
		}, false)
		is := slices.ContainsFunc(least, func(g group) bool { return g.label == v.label && g.si == v.si })
		out = append(out, slices.DeleteFunc(bounds, func(b bound) bool { return !b.lowest && !is })...)
	}
	return out
}

// allSpots is every reading of a name by itself, named or not: of gaps there is no mean. In order, whatever the caller's.
func (s *sheet) allSpots(name, what string) []group {
	all := s.groupsApart(name, what)
	order.By(all, func(a, b group) int {
		return cmp.Or(cmp.Compare(a.label, b.label), cmp.Compare(a.point, b.point), cmp.Compare(a.items[0].Ref, b.items[0].Ref))
	})
	return all
}

// leastOf keeps the smallest spot of each label: the one that would touch.
func leastOf(spots []group) []group {
	var out []group
	for _, g := range spots {
		if n := len(out); n > 0 && out[n-1].label == g.label {
			if g.si < out[n-1].si {
				out[n-1] = g
			}
			continue
		}
		out = append(out, g)
	}
	return out
}

func (s *sheet) makerBounds() []bound {
	return s.open("compressed", "", func(x float64) (float64, []quantity.Part) { return x, nil }, false)
}

// window intersects the bounds, in hundredths of a millimetre, rounded inward.
// It reports false when the limits do not bound the thickness on both sides.
func (s *sheet) window(all []bound, mm quantity.Unit) (from, to float64, ok bool) {
	lows, highs := ends(all)
	if len(lows) == 0 || len(highs) == 0 {
		if len(s.Missing) == 0 {
			s.missing("limits that bound the gasket from below and from above")
		}
		return 0, 0, false
	}
	lo, hi := lows[0], highs[0]
	for _, b := range append(first(lows), first(highs)...) {
		s.line(b.words(mm))
	}
	from, to = inward(lo.t+lo.u, true), inward(hi.t-hi.u, false)
	if from > to {
		s.Verdict = Outside
		s.Says = "None exists, these limits collide: " + lo.limit + plain(lo.who) + " needs at least " + hundredths(from) + "\u2009mm compressed; " +
			hi.limit + plain(hi.who) + " allows at most " + hundredths(to) + "\u2009mm."
		s.line(s.Says)
		return from, to, true
	}
	best := math.Floor((from + to) / 2)
	s.value("from", "Thinnest, compressed", from*1e-5, nil, mm, 2, "")
	s.value("to", "Thickest, compressed", to*1e-5, nil, mm, 2, "")
	s.value("best", "Best, compressed", best*1e-5, nil, mm, 2, "")
	s.line("best: the middle of the window, farthest from both ends: " + hundredths(best) + "\u2009mm")
	s.Verdict = Within
	s.Says = "Between " + hundredths(from) + " and " + hundredths(to) + "\u2009mm compressed, " + s.everybody() + " every limit. Best " + hundredths(best) + "\u2009mm" + s.order(best) + "."
	s.Says += " The thin end is set by " + lo.limit + plain(lo.who) + ", the thick end by " + hi.limit + plain(hi.who) + "." + s.unlooked()
	return from, to, true
}

// unlooked names what the window was not held against: a gasket that keeps every
// limit there is may still meet a valve.
func (s *sheet) unlooked() string {
	var names []string
	for _, name := range []string{"ratio", "bump", "valve"} {
		if l, ok := s.in.Limits[name]; !ok || !l.Accepted {
			names = append(names, title(name))
		}
	}
	if len(names) == 0 {
		return ""
	}
	return " Not looked at, for no limit is accepted: " + strings.Join(names, ", ") + "."
}

func (s *sheet) everybody() string {
	var names []string
	for _, l := range s.cylinders() {
		if e := engineOf(l); e != "" && !slices.Contains(names, e) {
			names = append(names, e)
		}
	}
	if len(names) > 1 {
		return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1] + " meet"
	}
	return strings.Join(append(names, "meets"), " ")
}

// order says what free thickness to order, by the crush measured on each lot.
func (s *sheet) order(best float64) string {
	free, squeezed := s.pooled("free", "free thickness"), s.pooled("compressed", "compressed thickness")
	var labels []string
	for l := range free {
		labels = append(labels, l)
	}
	slices.Sort(labels)
	for _, l := range labels {
		t, ok := squeezed[l]
		if !ok || free[l].si <= t.si {
			continue
		}
		crush := (free[l].si - t.si) / free[l].si
		order := best * 1e-5 / (1 - crush)
		mm := mustUnit("mm")
		s.line("crush measured on " + l + ": (" + text(free[l], free[l].dec) + " − " + text(t, t.dec) + ") ÷ " + text(free[l], free[l].dec) +
			" = " + quantity.Fixed(crush*100, 1) + "\u2009%; free thickness to order: " + hundredths(best) + " ÷ (1 − " + quantity.Fixed(crush, 3) + ")")
		s.value("order", "Free thickness to order", order, nil, mm, 2, "")
		s.value("crush."+l, "Crush measured, "+l, crush, nil, percent, 1, "")
		return "; order " + quantity.FormatStep(order, mm, 2) + "\u2009mm free"
	}
	return ""
}

// lots says of each gasket whose compressed thickness was measured whether it
// lies in the window, or in that which own has for its opening.
func (s *sheet) lots(from, to float64, own map[string][2]float64) {
	squeezed := s.pooled("compressed", "compressed thickness")
	var labels []string
	for l := range squeezed {
		labels = append(labels, l)
	}
	slices.Sort(labels)
	for _, l := range labels {
		m, from, to, opening := squeezed[l], from, to, ""
		if w, ok := own[l]; ok {
			from, to, opening = w[0], w[1], " with its opening,"
		}
		v := s.value("lot."+l, "Gasket on trial, "+l, m.si, m.all(), m.unit, m.dec, "")
		n := quantity.Quantise(m.si*1e5, 0)
		v.Verdict = Within
		if n < from || n > to {
			v.Verdict = Outside
			s.Says += " The gasket on trial on " + l + ", " + v.Text + "\u2009" + v.Unit + "," + opening + " lies outside."
		}
		s.line("gasket on trial, " + l + ": " + v.Text + "\u2009" + v.Unit + " compressed: " + string(v.Verdict) + " " + hundredths(from) + " to " + hundredths(to))
	}
}

// ends sorts the bounds, the one that binds first on either side.
func ends(all []bound) (lows, highs []bound) {
	for _, b := range all {
		if b.lowest {
			lows = append(lows, b)
		} else {
			highs = append(highs, b)
		}
	}
	order.By(lows, func(a, b bound) int { return cmp.Compare(b.t+b.u, a.t+a.u) })
	order.By(highs, func(a, b bound) int { return cmp.Compare(a.t-a.u, b.t-b.u) })
	return lows, highs
}

// first keeps the binding bound of each limit and engine.
func first(bs []bound) []bound {
	var out []bound
	for _, b := range bs {
		if !slices.ContainsFunc(out, func(o bound) bool { return o.limit == b.limit && engineOf(o.who) == engineOf(b.who) }) {
			out = append(out, b)
		}
	}
	return out
}

func (b bound) words(mm quantity.Unit) string {
	end, t := "at most ", b.t-b.u
	if b.lowest {
		end, t = "at least ", b.t+b.u
	}
	text := b.limit + plain(b.who) + ": compressed " + end + quantity.FormatStep(t, mm, 3) + "\u2009mm"
	if b.u > 0 {
		text += ", its uncertainty of " + quantity.FormatStep(b.u, mm, 3) + " taken off"
	}
	return text
}

func plain(who string) string {
	if who == "" {
		return ""
	}
	return " (" + cylinderWords(who) + ")"
}

// inward rounds a bound to hundredths of a millimetre, into the window; a
// bound that stands at one but for binary dust is taken as that one.
func inward(t float64, lowest bool) float64 {
	x := quantity.Quantise(t*1e5, 6) / 1e6
	if lowest {
		return -math.Floor(-x)
	}
	return math.Floor(x)
}

func hundredths(n float64) string { return quantity.Fixed(n/100, 2) }
