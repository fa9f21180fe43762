package view

import (
	"slices"
	"strings"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

// clutchTry is something that is tried of each clutch, cold and hot (common
// practice, no source; that equality between the sides matters more than the
// figure too).
type clutchTry struct{ key, words, unit string }

var clutchTries = []clutchTry{
	{"free travel", "Free travel of the lever", "mm"},
	{"take-up", "Take-up: where it begins to turn the output", "mm"},
	{"engagement", "Full engagement, no slip felt", ""},
	{"drag", "Drag when out, by the balance on the arm", "N"},
	{"slip", "Output held, engine at its speed for the seconds agreed", "s"},
	{"both in", "Both in together, taken up alike", ""},
	{"other stopped", "This one in, the other engine stopped: the stopped one is not turned", ""},
	{"other idling", "This one in, the other engine idling", ""},
}

const clutchCaution = "Wheels chocked, brake on, nobody between the vehicle and the buffers, guards on the couplings. Slip makes heat: seconds, then let it cool, and feel for it without touching. A stopped engine that is turned through its clutch runs without oil. Old linings may hold asbestos: no blowing, no brushing."

// clutch is the matrix of what was tried of both clutches, and what was not.
func (v *viewer) clutch() jcs.Value {
	es := v.inOrder()
	untried := 0
	rows := list("rows", clutchTries, func(t clutchTry) jcs.Value {
		var cells []jcs.Value
		for _, e := range es {
			for _, hot := range []bool{false, true} {
				c := v.clutchCell(e, t.key, hot)
				if len(c.open) == 0 {
					untried++
				}
				cells = append(cells, v.cellJSON(e, c))
			}
		}
		return jcs.Obj(text("try", t.key), text("words", t.words), str("unit", t.unit), jcs.M("cells", jcs.Arr(cells...)))
	})
	return jcs.Obj(list("engines", es, v.tag), rows, num("untried", untried), text("caution", clutchCaution))
}

// cell is one try of one clutch, cold or hot: the results that no other
// answers, and all that was kept.
type cell struct {
	hot       bool
	open, all []*record.ClutchTry
}

func (v *viewer) clutchCell(e *record.Engine, try string, hot bool) cell {
	c := cell{hot: hot}
	for i := range v.st.Clutches {
		if t := &v.st.Clutches[i]; t.Of.Asm == e.Serial && t.Try == try && t.Hot == hot {
			c.all = append(c.all, t)
		}
	}
	for _, t := range c.all {
		if !slices.ContainsFunc(c.all, func(o *record.ClutchTry) bool { return o.ID != t.ID && slices.Contains(o.Again, t.ID) }) {
			c.open = append(c.open, t)
		}
	}
	return c
}

// state of a cell: what its open results say, when they say one thing.
func (c cell) state() string {
	if len(c.open) == 0 {
		return "untried"
	}
	for _, t := range c.open[1:] {
		if t.Result != c.open[0].Result {
			return "differ"
		}
	}
	return c.open[0].Result
}

func (v *viewer) cellJSON(e *record.Engine, c cell) jcs.Value {
	var again []entry.ID
	figure := ""
	for _, t := range c.open {
		again = append(again, t.ID)
		if t.Value != nil {
			figure = t.Value.String()
		}
	}
	return jcs.Obj(text("asm", e.Serial), flag("hot", c.hot), text("state", c.state()), str("figure", figure), jcs.M("of", of(e, "", "")), jcs.M("again", jcs.Strs(again)),
		list("tries", c.all, func(t *record.ClutchTry) jcs.Value {
			value := ""
			if t.Value != nil {
				value = t.Value.String()
			}
			return jcs.Obj(str("id", string(t.ID)), text("result", t.Result), str("value", value), str("words", t.Words), text("by", v.person(t.By)), text("at", t.At),
				yes("open", slices.Contains(c.open, t)))
		}))
}

// untriedClutch: every try of an engine's clutch, hot, and good.
func (v *viewer) untriedClutch(e *record.Engine) []todo {
	var out []todo
	open := jcs.Obj(str("screen", "clutch"), str("asm", e.Serial))
	for _, t := range clutchTries {
		if s := v.clutchCell(e, t.key, true).state(); s != "good" {
			out = append(out, todo{"Clutch of " + e.Serial + " · " + strings.ToLower(t.words[:1]) + t.words[1:] + ", hot: " + s, open})
		}
	}
	return out
}
