package draw

import (
	"math"

	"witnessmark/sync/calc"
)

// Graph draws one quantity over another: each series named at its line's end,
// its points marked, what a limit forbids hatched. Series without a point are
// left out; with none at all the drawing is empty.
func Graph(label, xName string, panel calc.Panel) string {
	var lines []calc.Curve
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, l := range panel.Lines {
		if len(l.X) == 0 {
			continue
		}
		lines = append(lines, l)
		for _, x := range l.X {
			lo, hi = math.Min(lo, x), math.Max(hi, x)
		}
	}
	if len(lines) == 0 {
		return ""
	}
	if lo == hi {
		lo, hi = lo-1, hi+1
	}
	panel.Lines = lines
	c := calc.Chart{Lo: lo, Hi: hi}
	s := &plot{newCanvas(width, 24+panelHeight+52, "chart", label), c}
	s.panel(panel, 24)
	s.xAxis(24+panelHeight, xName)
	return s.done()
}
