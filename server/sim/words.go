package sim

import (
	"fmt"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
)

// sheet is a type sheet that is small enough for many histories and has places for journals, bores and a joint.
const sheet = `{"name":"T","cylinders":2,"mains":2,"end1":"fan","end2":"flywheel","nominal":{"main.journal":{"t":"75.000","u":"mm"}},
"features":[{"at":"main.N.journal","count":2,"words":"main {n}","part":"crank","sheet":"crank","unit":"mm","points":["a.V","b.V"],"size":"main.journal","shape":"journal"},
{"at":"main.N.shell","count":2,"words":"shell {n}","sheet":"crank","unit":"mm","points":["b.V"],"shape":"shell"},
{"at":"cyl.N.liner","count":2,"words":"cylinder {n}","sheet":"bores","unit":"mm","shape":"cylinder"}],
"joints":[{"joint":"head","words":"head","fasteners":[{"n":"1","x":1,"y":1},{"n":"2","x":2,"y":1}]}]}`

var (
	engines    = []string{"2117", "2123"}
	places     = []string{"main.1.journal", "main.2.journal", "main.1.shell", "cyl.1.liner", "cyl.2.liner"}
	conditions = []string{"found", "found", "found", "machined:1", "built"}
	values     = []string{"75.000", "74.998", "74.981", "75.04", "75.062", "120.03"}
)

// deed is one kind of thing that people write, with how often in a hundred. It may find nothing to write about; then a
// reading is taken instead.
type deed struct {
	often int
	draft func(h *history, p *phone) (draft, bool)
}

var deeds = []deed{
	{34, reading}, {10, correction}, {7, withdrawal}, {5, restoring}, {7, moving}, {8, tightening}, {8, note}, {4, asking},
	{4, deciding}, {5, limiting}, {3, zeroing}, {5, newer},
}

// anything is the next thing that somebody writes on a phone. The first phone sets the job up.
func (h *history) anything(p *phone) draft {
	if n := p.disk.log.seq; p.name == "P0" && p.disk.log.continues == "" && n < int64(len(setUp))+1 && n > 0 {
		return setUp[n-1]
	}
	n := h.rng.IntN(100)
	for _, d := range deeds {
		if n -= d.often; n < 0 {
			if out, ok := d.draft(h, p); ok {
				return out
			}
			break
		}
	}
	out, _ := reading(h, p)
	return out
}

var setUp = []draft{
	{kind: "job", body: text("title", "Railcar")},
	{kind: "pattern", body: jcs.Obj(jcs.M("pattern", jcs.Str("t")), jcs.M("data", parsed(sheet)))},
	{kind: "engine", body: engine("2117", "seventeen", "solid")},
	{kind: "engine", body: engine("2123", "other", "hatched")},
	{kind: "instrument", body: jcs.Obj(jcs.M("instrument", jcs.Str("M1")), jcs.M("what", jcs.Str("micrometer")),
		jcs.M("res", mm("0.001")), jcs.M("u", mm("0.002")))},
	{kind: "person", body: text("person", "maud").With("name", jcs.Str("Maud")).With("role", jcs.Str("lead"))},
}

func parsed(s string) jcs.Value {
	v, err := jcs.Parse([]byte(s))
	if err != nil {
		panic("bug: " + err.Error())
	}
	return v
}

func text(name, words string) jcs.Value { return jcs.Obj(jcs.M(name, jcs.Str(words))) }

func mm(t string) jcs.Value { return jcs.Obj(jcs.M("t", jcs.Str(t)), jcs.M("u", jcs.Str("mm"))) }

func engine(asm, name, band string) jcs.Value {
	return text("asm", asm).With("pattern", jcs.Str("t")).With("name", jcs.Str(name)).With("band", jcs.Str(band))
}

// known picks an entry of one of the kinds that the phone holds.
func (h *history) known(p *phone, kinds ...string) (entry.Entry, bool) {
	var fit []entry.Entry
	for _, id := range p.disk.order {
		e := p.disk.rows[id].Entry
		for _, k := range kinds {
			if e.Kind == k {
				fit = append(fit, e)
			}
		}
	}
	if len(fit) == 0 {
		return entry.Entry{}, false
	}
	return pick(h, fit), true
}

// place is what something is about; now and then with the side that the phone shows.
func (h *history) place(p *phone) jcs.Value {
	of := text("asm", pick(h, engines)).With("at", jcs.Str(pick(h, places))).With("point", jcs.Str("b.V"))
	if e, ok := h.known(p, "fitting"); ok && h.chance(500) {
		of = of.With("side", jcs.Str(pick(h, []string{"left", "right"}))).With("fitting", jcs.Str(string(e.ID)))
	}
	return of
}

func reading(h *history, p *phone) (draft, bool) {
	body := jcs.Obj(jcs.M("of", h.place(p)), jcs.M("cond", jcs.Str(pick(h, conditions))), jcs.M("value", mm(pick(h, values))),
		jcs.M("instrument", jcs.Str("M1")), jcs.M("read_by", jcs.Str(p.of)))
	if z, ok := h.known(p, "zero"); ok && h.chance(300) {
		body = body.With("zero", jcs.Str(string(z.ID)))
	}
	return draft{kind: "reading", body: body}, true
}

// correction takes the place of a reading; often two phones do so without knowing of each other. Now and then it is a ruling
// over two.
func correction(h *history, p *phone) (draft, bool) {
	e, ok := h.known(p, "reading")
	if !ok || e.Bad != "" {
		return draft{}, false
	}
	d := draft{kind: "reading", body: e.Body.With("value", mm(pick(h, values))), over: []entry.ID{e.ID}}
	if o, _ := h.known(p, "reading"); h.chance(250) {
		d.over = append(d.over, o.ID)
	}
	return d, true
}

func withdrawal(h *history, p *phone) (draft, bool) {
	e, ok := h.known(p, "reading", "note", "limit", "tighten", "fitting", "withdraw", "decision")
	return draft{kind: "withdraw", body: text("why", "a mistake"), over: []entry.ID{e.ID}}, ok
}

func restoring(h *history, p *phone) (draft, bool) {
	e, ok := h.known(p, "withdraw")
	return draft{kind: "restore", body: text("why", "it was right"), over: []entry.ID{e.ID}}, ok
}

func moving(h *history, p *phone) (draft, bool) {
	move := text("asm", pick(h, engines)).With("side", jcs.Str(pick(h, []string{"left", "right"})))
	d := draft{kind: "fitting", body: jcs.Obj(jcs.M("moves", jcs.Arr(move)),
		jcs.M("day", jcs.Str(fmt.Sprintf("2031-04-%02d", 1+h.rng.IntN(28)))))}
	if e, ok := h.known(p, "fitting"); ok && h.chance(700) {
		d.after = []entry.ID{e.ID}
	}
	return d, true
}

func tightening(h *history, p *phone) (draft, bool) {
	of := text("asm", pick(h, engines)).With("at", jcs.Str("head"))
	return draft{kind: "tighten", body: jcs.Obj(jcs.M("of", of), jcs.M("pass", jcs.Int(int64(1+h.rng.IntN(3)))),
		jcs.M("fasteners", jcs.Strs([]string{pick(h, []string{"1", "2"})})),
		jcs.M("torque", jcs.Obj(jcs.M("t", jcs.Str(pick(h, []string{"50", "95"}))), jcs.M("u", jcs.Str("N.m")))),
		jcs.M("thread", jcs.Str("oiled")), jcs.M("tool", jcs.Str("W2")))}, true
}

func note(h *history, p *phone) (draft, bool) {
	return draft{kind: "note", body: text("text", pick(h, []string{"look here", "weeps a little", "0,35 geht nicht"})).With("of", h.place(p))}, true
}

func asking(h *history, p *phone) (draft, bool) {
	return draft{kind: "ask", body: jcs.Obj(jcs.M("of", h.place(p)), jcs.M("cond", jcs.Str("found")), jcs.M("why", jcs.Str("again, please")))}, true
}

func deciding(h *history, p *phone) (draft, bool) {
	e, ok := h.known(p, "reading")
	return draft{kind: "decision", body: jcs.Obj(jcs.M("decide", jcs.Str("undersize")), jcs.M("asm", jcs.Strs(engines[:1])),
		jcs.M("chosen", text("size", pick(h, []string{"0.25", "0.50"}))), jcs.M("rests", jcs.Arr()),
		jcs.M("inputs", jcs.Strs([]entry.ID{e.ID})), jcs.M("why", jcs.Str("the next size")))}, ok
}

func limiting(h *history, p *phone) (draft, bool) {
	body := jcs.Obj(jcs.M("limit", jcs.Str("main.journal")), jcs.M("asm", jcs.Str(pick(h, engines))), jcs.M("min", mm("74.95")),
		jcs.M("judged", jcs.Str(pick(h, []string{"read", "margin"}))), jcs.M("words", jcs.Str("as the book says")))
	d := draft{kind: "limit", body: body}
	if e, ok := h.known(p, "limit"); ok && h.chance(500) {
		d.over = []entry.ID{e.ID}
	}
	return d, true
}

func zeroing(h *history, p *phone) (draft, bool) {
	return draft{kind: "zero", body: jcs.Obj(jcs.M("instrument", jcs.Str("M1")), jcs.M("bar", mm("25.000")), jcs.M("read", mm("25.002")))}, true
}

// newer is what only a later version of the app writes: a kind or fields that the others do not know.
func newer(h *history, p *phone) (draft, bool) {
	d, ok := reading(h, p)
	if !p.newer {
		return d, ok
	}
	d.newer, d.body = true, d.body.With("humidity", jcs.Str("55 %"))
	if h.chance(500) {
		d.kind = "thermogram"
	}
	if e, ok := h.known(p, "reading"); ok && h.chance(400) {
		d.over = []entry.ID{e.ID}
	}
	return d, true
}
