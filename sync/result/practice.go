package result

import (
	"witnessmark/sync/pattern"
	"witnessmark/sync/quantity"
)

// Practice is a figure of common practice for a limit that nobody has set. It
// judges nothing: a lead may take it as the group's own.
type Practice struct {
	Min, Max *quantity.Written
	Words    string
}

// practice has the figures that the trade passes on by word of mouth; no
// source was found for any of them.
var practice = []struct {
	limit, words string
	min, max     string // in unit, or, of a size, as shares of it
	unit, size   string // unit of the bounds, or the size whose unit they take
}{
	{"main.clearance", "0.00075 to 0.001 of the journal's size", "0.00075", "0.001", "", "main.journal"},
	{"pin.clearance", "0.00075 to 0.001 of the journal's size", "0.00075", "0.001", "", "pin.journal"},
	{"cyl.gap", "0.003 to 0.004 of the bore", "0.003", "0.004", "", "bore"},
	{"bump.agree", "two ways of finding it agree within 0.05 mm", "", "0.05", "mm", ""},
	{"injectors.spread", "all injectors within 3 bar of each other", "", "3", "bar", ""},
	{"chain.elongation", "1 to 2 %; the stricter end", "", "1", "%", ""},
	{"run.seen", "no oil pressure ten seconds after firing: stop", "", "10", "s", ""},
	{"rubber.pair", "two elements within 5 points of hardness", "", "5", "1", ""},
}

// PracticeFor is the figure of common practice for a limit of the type, if
// there is one and the sheet has the size that it goes by.
func PracticeFor(p *pattern.Pattern, limit string) (Practice, bool) {
	for _, c := range practice {
		if c.limit != limit {
			continue
		}
		lo, ok1 := practiceValue(p, c.min, c.unit, c.size)
		hi, ok2 := practiceValue(p, c.max, c.unit, c.size)
		return Practice{lo, hi, "Common practice, no source: " + c.words}, ok1 && ok2
	}
	return Practice{}, false
}

// practiceValue is a bound as written; of a size it is a share of it, in the
// sheet's own unit, to the micrometre.
func practiceValue(p *pattern.Pattern, figure, unit, size string) (*quantity.Written, bool) {
	if figure == "" {
		return nil, true
	}
	w := quantity.Written{Text: figure, Unit: unit}
	if size == "" {
		return &w, true
	}
	share, err1 := quantity.Parse(quantity.Written{Text: figure, Unit: "1"})
	of, err2 := quantity.Parse(p.Nominal[size])
	if err1 != nil || err2 != nil {
		return nil, false
	}
	return &quantity.Written{Text: quantity.Format(float64(share.SI*of.SI), of.Unit, quantity.Decimals(1e-6, of.Unit)), Unit: of.Unit.Code}, true
}
