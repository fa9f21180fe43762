package view

import (
	"math"
	"slices"

	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
)

// askTool asks when the instrument named cannot have read a value: another was in the hand, or the figure slipped.
func (v *viewer) askTool(q quantity.Q) string {
	i := slices.IndexFunc(v.st.Instruments, func(t record.Instrument) bool { return t.Key == v.arg("tool") })
	if i < 0 {
		return ""
	}
	t := v.st.Instruments[i]
	switch {
	case !reads(t, q.Unit):
		return t.Key + " is not read in " + q.Unit.Symbol + ": was it another instrument?"
	case !reaches(t, q):
		return t.Key + " goes from " + t.From.String() + " to " + t.To.String() + ": was it another instrument?"
	}
	return ""
}

// reads says whether an instrument reads in a unit or one like it; one that does not say may.
func reads(t record.Instrument, u quantity.Unit) bool {
	res, err := quantity.Parse(t.Res)
	return err != nil || res.Unit.Dim == u.Dim
}

// reaches says whether a value lies in an instrument's range; one without a range may reach anything, and a dial is read
// either way from nought.
func reaches(t record.Instrument, q quantity.Q) bool {
	from, err := quantity.Parse(t.From)
	to, err2 := quantity.Parse(t.To)
	size := math.Abs(q.SI)
	return err != nil || err2 != nil || size >= from.SI && size <= to.SI
}

// instruments are those that read what is measured at a place, those that reach its nominal size before the others.
func (v *viewer) instruments(e *record.Engine, pl pattern.Place) jcs.Member {
	var fit, short []string
	unit, known := quantity.Lookup(pl.Feature.Unit)
	nominal, err := quantity.Parse(e.Pattern.Nominal[pl.Feature.Size])
	for _, t := range v.st.Instruments {
		switch {
		case known && !reads(t, unit):
		case err == nil && !reaches(t, nominal):
			short = append(short, t.Key)
		default:
			fit = append(fit, t.Key)
		}
	}
	return jcs.M("tools", jcs.Obj(jcs.M("fit", jcs.Strs(fit)), jcs.M("short", jcs.Strs(short))))
}
