package numbers

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
)

// samples has a row for each figure that a gauge gave by itself in a run, struck ones too. Where it gave none there is no row.
func (j *job) samples() []byte {
	var dims []quantity.Dim
	j.eachBlock(func(_ *record.Run, l *record.RunLine) {
		for _, c := range l.Block.Columns {
			if u, ok := quantity.Lookup(c.Unit); ok {
				dims = append(dims, u.Dim)
			}
		}
	})
	cols := columnsOf(dims)
	t := header(slices.Concat([]string{"entry", "run's entry", "engine", "side as shown", "since the start / s", "gauge", "value as written", "value unit as written"},
		cols.heads("value"), []string{"instrument", "file", "why struck"})...)
	j.eachBlock(func(r *record.Run, l *record.RunLine) {
		for _, c := range l.Block.Columns {
			w := quantity.Written{Unit: c.Unit}
			for i, figure := range strings.Split(c.Values, " ") {
				if figure == "-" {
					continue
				}
				w.Text = figure
				dim, si, _ := ends(w)
				t.row(slices.Concat([]string{string(l.ID), string(r.ID), text(l.Of.Asm), l.Of.Side, strconv.FormatFloat(float64(l.MS+l.Block.At[i])/1000, 'f', -1, 64), text(c.What), text(figure), text(c.Unit)},
					cols.cells(dim, si), []string{text(c.Instrument), text(j.who.Text(l.Block.File)), text(j.who.Text(l.Struck))})...)
			}
		}
	})
	return t.bytes()
}

func (j *job) eachBlock(visit func(*record.Run, *record.RunLine)) {
	for i := range j.st.Runs {
		for k := range j.st.Runs[i].Lines {
			if l := &j.st.Runs[i].Lines[k]; l.Block != nil {
				visit(&j.st.Runs[i], l)
			}
		}
	}
}
