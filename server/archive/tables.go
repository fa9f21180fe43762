package archive

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// table is one CSV file (RFC 4180: CRLF, quotes doubled; UTF-8).
type table struct {
	name string
	rows [][]string // the first is the head
}

func (t table) bytes() []byte {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.UseCRLF = true
	// A bytes.Buffer takes everything.
	_ = w.WriteAll(t.rows)
	return out.Bytes()
}

// si are the columns of values in SI: one a kind of quantity, so that the unit stands once, in the head.
var si = []struct {
	dim  quantity.Dim
	head string
}{
	{quantity.Length, "length / m"}, {quantity.Area, "area / m2"}, {quantity.Volume, "volume / m3"}, {quantity.Torque, "torque / N.m"},
	{quantity.Force, "force / N"}, {quantity.Pressure, "pressure / Pa"}, {quantity.Mass, "mass / kg"}, {quantity.Time, "time / s"},
	{quantity.Speed, "speed / (1/s)"}, {quantity.Temperature, "temperature / K"}, {quantity.Angle, "angle / deg"},
	{quantity.Power, "power / W"}, {quantity.Flow, "flow / (m3/s)"}, {quantity.Fall, "fall / (Pa/s)"},
	{quantity.Expansion, "expansion / (1/K)"}, {quantity.One, "ratio / 1"},
}

func siHeads() []string {
	var out []string
	for _, c := range si {
		out = append(out, c.head)
	}
	return out
}

// siCells puts a number into the column of its kind; a value that is none leaves all of them empty.
func siCells(dim quantity.Dim, value float64, ok bool) []string {
	out := make([]string, len(si))
	for i, c := range si {
		if ok && c.dim == dim {
			out[i] = strconv.FormatFloat(value, 'g', -1, 64)
		}
	}
	return out
}

// tables are the files under csv/.
func tables(st *record.State, results []result.Res, names bool) []table {
	out := []table{readings(st, names), resultRows(results), tightening(st, names)}
	if names {
		out = append(out, people(st))
	}
	for i := range out {
		out[i].rows = narrow(out[i].rows)
	}
	return out
}

// narrow leaves out the columns in SI in which no row has a value: a sheet of clearances needs none for power.
func narrow(rows [][]string) [][]string {
	drop := map[int]bool{}
	for i, head := range rows[0] {
		drop[i] = slices.Contains(siHeads(), head) && !slices.ContainsFunc(rows[1:], func(r []string) bool { return r[i] != "" })
	}
	out := make([][]string, len(rows))
	for n, r := range rows {
		for i, cell := range r {
			if !drop[i] {
				out[n] = append(out[n], cell)
			}
		}
	}
	return out
}

// row joins cells and lists of cells.
func row(parts ...any) []string {
	var out []string
	for _, p := range parts {
		switch p := p.(type) {
		case string:
			out = append(out, p)
		case []string:
			out = append(out, p...)
		}
	}
	return out
}

// who is the columns of people, none when names are left out.
func who(names bool, cells ...string) []string {
	if names {
		return cells
	}
	return nil
}

// written is a value as it was written: four cells, then its lower end, or itself, in SI.
func written(w quantity.Written) []string {
	q, err := quantity.Parse(w)
	ok := err == nil && !w.IsZero() && w.Is != "nil"
	upper := ""
	if ok && w.To != "" {
		upper = strconv.FormatFloat(q.Hi(), 'g', -1, 64)
	}
	return row(w.Text, w.To, w.Unit, w.Is, siCells(q.Unit.Dim, q.Lo(), ok), upper)
}

func writtenHeads() []string {
	return row("value as written", "up to, as written", "unit as written", "at least, at most or nil", siHeads(), "up to, in the same SI unit")
}

// asText is a value in one cell, as it was written, with its unit's code.
func asText(w quantity.Written) string {
	if w.IsZero() {
		return ""
	}
	text := w.Text
	if w.Is == "nil" {
		text = "nil"
	} else if w.Is != "" {
		text = w.Is + " " + text
	}
	if w.To != "" {
		text += " to " + w.To
	}
	return strings.TrimSpace(text + " " + w.Unit)
}

func readings(st *record.State, names bool) table {
	t := table{name: "readings", rows: [][]string{row("entry", "engine", "side", "size of", "place", "point", "condition", writtenHeads(),
		"instrument", "zero check", "temperature as written", "clock of the phone", who(names, "read by", "written by"), "struck out because", "contested", "note")}}
	for _, p := range st.Places {
		for _, r := range p.Readings {
			t.rows = append(t.rows, readingRow(p, r, names))
		}
	}
	return t
}

func readingRow(p record.Place, r record.Reading, names bool) []string {
	zero, temp, contested := "", "", ""
	if r.Zero != nil {
		zero = string(r.Zero.ID)
	}
	if r.Temp != nil {
		temp = asText(*r.Temp)
	}
	if r.Contest != "" {
		contested = "yes"
	}
	return row(string(r.ID), r.Asm, r.Side, p.Key, p.At, p.Point, p.Cond, written(r.Value), r.Instrument, zero, temp, r.At,
		who(names, r.ReadBy, r.By), r.Struck, contested, r.Note)
}

func resultRows(results []result.Res) table {
	t := table{name: "results", rows: [][]string{row("result", "engine", "place", "condition", "what", "value", "value means", "shown as",
		"shown in", "uncertainty shown (expanded)", "coverage factor", siHeads(), "uncertainty (expanded), in the same SI unit", "verdict", "says")}}
	for _, r := range results {
		for _, v := range r.Vals {
			t.rows = append(t.rows, resultRow(r, v))
		}
		if len(r.Vals) == 0 {
			t.rows = append(t.rows, row(r.ID, r.Asm, r.At, r.Cond, r.Words, "", "", "", "", "", "", siCells("", 0, false), "", string(r.Verdict), r.Says))
		}
	}
	return t
}

func resultRow(r result.Res, v calc.Val) []string {
	dim, ok := dimOf(v.Unit)
	u := ""
	if ok {
		u = strconv.FormatFloat(v.U, 'g', -1, 64)
	}
	verdict := string(v.Verdict)
	if v.Verdict == calc.NoLimit {
		verdict = "no limit"
	}
	return row(r.ID, r.Asm, r.At, r.Cond, r.Words, v.Name, v.Label, strings.TrimSpace(v.Is+" "+v.Text), v.Unit, v.UText,
		strconv.FormatFloat(v.K, 'g', -1, 64), siCells(dim, v.SI, ok), u, verdict, r.Says)
}

// dimOf finds what kind of quantity a unit's symbol measures.
func dimOf(symbol string) (quantity.Dim, bool) {
	for _, u := range quantity.Units() {
		if u.Symbol == symbol {
			return u.Dim, true
		}
	}
	return "", false
}

func tightening(st *record.State, names bool) table {
	t := table{name: "tightening", rows: [][]string{row("entry", "engine", "joint", "condition", "pass", "fasteners", "whole pass reported done",
		"torque as written", "torque / N.m", "tool set to, as written", "turned, as written", "turned / deg", "thread", "tool", "clock of the phone",
		who(names, "by"), "contested", "note")}}
	for _, j := range st.Joints {
		for _, p := range j.Passes {
			for _, l := range p.Lines {
				t.rows = append(t.rows, tightenRow(j, p, l, names))
			}
		}
	}
	return t
}

func tightenRow(j record.Joint, p record.Pass, l record.Tighten, names bool) []string {
	whole, contested := "", ""
	if l.Whole {
		whole = "yes"
	}
	if l.Contest != "" {
		contested = "yes"
	}
	return row(string(l.ID), j.Asm, j.Joint, j.Cond, strconv.Itoa(p.N), strings.Join(l.Fasteners, " "), whole, asText(l.Torque),
		inDim(l.Torque, quantity.Torque), asText(l.Set), asText(l.Moved), inDim(l.Moved, quantity.Angle), l.Thread, l.Tool, l.At,
		who(names, l.By), contested, l.Note)
}

// inDim is a value in SI if it is of that kind and one number, else empty.
func inDim(w quantity.Written, dim quantity.Dim) string {
	q, err := quantity.Parse(w)
	if err != nil || w.IsZero() || w.To != "" || w.Is == "nil" || q.Unit.Dim != dim {
		return ""
	}
	return strconv.FormatFloat(q.SI, 'g', -1, 64)
}

func people(st *record.State) table {
	t := table{name: "people", rows: [][]string{{"key", "name", "role"}}}
	for _, p := range st.People {
		t.rows = append(t.rows, []string{p.Key, p.Name, p.Role})
	}
	return t
}
