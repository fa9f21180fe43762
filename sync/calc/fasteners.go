package calc

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/quantity"
)

// fastener is one of the map; out is its distance from the middle.
type fastener struct {
	label     string
	x, y, out float64 // mm
}

// maxFasteners keeps a map typed by mistake from taking minutes.
const maxFasteners = 200

// fieldsOf splits a list that people separate by spaces, commas or semicolons.
func fieldsOf(text string) []string {
	return strings.FieldsFunc(text, func(c rune) bool { return c == ' ' || c == ',' || c == ';' || c == '\n' || c == '\t' })
}

// fastenerMap reads the map.
func (s *sheet) fastenerMap() ([]fastener, bool) {
	var all []fastener
	for _, one := range strings.FieldsFunc(s.in.Opts["map"], func(c rune) bool { return c == ';' || c == '\n' }) {
		f := strings.Fields(one)
		if len(f) == 0 {
			continue
		}
		if len(f) != 3 {
			s.missing("map of the fasteners: '" + strings.TrimSpace(one) + "' is not a label and two distances; write it as 7 0 80")
			return nil, false
		}
		x, err1 := quantity.Parse(quantity.Written{Text: f[1], Unit: "mm"})
		y, err2 := quantity.Parse(quantity.Written{Text: f[2], Unit: "mm"})
		if err1 != nil || err2 != nil {
			s.missing("map of the fasteners: '" + strings.TrimSpace(one) + "' has a distance that is not a number")
			return nil, false
		}
		if slices.ContainsFunc(all, func(o fastener) bool { return o.label == f[0] }) {
			s.missing("map of the fasteners: " + f[0] + " is there twice; give each its own label")
			return nil, false
		}
		all = append(all, fastener{label: f[0], x: float64(x.SI * 1000), y: float64(y.SI * 1000)})
	}
	switch {
	case len(all) == 0:
		s.missing("map of the fasteners")
	case len(all) > maxFasteners:
		s.missing("map of the fasteners: more than " + strconv.Itoa(maxFasteners) + "; give one joint at a time")
	default:
		fromMiddle(all)
		return all, true
	}
	return nil, false
}

// fromMiddle sets how far each lies from the middle of all.
func fromMiddle(all []fastener) {
	x, y := make([]float64, len(all)), make([]float64, len(all))
	for i, f := range all {
		x[i], y[i] = f.x, f.y
	}
	mx, my := quantity.Mean(x), quantity.Mean(y)
	for i, f := range all {
		all[i].out = distance(f.x-mx, f.y-my)
	}
}

func distance(dx, dy float64) float64 { return math.Sqrt(float64(dx*dx) + float64(dy*dy)) }

// slack is by how much two distances from the middle may differ and count as
// one ring: 2 % of the farthest.
func slack(all []fastener) float64 {
	most := 0.0
	for _, f := range all {
		most = math.Max(most, f.out)
	}
	return float64(most * 0.02)
}

// centreOut takes the rings from the inside outwards; within a ring the one
// that is farthest from all tightened, then the one across from the last.
func centreOut(all []fastener) []fastener {
	ring := slack(all)
	left := slices.Clone(all)
	var out []fastener
	for len(left) > 0 {
		nearest := math.Inf(1)
		for _, f := range left {
			nearest = math.Min(nearest, f.out)
		}
		best, apart, across := -1, 0.0, 0.0
		for i, f := range left {
			if f.out > nearest+ring {
				continue
			}
			a, c := spread(f, out)
			if best < 0 || a > apart || a == apart && c > across {
				best, apart, across = i, a, c
			}
		}
		out = append(out, left[best])
		left = slices.Delete(left, best, best+1)
	}
	return out
}

// spread is how far a fastener is from the nearest of those tightened and from
// the last of them, in whole tenths of a millimetre, so that rounding decides nothing.
func spread(f fastener, done []fastener) (apart, across float64) {
	for i, d := range done {
		x := quantity.Quantise(distance(f.x-d.x, f.y-d.y), 1)
		if i == 0 || x < apart {
			apart = x
		}
		across = x
	}
	return apart, across
}

func namesOf(fs []fastener) []string {
	out := make([]string, len(fs))
	for i, f := range fs {
		out[i] = f.label
	}
	return out
}

// tally says which labels are missed, which stand more than once, and which
// are none.
func tally(list, labels []string) (missed, twice, strange []string) {
	for _, l := range labels {
		if !slices.Contains(list, l) {
			missed = append(missed, l)
		}
	}
	for i, l := range list {
		switch {
		case !slices.Contains(labels, l):
			strange = append(strange, l)
		case slices.Contains(list[:i], l) && !slices.Contains(twice, l):
			twice = append(twice, l)
		}
	}
	return missed, twice, strange
}
