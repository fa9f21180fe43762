package numbers

import (
	"slices"
	"strconv"

	"witnessmark/sync/quantity"
)

// siUnits is the unit that each dimension is worked in.
var siUnits = map[quantity.Dim]string{
	quantity.Length: "m", quantity.Area: "m2", quantity.Volume: "m3", quantity.Torque: "N m", quantity.Force: "N", quantity.Pressure: "Pa",
	quantity.Mass: "kg", quantity.Time: "s", quantity.Speed: "1/s", quantity.Velocity: "m/s", quantity.Temperature: "K", quantity.Angle: "degree", quantity.Power: "W",
	quantity.Flow: "m3/s", quantity.Fall: "Pa/s", quantity.Expansion: "1/K", quantity.One: "1",
}

// columns are the dimensions that a file has, each with columns of its own, so that every column has one unit, in its head.
type columns []quantity.Dim

// columnsOf puts the dimensions that occur in order; each occurs once.
func columnsOf(dims []quantity.Dim) columns {
	slices.Sort(dims)
	return slices.Compact(dims)
}

// heads names the columns: for each dimension, "what, pressure / Pa". A length stands in mm besides: every drawing, tool and
// limit of this trade is in mm, and nobody at a lathe reads metres. What the other dimensions were read in is bar one day and
// psi the next: for them SI is the one unit that all rows share.
func (c columns) heads(whats ...string) []string {
	var out []string
	for _, d := range c {
		for _, what := range whats {
			out = append(out, what+", "+string(d)+" / "+siUnits[d])
			if d == quantity.Length {
				out = append(out, what+", "+string(d)+" / mm")
			}
		}
	}
	return out
}

// cells fills in the columns of one dimension and leaves the others empty.
func (c columns) cells(dim quantity.Dim, values ...string) []string {
	out := make([]string, 0, 2*len(c)*len(values))
	for _, d := range c {
		for _, v := range values {
			if d != dim {
				v = ""
			}
			out = append(out, v)
			if d == quantity.Length {
				out = append(out, mm(v))
			}
		}
	}
	return out
}

// mmDigits leaves out what only the way from mm to m and back has added.
const mmDigits = 12

// mm is a length in m as a plain number of mm, without an exponent.
func mm(metres string) string {
	x, err := strconv.ParseFloat(metres, 64)
	if err != nil {
		return ""
	}
	x, err = strconv.ParseFloat(strconv.FormatFloat(x*1000, 'g', mmDigits, 64), 64)
	if err != nil {
		return ""
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// ends are the least and the most that a value as written says, in SI; "" where it says nothing, or cannot be read.
func ends(w quantity.Written) (dim quantity.Dim, least, most string) {
	q, err := quantity.Parse(w)
	if err != nil {
		return "", "", ""
	}
	least, most = float(q.Lo()), float(q.Hi())
	switch q.Is {
	case "at least":
		most = ""
	case "at most":
		least = ""
	}
	return q.Unit.Dim, least, most
}

// dimOf finds the dimension of a unit by its code or its symbol.
func dimOf(unit string) (quantity.Dim, bool) {
	for _, u := range quantity.Units() {
		if u.Code == unit || u.Symbol == unit {
			return u.Dim, true
		}
	}
	return "", false
}

// written are a value's own three cells: text, upper text and how it is meant, and its unit.
func written(w quantity.Written) []string {
	return []string{asWritten(w.Text), asWritten(w.To), w.Is, text(w.Unit)}
}

func writtenHeads(what string) []string {
	return []string{what + " as written", what + " as written, upper of two", what + " is", what + " unit as written"}
}
