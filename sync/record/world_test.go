package record

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
)

const testJob = entry.JobID("0123456789abcdef0123456789abcdef")

// device is a phone that writes entries.
type device struct {
	t    testing.TB
	log  entry.LogID
	by   string
	day  string // "" for 2027-03-07
	last entry.Entry
	all  *[]entry.Entry
}

func newDevice(t testing.TB, n int, by string, all *[]entry.Entry) *device {
	return &device{t: t, log: entry.LogID(fmt.Sprintf("%032x", n)), by: by, all: all}
}

// write writes an entry with a body in JSON.
func (d *device) write(kind, body string, over ...entry.ID) entry.ID {
	return d.writeAfter(kind, body, nil, over...)
}

func (d *device) writeAfter(kind, body string, after []entry.ID, over ...entry.ID) entry.ID {
	d.t.Helper()
	v, err := jcs.Parse([]byte(body))
	if err != nil {
		d.t.Fatalf("%v: %s", err, body)
	}
	e, err := entry.Compose(entry.Entry{Job: testJob, Log: d.log, Seq: d.last.Seq + 1, Prev: d.last.ID, At: first(d.day, "2027-03-07") + "T10:00:00+00:00",
		By: d.by, Kind: kind, Over: over, After: after, Body: v})
	if err != nil {
		d.t.Fatalf("%v: %s %s", err, kind, body)
	}
	d.last = e
	*d.all = append(*d.all, e)
	return e.ID
}

// raw writes what this version would not: an entry of a kind from a newer one.
func (d *device) raw(kind, body string, over ...entry.ID) {
	d.t.Helper()
	text := fmt.Sprintf(`{"at":"2027-03-07T10:00:00+00:00","body":%s,"by":%q,"job":%q,"kind":%q,"log":%q,"over":[%q],"prev":%q,"seq":%d,"v":1}`,
		body, d.by, testJob, kind, d.log, over[0], d.last.ID, d.last.Seq+1)
	e, err := entry.Read([]byte(text))
	if err != nil || e.Bad != "" {
		d.t.Fatalf("%v %s: %s", err, e.Bad, text)
	}
	d.last = e
	*d.all = append(*d.all, e)
}

func sheetBody(t testing.TB) string {
	raw, err := os.ReadFile("../../testdata/demo/pattern.json")
	if err != nil {
		t.Fatal(err)
	}
	return `{"pattern":"ellandry-u6","data":` + string(raw) + `}`
}

func readingBody(asm, at, point, cond, value, more string) string {
	if point != "" {
		more += fmt.Sprintf(`,"point":%q`, point)
	}
	return fmt.Sprintf(`{"of":{"asm":%q,"at":%q%s},"cond":%q,"value":{"t":%q,"u":"mm"},"read_by":"idris","instrument":"M1"}`,
		asm, at, more, cond, value)
}

func build(entries []entry.Entry) *State {
	set := reconcile.New()
	for _, e := range entries {
		set.AddEntry(e)
	}
	return Build(set.Resolve())
}

// history writes what 3 to 5 phones might write, each knowing only part of
// what the others did, with corrections, withdrawals, moves and forks.
type history struct {
	r       *rand.Rand
	all     []entry.Entry
	devices []*device
}

func newHistory(t testing.TB, seed uint64) *history {
	h := &history{r: rand.New(rand.NewPCG(seed, 99))}
	people := []string{"maud", "idris", "pell", "bram", "tamsin"}
	for i := range 3 + h.r.IntN(3) {
		d := newDevice(t, i+1, people[i], &h.all)
		d.write("log", fmt.Sprintf(`{"device":"own","name":"P%d","of":%q}`, i, people[i]))
		h.devices = append(h.devices, d)
	}
	h.devices[0].write("pattern", tinySheet)
	for range 15 + h.r.IntN(25) {
		h.step()
	}
	return h
}

// tinySheet keeps a thousand histories fast.
const tinySheet = `{"pattern":"t","data":{"name":"T","cylinders":2,"mains":2,"end1":"fan","end2":"flywheel","nominal":{"main.journal":{"t":"75.000","u":"mm"}},
"features":[{"at":"main.N.journal","count":2,"words":"main {n}","part":"crank","sheet":"crank","unit":"mm","points":["b.V"],"size":"main.journal","shape":"journal"},
{"at":"cyl.N.liner","count":2,"words":"cylinder {n}","sheet":"bores","unit":"mm","shape":"cylinder"}],
"joints":[{"joint":"head","words":"head","fasteners":[{"n":"1","x":1,"y":1},{"n":"2","x":2,"y":1}]}]}}`

func (h *history) pick(list ...string) string { return list[h.r.IntN(len(list))] }

// some picks an entry of one of the kinds, known or not yet to the writer.
func (h *history) some(kinds ...string) (entry.Entry, bool) {
	var fit []entry.Entry
	for _, e := range h.all {
		for _, k := range kinds {
			if e.Kind == k {
				fit = append(fit, e)
			}
		}
	}
	if len(fit) == 0 {
		return entry.Entry{}, false
	}
	return fit[h.r.IntN(len(fit))], true
}

func (h *history) step() {
	d := h.devices[h.r.IntN(len(h.devices))]
	if h.r.IntN(25) == 0 && len(h.all) > 3 { // a fork: the phone was restored
		for _, e := range h.all {
			if e.Log == d.log && h.r.IntN(2) == 0 {
				d.last = e
			}
		}
	}
	asm := h.pick("2117", "2123")
	switch h.r.IntN(35) {
	case 16: // a correction of something else than a reading, with the same or another body
		if e, ok := h.some("zero", "fitting", "tighten", "part", "note", "apply", "limit", "engine", "photo", "voice", "mark", "hold-test", "run", "adjust", "clutch", "snag", "decision", "sign", "stages"); ok {
			other := e
			for range 5 {
				if o, _ := h.some(e.Kind); entry.Register(o) == entry.Register(e) {
					other = o
				}
			}
			d.writeAfter(e.Kind, other.Body.String(), append(slices.Clone(e.After), other.After...), e.ID)
		}
	case 17: // two phones correct one reading alike
		if e, ok := h.some("reading"); ok {
			for _, d := range h.devices[:2] {
				d.write("reading", string(bodyOf(e, "75.002")), e.ID)
			}
		}
	case 18: // a ruling over two, or something of a newer version
		e, ok := h.some("reading")
		if o, _ := h.some("reading"); ok && h.r.IntN(3) > 0 {
			d.write("reading", string(bodyOf(e, "75.003")), e.ID, o.ID)
		} else if ok {
			d.raw("thermogram", `{"sees":"heat"}`, e.ID)
		}
	case 19:
		of := fmt.Sprintf(`{"asm":%q,"at":"main.1.journal","point":"b.V"}`, asm)
		d.write("reading", fmt.Sprintf(`{"of":%s,"cond":"found","value":{"t":"75.000","u":"mm"},"read_by":%q,"instrument":"M1","blind":true}`, of, h.pick("idris", "pell")))
	case 23, 24, 25, 33:
		h.held(d, asm)
	case 26, 27, 28, 29, 30:
		h.ran(d, asm)
	case 31, 32:
		h.snag(d, asm)
		h.snag(h.devices[h.r.IntN(len(h.devices))], asm)
	case 34:
		h.decided(d, asm)
	case 20:
		z, _ := h.some("zero")
		h.zeroed(d, asm, string(z.ID))
	case 21:
		h.media(d, asm)
	case 22:
		h.mark(d)
	case 0:
		d.write("engine", fmt.Sprintf(`{"asm":%q,"pattern":"t","name":%q,"band":%q}`, asm, h.pick("seventeen", "other"), h.pick("solid", "hatched")))
	case 1, 2:
		var after []entry.ID
		if e, ok := h.some("fitting"); ok && h.r.IntN(3) > 0 {
			after = append(after, e.ID)
		}
		d.writeAfter("fitting", fmt.Sprintf(`{"moves":[{"asm":%q,"side":%q}],"day":"2027-03-0%d"}`, asm, h.pick("left", "right"), 1+h.r.IntN(9)), after)
	case 3:
		var after []entry.ID
		if e, ok := h.some("part"); ok {
			after = append(after, e.ID)
		}
		d.writeAfter("part", fmt.Sprintf(h.pick(`{"part":%q,"state":%q,"as":"crank","asm":%q}`, `{"part":%q,"state":%q,"as":"crank","asm":%q,"supplier":"Orsett","count":4}`),
			h.pick("2117:crank", "2123:crank", "spare"), h.pick("fitted", "removed", "received", "ordered"), asm), after)
		h.part(d)
	case 4, 5, 6, 7:
		h.reading(d, asm)
	case 8:
		if e, ok := h.some("reading"); ok {
			d.write("reading", string(bodyOf(e, h.pick("75.001", "74.999"))), e.ID)
		}
	case 9:
		if e, ok := h.some("reading", "withdraw", "note", "limit", "restore", "part", "fitting", "photo", "voice", "mark", "hold-test", "run", "run", "adjust", "clutch", "snag", "snag", "decision", "sign", "stages"); ok {
			d.write("withdraw", `{"why":"a mistake"}`, e.ID)
		}
	case 10:
		if e, ok := h.some("withdraw", "reading"); ok {
			d.write("restore", `{}`, e.ID)
		}
	case 11:
		d.write("tighten", fmt.Sprintf(`{"of":{"asm":%q,"at":"head"},"cond":"built","pass":%d,"fasteners":[%q],"torque":{"t":"50","u":"N.m"},"thread":"oiled","tool":"W2"}`, asm, 1+h.r.IntN(2), h.pick("1", "2")))
	case 12:
		d.write("zero", fmt.Sprintf(`{"instrument":"M1","bar":{"t":"50.000","u":"mm"},"read":{"t":"49.98%d","u":"mm"}}`, h.r.IntN(9)))
	case 13:
		z, ok := h.some("zero")
		e, ok2 := h.some("reading")
		if ok && ok2 {
			d.write("apply", fmt.Sprintf(`{"zero":%q,"to":[%q]}`, z.ID, e.ID))
		}
	case 14:
		d.write("limit", fmt.Sprintf(`{"limit":"main.size","pattern":"t","min":{"t":%q,"u":"mm"},"test_pressure":{"t":%q,"u":"bar"},"test_time":{"t":"15","u":"min"},"judged":"read","words":"w","accepted":"maud"}`, h.pick("74.950", "74.940"), h.pick("0.5", "0.7")))
	case 15:
		d.write(h.pick("ask", "note", "check"), fmt.Sprintf(`{"of":{"asm":%q,"at":"main.1.journal","point":"b.V"},"cond":"found","text":"look","answer":"skipped","why":"hidden"}`, asm))
	}
}

func (h *history) reading(d *device, asm string) {
	more := ""
	if e, ok := h.some("fitting"); ok && h.r.IntN(2) == 0 {
		more = fmt.Sprintf(`,"side":%q,"fitting":%q`, h.pick("left", "right"), e.ID)
	}
	body := readingBody(asm, h.pick("main.1.journal", "cyl.2.liner"), "b.V", h.pick("found", "machined:1"), h.pick("75.000", "74.998", "74.981"), more)
	if when := h.pick("", "", "", "", "2027-03-04", "about 2019"); when != "" { // off a paper sheet, or off an old list
		body = strings.Replace(body, `"read_by":"idris"`, fmt.Sprintf(`"read_by":%q,"when":%q`, h.pick("idris", Unknown), when), 1)
	}
	d.write("reading", body)
}

// decided is what the lead does on Monday: a plan, a signature or a decision,
// on readings that are there, were, or never arrive.
func (h *history) decided(d *device, asm string) {
	rests := fmt.Sprintf(`"rests":[{"result":"journal/%s/main.1/found","verdict":%q}]`, asm, h.pick("within", "outside"))
	input := fmt.Sprintf("%064x", h.r.IntN(3))
	if e, ok := h.some("reading", "hold-test"); ok {
		input = string(e.ID)
	}
	switch h.r.IntN(4) {
	case 0:
		d.write("stages", fmt.Sprintf(`{"stages":[{"key":"measure","title":%q,"hold":{"key":"HP3","title":"Every reading is here","wants":[{"what":"settled"}]}}]}`, h.pick("Measure", "Measure all")))
	case 1:
		d.write("sign", fmt.Sprintf(`{"hold":"HP3","asm":[%q],%s%s}`, asm, rests, h.pick("", `,"why":"the other one waits"`)))
	default:
		d.write("decision", fmt.Sprintf(`{"decide":%q,"asm":[%q],"chosen":{"size":%q},%s,"inputs":[%q],"why":"next step"}`, h.pick("undersize", "gasket"), asm, h.pick("61.500", "61.750"), rests, input))
	}
}

// media is a photo or a voice note; now and then two of the same bytes.
func (h *history) media(d *device, asm string) {
	kind := h.pick("photo", "voice")
	more := map[string]string{"photo": `"type":"image/jpeg"`, "voice": fmt.Sprintf(`"type":"audio/webm","seconds":%d`, 1+h.r.IntN(300))}[kind]
	d.write(kind, fmt.Sprintf(`{"of":{"asm":%q,"at":"main.1.journal"},"sha":"%064x","size":9,%s}`, asm, h.r.IntN(4), more))
}

// mark marks a photo, known to the writer or not yet, or something that never arrives or is none.
func (h *history) mark(d *device) {
	photo := fmt.Sprintf("%064x", h.r.IntN(9))
	if e, ok := h.some("photo", "photo", "photo", "voice"); ok {
		photo = string(e.ID)
	}
	d.write("mark", fmt.Sprintf(`{"photo":%q,"shape":%q,"x":%d,"y":%d,"to_x":1000,"to_y":0}`, photo, h.pick("arrow", "ring"), h.r.IntN(1000), h.r.IntN(1000)))
}

// held starts a hold test, corrects a start, or ends one: now and then one that
// is corrected, withdrawn, on the other engine, or never arrives.
func (h *history) held(d *device, asm string) {
	of := fmt.Sprintf(`{"asm":%q}`, asm)
	start := fmt.Sprintf(`{"of":%s,"test":%q,"pressure":{"t":%q,"u":"bar"},"wait":{"t":"15","u":"min"}}`, of, h.pick("cooling water", "oil"), h.pick("0.700", "0.710"))
	e, ok := h.some("hold-test", "hold-test", "restore")
	switch h.r.IntN(6) {
	case 0, 1:
		d.write("hold-test", start)
		return
	case 2:
		if ok && e.Kind == "hold-test" && e.Body.Get("start").IsNull() {
			d.write("hold-test", start, e.ID)
			return
		}
	}
	id := string(e.ID)
	if !ok || h.r.IntN(8) == 0 {
		id = fmt.Sprintf("%064x", h.r.IntN(4))
	}
	if s := e.Body.Get("start").Text(); s != "" {
		id = s
	}
	if h.r.IntN(8) > 0 && e.Body.Get("of").Get("asm").Text() != "" {
		of = e.Body.Get("of").String()
	}
	d.write("hold-test", fmt.Sprintf(`{"of":%s,"start":%q,"pressure":{"t":%q,"u":"bar"},"elapsed":{"t":"903","u":"s"}}`, of, id, h.pick("0.618", "0.693")))
}

// ran starts a run, of one engine or of both, or logs a line of one: now and
// then of one that is corrected, withdrawn, of the other engine, or never arrives.
func (h *history) ran(d *device, asm string) {
	of := fmt.Sprintf(`{"asm":%q}`, asm)
	with := h.pick("", `,"with":{"asm":"2123"}`)
	start := fmt.Sprintf(`{"of":%s%s,"does":"start","title":%q,"checks":[{"check":"air","answer":"tried"}]}`, of, with, h.pick("first start", "stations"))
	e, ok := h.some("run", "run", "restore")
	switch h.r.IntN(9) {
	case 0, 1:
		d.write("run", start)
		return
	case 2:
		if ok && e.Body.Get("does").Text() == "start" {
			d.write("run", start, e.ID)
			return
		}
	case 3:
		if h.r.IntN(2) == 0 {
			d.write("clutch", fmt.Sprintf(`{"of":%s,"try":"drag","result":%q}`, of, h.pick("good", "bad")))
			return
		}
		d.write("adjust", fmt.Sprintf(`{"of":%s,"what":"idle stop","way":"in","turned":{"t":"0.5","u":"1"},"run":"%064x","round":1}`, of, h.r.IntN(4)))
		return
	}
	id := string(e.ID)
	if !ok || h.r.IntN(10) == 0 {
		id = fmt.Sprintf("%064x", h.r.IntN(3))
	}
	if s := e.Body.Get("run").Text(); s != "" {
		id = s
	}
	if h.r.IntN(6) > 0 && e.Body.Get("of").Get("asm").Text() != "" {
		of = e.Body.Get("of").String()
	}
	h.logged(d, of, id)
}

// logged is a line of a run.
func (h *history) logged(d *device, of, run string) {
	more := h.pick(`"does":"sample","what":"oil.pressure","value":{"t":"2.8","u":"bar"}`, `"does":"sample","what":"speed","station":"800","value":{"t":"802","u":"rpm"}`,
		`"does":"samples","columns":[{"what":"oil.pressure","u":"bar","values":"2.8 - 2.7"}],"step":{"t":"1","u":"s"}`,
		`"does":"samples","columns":[{"what":"coolant","u":"degC","values":"58 59"}],"times":"3 2"`, `"does":"sample","what":"oil.pressure","seen":"seen"`, `"does":"event","event":"smoke white"`, `"does":"stop","why":"as planned"`)
	d.write("run", fmt.Sprintf(`{"of":%s,"run":%q,"elapsed":{"t":"%d","u":%q},%s}`, of, run, h.r.IntN(9), h.pick("s", "s", "s", "min", "mm"), more))
}

// part says what the spare is, or takes it in.
func (h *history) part(d *device) {
	switch h.r.IntN(4) {
	case 0:
		d.write("part", fmt.Sprintf(`{"part":"spare","state":"known","what":"crank","batch":%q,"stored":"C2"}`, h.pick("B1", "B2")))
	case 1:
		d.write("part", fmt.Sprintf(`{"part":"spare","state":"accepted","inward":[{"what":"pins","want":"61.500","got":"61.498","answer":%q}],"note":"good enough"}`, h.pick("yes", "no")))
	}
}

// snag raises a snag, or says a step of one: known or not to the writer, after
// all that was said of it or only some, proven by a test that was or was not
// begun after the cure.
func (h *history) snag(d *device, asm string) {
	raised := func(e entry.Entry) bool { return e.Kind == "snag" && e.Body.Get("state").Text() == "raised" }
	i := slices.IndexFunc(h.all, raised)
	if i < 0 || h.r.IntN(6) == 0 {
		d.write("snag", fmt.Sprintf(`{"state":"raised","of":{"asm":%q},"what":"drips"}`, asm))
		return
	}
	id, after := h.all[i].ID, []entry.ID{h.all[i].ID}
	if h.r.IntN(12) == 0 {
		id = entry.ID(fmt.Sprintf("%064x", h.r.IntN(3)))
		after = []entry.ID{id}
	}
	for _, e := range h.all {
		if e.Body.Get("snag").Text() == string(id) && h.r.IntN(5) > 0 {
			after = append(after, e.ID)
		}
	}
	switch h.r.IntN(5) {
	case 0, 1:
		d.writeAfter("snag", fmt.Sprintf(`{"state":"cured","snag":%q,"did":%q,"twin":"sound there"}`, id, h.pick("new washer", "nipped up")), after)
	case 2, 3:
		asm := h.all[i].Body.Get("of").Get("asm").Text()
		test := d.writeAfter("hold-test", fmt.Sprintf(`{"of":{"asm":%q},"test":"fuel","pressure":{"t":"0.50","u":"bar"}}`, asm), after)
		if h.r.IntN(4) > 0 {
			d.write("hold-test", endBody(asm, test, "0.50"))
		}
		d.writeAfter("snag", fmt.Sprintf(`{"state":"proven","snag":%q,"test":%q,"seen_by":"bram"}`, id, test), append(after, test))
	default:
		d.writeAfter("snag", fmt.Sprintf(`{"state":"reopened","snag":%q,"did":"drips again"}`, id), after)
	}
}

// zeroed is a reading that names a zero check, now and then one that never arrives.
func (h *history) zeroed(d *device, asm, zero string) {
	if zero == "" || h.r.IntN(5) == 0 {
		zero = fmt.Sprintf("%064x", h.r.IntN(9))
	}
	d.write("reading", fmt.Sprintf(`{"of":{"asm":%q,"at":"main.1.journal","point":"b.V"},"cond":"found","value":{"t":"75.000","u":"mm"},"read_by":"idris","instrument":"M1","zero":%q}`, asm, zero))
}

// bodyOf is a reading's body with another value.
func bodyOf(e entry.Entry, value string) []byte {
	return e.Body.With("value", jcs.Obj(jcs.M("t", jcs.Str(value)), jcs.M("u", jcs.Str("mm")))).Append(nil)
}
