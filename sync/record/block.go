package record

import (
	"strconv"
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

// Block is what gauges sampled by themselves, row by row. Its figures stay one
// text for each gauge, as they were written: a long run has tens of thousands.
type Block struct {
	Columns []BlockColumn
	Step    *quantity.Written // how far the rows are apart; nil when Times says when each was
	Times   string            // seconds since the line's own time, one for each row
	File    string            // what the file was called, or ""
	At      []int64           // ms since the line's own time, one for each row
}

// BlockColumn is a gauge of a block: its figures with one space between, "-"
// where there is none.
type BlockColumn struct{ What, Unit, Instrument, Values string }

func blockOf(v jcs.Value) (*Block, string) {
	b := &Block{Step: optional(v.Get("step")), Times: v.Get("times").Text(), File: v.Get("file").Text()}
	for _, c := range v.Get("columns").Items() {
		col := BlockColumn{c.Get("what").Text(), c.Get("u").Text(), c.Get("instrument").Text(), c.Get("values").Text()}
		if _, ok := quantity.Lookup(col.Unit); !ok {
			return nil, "'" + col.Unit + "' is no unit that this version knows"
		}
		b.Columns = append(b.Columns, col)
	}
	return b, b.times(strings.Count(b.Columns[0].Values, " ") + 1)
}

// times works out when each row was, and says why it cannot.
func (b *Block) times(rows int) string {
	if b.Step != nil {
		q, err := quantity.Parse(*b.Step)
		if err != nil || q.Unit.Dim != quantity.Time || q.SI <= 0 || float64(q.SI*float64(rows)) > longestRun {
			return "'" + b.Step.String() + "' is no time between two rows"
		}
		for i := range rows {
			b.At = append(b.At, int64(quantity.Quantise(float64(q.SI*1000)*float64(i), 0)))
		}
		return ""
	}
	for _, t := range strings.Split(b.Times, " ") {
		q, err := quantity.Parse(quantity.Written{Text: t, Unit: "s"})
		at := int64(quantity.Quantise(float64(q.SI*1000), 0))
		if err != nil || q.SI > longestRun || len(b.At) > 0 && at <= b.At[len(b.At)-1] {
			return "the times of the rows do not grow: '" + t + "'"
		}
		b.At = append(b.At, at)
	}
	return ""
}

// StepWords says how far the rows are apart.
func (b *Block) StepWords() string {
	if b.Step != nil {
		return "one each " + b.Step.String()
	}
	return "each with its time"
}

func (b *Block) json() jcs.Value {
	if b == nil {
		return jcs.Null()
	}
	return jcs.Obj(list("columns", b.Columns, BlockColumn.json), opt("step", b.Step), str("times", b.Times), str("file", b.File))
}

func (c BlockColumn) json() jcs.Value {
	return jcs.Obj(str("what", c.What), str("u", c.Unit), str("instrument", c.Instrument), str("values", c.Values))
}

func samplesWords(v jcs.Value) string {
	var gauges []string
	rows := 0
	for _, c := range v.Get("columns").Items() {
		gauges = append(gauges, strings.ReplaceAll(c.Get("what").Text(), ".", " "))
		rows = strings.Count(c.Get("values").Text(), " ") + 1
	}
	return strconv.Itoa(rows) + " rows of " + strings.Join(gauges, ", ")
}
