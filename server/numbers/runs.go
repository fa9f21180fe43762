package numbers

import (
	"slices"
	"strconv"

	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
)

// runs has a row for each thing that was logged of each run, struck ones too.
func (j *job) runs() []byte {
	var dims []quantity.Dim
	each := func(visit func(*record.Run, *record.RunLine)) {
		for i := range j.st.Runs {
			r := &j.st.Runs[i]
			for k := range r.Lines {
				visit(r, &r.Lines[k])
			}
		}
	}
	each(func(_ *record.Run, l *record.RunLine) {
		if dim, _, _ := ends(valueOf(l)); dim != "" {
			dims = append(dims, dim)
		}
	})
	cols := columnsOf(dims)
	t := header(slices.Concat([]string{"entry", "run's entry", "run", "engine", "side as shown", "since the start / s", "line", "gauge", "seen", "figure filled in afterwards"}, writtenHeads("value"),
		cols.heads("least", "most"), []string{"station", "round / 1", "tachometers changed over", "instrument", "event", "words", "by", "time as the phone said", "clock", "why struck"})...)
	each(func(r *record.Run, l *record.RunLine) {
		dim, least, most := ends(valueOf(l))
		round := ""
		if l.Round > 0 {
			round = strconv.Itoa(l.Round)
		}
		t.row(slices.Concat([]string{string(l.ID), string(r.ID), text(j.who.Text(r.Title)), text(l.Of.Asm), l.Of.Side, strconv.FormatFloat(float64(l.MS)/1000, 'f', -1, 64), l.Does, text(l.What), l.Seen, yes(l.Later)},
			written(valueOf(l)), cols.cells(dim, least, most), []string{text(l.Station), round, yes(l.Swapped), text(l.Instrument), text(l.Event), text(j.who.Text(l.Words)),
				text(j.who.Person(l.By)), text(l.At), text(l.Clock), text(j.who.Text(l.Struck))})...)
	})
	return t.bytes()
}

func valueOf(l *record.RunLine) quantity.Written {
	if l.Value == nil {
		return quantity.Written{}
	}
	return *l.Value
}
