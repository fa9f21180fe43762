package calc

import (
	"math"
	"strings"

	"witnessmark/sync/quantity"
)

var huntingSpec = Spec{
	Name: "hunting", Version: "1", Title: "Hunting: swing, surges and droop",
	Needs: []Need{
		{"speed", "speeds in a row, as read, lever untouched", "speed", "item", true},
		{"no_load", "governed speed without load", "speed", "nominal", true},
		{"full_load", "speed at full load", "speed", "nominal", true},
		{"droop", "droop wanted, to get the no-load speed", "1", "nominal", true},
		{"settled", "speed it comes to rest at, where that is not the mean", "speed", "nominal", true},
		{"band", "what counts as no swing; one step of the tachometer when left out", "speed", "nominal", true},
		{"interval", "time from one reading to the next", "time", "nominal", true},
		{"swing", "half of highest less lowest that is allowed", "speed", "limit", true},
		{"deviation", "standard deviation allowed", "speed", "limit", true},
		{"surges", "surges allowed", "1", "limit", true},
		{"droop", "droop allowed", "1", "limit", true},
	},
	Above: "speed no_load full_load settled band interval",
	run:   runHunting,
}

const cautionHunting = "Before a screw is touched: linkage free, no lost motion, no misfire. A governor that is set wrongly lets the engine run away: a hand at the stop, the air plate ready. The maker's governor settings come before any figure here."

// runHunting: swing is half of highest less lowest, the deviation that of the
// single readings, a surge one swing over and under. Droop = (no load − full
// load)/full load.
func runHunting(s *sheet) {
	s.caution(cautionHunting)
	if !s.given("speed") && !s.given("no_load") && !s.given("full_load") {
		s.missing("speeds in a row, or the speeds at no load and full load")
		return
	}
	s.swings()
	s.droop()
	s.saysHunting()
}

// saysHunting says all that was found where nothing is judged.
func (s *sheet) saysHunting() {
	var words []string
	for _, v := range s.Vals {
		if v.Limit != nil {
			return
		}
		if v.Name == "swing" || v.Name == "surges" || v.Name == "period" || v.Name == "droop" {
			words = append(words, strings.ToLower(v.Label)+" "+v.Text+thin(v.Unit))
		}
	}
	if len(words) > 0 {
		s.says(capital(strings.Join(words, "; ")) + ": no limit.")
	}
}

// swings reads the speeds in the order given.
func (s *sheet) swings() {
	var ms []measured
	var x []float64
	for _, it := range s.in.Items["speed"] {
		if m, ok := s.read(it, spot("speed", it)); ok {
			ms, x = append(ms, m), append(x, m.si)
		}
	}
	if len(x) < 3 {
		if len(s.in.Items["speed"]) > 0 {
			s.missing("three speeds in a row at least")
		}
		return
	}
	lo, hi, dec := extremesOf(ms)
	u, n := ms[0].unit, float64(len(x))
	mean, sd := quantity.Mean(x), quantity.SD(x)
	s.line("mean of " + quantity.Fixed(n, 0) + ": " + figureIn(mean, u, dec+1) + "; standard deviation " + figureIn(sd, u, dec+1))
	s.value("mean", "Mean speed", mean, append(ms[0].all(), quantity.Part{What: "scatter", U: sd / math.Sqrt(n), DoF: n - 1}), u, dec, "")
	half := (hi.si - lo.si) / 2
	s.line("swing: (" + text(hi, dec) + " − " + text(lo, dec) + ") ÷ 2 = " + figureIn(half, u, dec+1))
	s.value("swing", "Swing to either side", half, times(difference(hi, lo), 0.5), u, dec+1, "swing")
	s.value("deviation", "Standard deviation", sd, nil, u, dec+1, "deviation")
	s.surges(x, mean, ms[0], u, dec)
}

// extremesOf is the lowest and the highest, and the digits that all have.
func extremesOf(ms []measured) (lo, hi measured, dec int) {
	lo, hi, dec = ms[0], ms[0], ms[0].dec
	for _, m := range ms {
		if m.si < lo.si {
			lo = m
		}
		if m.si > hi.si {
			hi = m
		}
		dec = min(dec, m.decIn(ms[0].unit))
	}
	return lo, hi, dec
}

// surges counts how often the speed goes from one side of its mean to the
// other, by more than the band; two crossings are one surge.
func (s *sheet) surges(x []float64, mean float64, first measured, u quantity.Unit, dec int) {
	about, band := mean, lastDigit(first)
	if m, ok := s.maybeRead("settled", "speed it settles at"); ok {
		about = m.si
	}
	if m, ok := s.maybeRead("band", "no swing"); ok {
		band = m.si
	}
	side, crossed, first1, last := 0, 0, 0, 0
	for i, v := range x {
		now := beyond(v-about, band, u, dec)
		if now == 0 {
			continue
		}
		if side != 0 && now != side {
			if crossed++; crossed == 1 {
				first1 = i
			}
			last = i
		}
		side = now
	}
	n := math.Floor(float64(crossed+1) / 2)
	s.line("crosses " + figureIn(about, u, dec+1) + " by more than " + figureIn(band, u, dec) + " " + quantity.Fixed(float64(crossed), 0) + " times: " + quantity.Fixed(n, 0) + " surges")
	s.value("surges", "Surges", n, nil, ratio1, 0, "surges")
	s.line("after a disturbance: settled in under three surges, the droop may be too high; not in five, too low (TM 5-3805-257-14&P, of another engine)")
	if t, ok := s.maybeRead("interval", "time between readings"); ok && crossed > 2 {
		period := float64(2*t.si) * float64(last-first1) / float64(crossed-1)
		s.value("period", "Time of one surge", period, nil, mustUnit("s"), 1, "")
	}
}

// beyond tells on which side of the band a speed lies: −1, 0 or 1.
func beyond(d, band float64, u quantity.Unit, dec int) int {
	switch q := quantity.Quantise(u.FromStep(d), dec+2); {
	case q > quantity.Quantise(u.FromStep(band), dec+2):
		return 1
	case -q > quantity.Quantise(u.FromStep(band), dec+2):
		return -1
	}
	return 0
}

// droop adds the droop of two speeds, or the no-load speed of a droop wanted.
func (s *sheet) droop() {
	full, ok := s.maybeRead("full_load", "speed at full load")
	none, ok2 := s.maybeRead("no_load", "speed at no load")
	if ok2 && !ok {
		s.missing("speed at full load")
	}
	if !ok {
		return
	}
	if want, ok := s.maybeRead("droop", "droop wanted"); ok {
		no := float64(full.si * (1 + want.si))
		s.line("no-load speed for that droop: " + text(full, full.dec) + " × (1 + " + quantity.Fixed(want.si, 4) + ") = " + figureIn(no, full.unit, full.dec))
		s.value("no_load", "No-load speed for the droop wanted", no, scaled(full, 1+want.si), full.unit, full.dec, "")
	} else if !ok2 {
		s.missing("speed at no load")
	}
	if !ok2 {
		return
	}
	d := (none.si - full.si) / full.si
	s.line("droop: (" + text(none, none.dec) + " − " + text(full, full.dec) + ") ÷ " + text(full, full.dec) + " = " + figureIn(d, percent, 1))
	s.value("droop", "Droop", d, append(scaled(none, 1/full.si), scaled(full, none.si/float64(full.si*full.si))...), percent, 1, "droop")
	if d <= 0 {
		s.line("no droop: an engine that runs faster loaded than free cannot share a load; look at the readings first")
	}
}
