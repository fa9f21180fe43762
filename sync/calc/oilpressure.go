package calc

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
)

var oilpressureSpec = Spec{
	Name: "oilpressure", Version: "2", Title: "Oil pressure across speed",
	Needs: []Need{
		{"pressure", "oil pressure at a station, as 500; several in a row show whether it falls", "pressure", "item", false},
		{"oil_temp", "oil temperature, each engine", "temperature", "item", true},
		{"previous", "the same station in the run before, at the same oil temperature", "pressure", "item", true},
		{"minima", "least pressure at each station, as 500:1.0 800:1.6", "", "option", true},
		{"minima_unit", "unit of the minima; that of the readings when left out", "", "option", true},
		{"min", "least pressure at every station", "pressure", "limit", true},
		{"min.*", "least pressure at one station, as min.500", "pressure", "limit", true},
		{"fall", "fall allowed at one station", "pressure", "limit", true},
		{"below_previous", "how far below the run before", "pressure", "limit", true},
		{"difference", "difference of the two engines", "pressure", "limit", true},
	},
	Above: "previous",
	run:   runOilpressure,
}

// LimitOptions are options that hold limits, for who types them by hand. In a
// job a limit has a name behind it and a page, so these do not count there.
var LimitOptions = []string{"minima", "minima_unit"}

const cautionOil = "Below the least pressure: stop at once, questions afterwards. Hot oil under pressure jets: route the gauge pipe away from exhaust and hands. A gauge that shows nothing may be blocked; no pressure is believed until it is proven wrong. The maker's minima come before any figure here."

// oilStation is one engine at one station: its readings in the order given.
type oilStation struct {
	engine, point      string
	first, last, least measured
	n                  int
	v                  Val
}

// runOilpressure judges the least reading of each station against that
// station's own minimum, and says the shape over speed. The shape's meaning is
// common practice, no source.
func runOilpressure(s *sheet) {
	s.caution(cautionOil)
	at := s.oilStations()
	if len(at) == 0 {
		s.missing("oil pressure at a station")
		return
	}
	temps := s.pooled("oil_temp", "oil temperature")
	for i := range at {
		s.oilStation(&at[i])
	}
	var says []string
	for _, e := range oilEngines(at) {
		_, own := temps[e]
		if _, common := temps[""]; !own && !common {
			s.line(label("oil temperature", e) + ": not noted; a pressure says little without it")
		}
		says = append(says, s.oilShape(e, at)...)
	}
	s.oilWanted(at)
	s.oilPair(at, temps)
	s.saysWorst(strings.Join(says, ""))
}

// oilStations reads the pressures in the order given: one that falls at one
// speed is seen so, and the least counts, not the mean.
func (s *sheet) oilStations() []oilStation {
	var out []oilStation
	for _, it := range s.in.Items["pressure"] {
		m, ok := s.read(it, spot("oil pressure", it))
		if ok && m.si < 0 {
			s.missing(spot("oil pressure", it) + ": " + m.text + " is below nought: the gauge does not return to its pin. Write it again")
		}
		if !ok || m.si < 0 {
			continue
		}
		i := slices.IndexFunc(out, func(o oilStation) bool { return o.engine == it.Label && o.point == it.Point })
		if i < 0 {
			out = append(out, oilStation{engine: it.Label, point: it.Point, first: m, last: m, least: m, n: 1})
			continue
		}
		out[i].n++
		out[i].last = m
		if m.si < out[i].least.si {
			out[i].least = m
		}
	}
	order.By(out, func(a, b oilStation) int {
		return cmp.Or(cmp.Compare(a.engine, b.engine), cmp.Compare(stationSpeed(a.point), stationSpeed(b.point)), cmp.Compare(a.point, b.point))
	})
	return out
}

// oilWanted remarks on the stations of the minima that an engine was not read at.
func (s *sheet) oilWanted(at []oilStation) {
	for _, f := range strings.Fields(s.in.Opts["minima"]) {
		st, _, ok := strings.Cut(f, ":")
		if !ok || st == "" {
			s.missing("least pressures: '" + f + "' is not a speed and a pressure; write it as 500:1.0")
			continue
		}
		for _, e := range oilEngines(at) {
			here := func(o oilStation) bool { return o.engine == e && strings.HasPrefix(o.point+".", st+".") }
			if !slices.ContainsFunc(at, here) {
				s.line("oil pressure" + label("", e) + atStation(st) + ": not read, though a least pressure is set for it")
			}
		}
	}
}

// stationSpeed is the number that a point begins with, as 500 of "500.down".
func stationSpeed(point string) float64 {
	head, _, _ := strings.Cut(point, ".")
	n, err := strconv.Atoi(head)
	if err != nil {
		return 0
	}
	return float64(n)
}

func oilEngines(at []oilStation) []string {
	var out []string
	for _, o := range at {
		if !slices.Contains(out, o.engine) {
			out = append(out, o.engine)
		}
	}
	return out
}

func oilName(what, engine, point string) string {
	return strings.TrimSuffix(ofEngine(what, engine)+"."+point, ".")
}

// oilStation judges one station and says whether its pressure falls.
func (s *sheet) oilStation(o *oilStation) {
	m, where := o.least, label("", o.engine)+atStation(o.point)
	v := s.value(oilName("pressure", o.engine, o.point), "Oil pressure"+where, m.si, m.all(), m.unit, m.dec, "")
	if l, ok := s.oilMinimum(o.point, m.unit); ok {
		s.judge(v, l, m.unit, m.dec)
	}
	o.v = *v
	s.oilBefore(*o)
	if o.n < 2 {
		return
	}
	fall := o.first.si - o.last.si
	f := s.value(oilName("fall", o.engine, o.point), "Fall at one speed"+where, fall, difference(o.first, o.last), m.unit, m.dec, "fall")
	if fall > f.U {
		s.line("oil pressure" + where + " falls from " + text(o.first, m.dec) + " to " + text(o.last, m.dec) + " at one speed: heating, or fuel or water in the oil")
	}
}

// oilBefore holds a station against the run before.
func (s *sheet) oilBefore(o oilStation) {
	for _, it := range s.in.Items["previous"] {
		if it.Label != o.engine || it.Point != o.point {
			continue
		}
		if p, ok := s.read(it, spot("oil pressure, run before", it)); ok {
			s.value(oilName("since", o.engine, o.point), "Below the run before"+label("", o.engine)+atStation(o.point), p.si-o.least.si, difference(p, o.least), o.least.unit, o.least.dec, "below_previous")
		}
	}
}

// oilMinimum is the least pressure at a station: its own limit, else the
// table's, else the one for all.
func (s *sheet) oilMinimum(point string, u quantity.Unit) (Limit, bool) {
	head, _, _ := strings.Cut(point, ".")
	if l, ok := s.in.Limits["min."+head]; ok {
		return l, true
	}
	unit := u.Code
	if o := s.in.Opts["minima_unit"]; o != "" {
		unit = o
	}
	for _, f := range strings.Fields(s.in.Opts["minima"]) {
		if st, least, _ := strings.Cut(f, ":"); st == head && head != "" {
			return Limit{Name: "min." + head, Min: &quantity.Written{Text: least, Unit: unit}, Accepted: true}, true
		}
	}
	l, ok := s.in.Limits["min"]
	return l, ok
}

// oilShape says where an engine is low: at idle only, everywhere, elsewhere.
func (s *sheet) oilShape(engine string, at []oilStation) []string {
	var low, right []oilStation
	for _, o := range at {
		switch {
		case o.engine != engine || o.v.Verdict == NoLimit:
		case o.v.Verdict == Outside:
			low = append(low, o)
		default:
			right = append(right, o)
		}
	}
	if len(low) == 0 || len(low)+len(right) < 2 {
		return nil
	}
	words := "low here and there: gauge, hose or relief valve."
	switch {
	case len(right) == 0:
		words = "low everywhere: pump, relief valve, strainer or gauge."
	case stationSpeed(low[len(low)-1].point) < stationSpeed(right[0].point):
		words = "low at low speed and right above it: clearances, or oil too thin."
	}
	if engine != "" {
		words = engine + ": " + words
	}
	s.line(words)
	return []string{" " + capital(words)}
}

// oilPair compares two engines station by station; their oil must be equally
// hot for it.
func (s *sheet) oilPair(at []oilStation, temps map[string]measured) {
	es := oilEngines(at)
	if len(es) != 2 {
		return
	}
	a, okA := temps[es[0]]
	b, okB := temps[es[1]]
	switch {
	case !okA || !okB:
		s.line("engine against engine counts at equal oil temperature only; it is not noted for both")
	case math.Abs(a.si-b.si) > expanded(difference(a, b)):
		s.line("oil at " + shownAs(a, a.dec) + " and " + shownAs(b, b.dec) + ": not equal, the hotter oil is thinner; compare again at equal temperature")
	default:
		s.line("oil at " + shownAs(a, a.dec) + " and " + shownAs(b, b.dec) + ": equal, as far as these thermometers tell")
	}
	for _, l := range at {
		i := slices.IndexFunc(at, func(o oilStation) bool { return o.engine == es[1] && o.point == l.point })
		if l.engine != es[0] || i < 0 {
			continue
		}
		r := at[i].least
		v := s.value(oilName("difference", "", l.point), es[1]+" less "+es[0]+atStation(l.point), r.si-l.least.si, difference(l.least, r), l.least.unit, min(l.least.dec, r.decIn(l.least.unit)), "")
		if lim, ok := s.in.Limits["difference"]; ok {
			s.judgeSize(v, lim, l.least.unit, l.least.dec)
		}
	}
}
