package record

import (
	"cmp"
	"slices"
	"strings"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/pattern"
	"witnessmark/sync/quantity"
	"witnessmark/sync/reconcile"
)

// Build works out the state of a job.
func Build(r *reconcile.Resolved) *State {
	b := &builder{r: r, s: &State{resolved: r}, places: map[placeKey]int{}, cranks: map[string][]stay{}}
	b.s.built = b
	b.s.Entries, b.s.Forks = len(r.Ordered), len(r.Forks)
	b.contests()
	b.setUp()
	b.fittings()
	b.parts()
	b.readings()
	b.tightenings()
	b.holds()
	b.runs()
	b.snags()
	b.clutchTries()
	b.remarks()
	b.stages()
	b.media()
	b.finish()
	return b.s
}

// builder is Build at work.
type builder struct {
	r       *reconcile.Resolved
	s       *State
	places  map[placeKey]int    // where each stands in s while it is being built
	moves   map[entry.ID][]move // fittings that stand, by id
	ended   map[endKey]string   // the day on which a fitting ended for an engine
	applied map[entry.ID][]application

	followed map[entry.ID]bool // steps of parts that a later step follows
	left     map[entry.ID]bool // steps of parts that a later move ended
	bought   map[entry.ID]bool // steps of buying that a later one, or a fitting, follows
	cranks   map[string][]stay // other cranks that were in an engine
}

// standing visits every entry that stands and says something of that kind,
// with the body that it says.
func (b *builder) standing(kind string, visit func(it *reconcile.Item, body jcs.Value)) {
	for i := range b.r.Ordered {
		it := b.r.Ordered[i]
		if it.State == reconcile.Stands && it.Says == kind {
			visit(it, it.Effective)
		}
	}
}

// setUp reads the single-valued registers. While one is contested its first
// entry is shown; the contest is listed beside it.
func (b *builder) setUp() {
	b.standing("job", func(_ *reconcile.Item, v jcs.Value) {
		if b.s.Job.Title == "" {
			b.s.Job = Job{v.Get("title").Text(), v.Get("vehicle").Text()}
		}
	})
	b.standing("numbering", func(it *reconcile.Item, v jcs.Value) {
		if b.s.Numbering.Name == "" {
			b.s.Numbering = numberingOf(it, v)
		}
	})
	b.standing("person", func(it *reconcile.Item, _ jcs.Value) {
		p := personOf(it)
		if _, ok := b.s.Person(p.Key); !ok {
			b.s.People = append(b.s.People, p)
		}
	})
	b.standing("instrument", func(it *reconcile.Item, v jcs.Value) {
		k := v.Get("instrument").Text()
		if _, ok := b.s.Instrument(k); !ok {
			b.s.Instruments = append(b.s.Instruments, Instrument{it.ID, k, v.Get("what").Text(),
				value(v.Get("res")), value(v.Get("u")), value(v.Get("from")), value(v.Get("to")), v.Get("due").Text(), it.Contest > 0})
		}
	})
	b.standing("zero", func(it *reconcile.Item, v jcs.Value) { b.s.Zeros = append(b.s.Zeros, zeroOf(it, v)) })
	b.standing("pattern", b.sheet)
	b.standing("engine", b.engine)
	b.standing("limit", func(it *reconcile.Item, v jcs.Value) { b.s.Limits = append(b.s.Limits, limitOf(it, v)) })
	b.logs()
}

func personOf(it *reconcile.Item) Person {
	v := it.Effective
	return Person{it.ID, v.Get("person").Text(), v.Get("name").Text(), v.Get("role").Text()}
}

func numberingOf(it *reconcile.Item, v jcs.Value) Numbering {
	return Numbering{ID: it.ID, Name: v.Get("name").Text(), End1: v.Get("end1").Text(), End2: v.Get("end2").Text(),
		Facing: v.Get("facing").Text(), Left: v.Get("left").Text(), Right: v.Get("right").Text(), Machinists: machinistsOf(v)}
}

func zeroOf(it *reconcile.Item, v jcs.Value) Zero {
	return Zero{it.ID, v.Get("instrument").Text(), v.Get("in").Text(), value(v.Get("bar")), value(v.Get("read")), it.At, it.By}
}

func limitOf(it *reconcile.Item, v jcs.Value) Limit {
	return Limit{ID: it.ID, Name: v.Get("limit").Text(), Asm: v.Get("asm").Text(), Pattern: v.Get("pattern").Text(),
		Min: optional(v.Get("min")), Max: optional(v.Get("max")), AlsoMin: optional(v.Get("also_min")), AlsoMax: optional(v.Get("also_max")),
		TestPressure: optional(v.Get("test_pressure")), TestTime: optional(v.Get("test_time")), Margin: v.Get("judged").Text() == "margin",
		Words: v.Get("words").Text(), Page: v.Get("page").Text(), Accepted: v.Get("accepted").Text(), Photos: refs(v.Get("photos")), Contested: it.Contest > 0}
}

func (b *builder) sheet(it *reconcile.Item, v jcs.Value) {
	key := v.Get("pattern").Text()
	if slices.ContainsFunc(b.s.Patterns, func(s Sheet) bool { return s.Key == key }) {
		return
	}
	sheet := Sheet{ID: it.ID, Key: key}
	p, err := pattern.Parse(v.Get("data"))
	if err != nil {
		sheet.Why = err.Error()
		b.s.Unusable = append(b.s.Unusable, bad(it, sheet.Why))
	}
	sheet.Pattern = p
	b.s.Patterns = append(b.s.Patterns, sheet)
}

func (b *builder) engine(it *reconcile.Item, v jcs.Value) {
	serial := v.Get("asm").Text()
	if _, ok := b.s.Engine(serial); ok {
		return
	}
	e := Engine{ID: it.ID, Serial: serial, Name: v.Get("name").Text(), Band: v.Get("band").Text(), Type: v.Get("pattern").Text(), Crank: implicit(serial, "crank")}
	if i := slices.IndexFunc(b.s.Patterns, func(s Sheet) bool { return s.Key == e.Type }); i >= 0 {
		e.Pattern = b.s.Patterns[i].Pattern
	}
	b.s.Engines = append(b.s.Engines, e)
}

// logs lists the device logs; one whose first entry has not arrived has no name yet.
func (b *builder) logs() {
	at := map[entry.LogID]int{}
	for i := range b.r.Ordered {
		it := b.r.Ordered[i]
		k, ok := at[it.Log]
		if !ok {
			k = len(b.s.Logs)
			at[it.Log] = k
			b.s.Logs = append(b.s.Logs, Log{Log: it.Log})
		}
		l := &b.s.Logs[k]
		l.Entries++
		l.Last = max(l.Last, it.Seq)
		if it.Kind == "log" && it.State == reconcile.Stands && l.Device == "" {
			l.Device, l.Name, l.Of = it.Body.Get("device").Text(), it.Body.Get("name").Text(), it.Body.Get("of").Text()
		}
	}
}

// finish puts what was gathered from maps and registers in order.
func (b *builder) finish() {
	s := b.s
	b.strays()
	b.strayRemarks()
	order.By(s.People, func(x, y Person) int { return cmp.Compare(x.Key, y.Key) })
	order.By(s.Instruments, func(x, y Instrument) int { return cmp.Compare(x.Key, y.Key) })
	order.By(s.Engines, func(x, y Engine) int { return cmp.Compare(x.Serial, y.Serial) })
	order.By(s.Patterns, func(x, y Sheet) int { return cmp.Compare(x.Key, y.Key) })
	order.By(s.Parts, func(x, y Part) int { return cmp.Compare(x.Key, y.Key) })
	order.By(s.Logs, func(x, y Log) int { return cmp.Compare(x.Log, y.Log) })
	order.By(s.Limits, func(x, y Limit) int {
		return cmp.Or(cmp.Compare(x.Name, y.Name), cmp.Compare(x.Asm, y.Asm), cmp.Compare(x.Pattern, y.Pattern), cmp.Compare(x.ID, y.ID))
	})
	order.By(s.Joints, func(x, y Joint) int {
		return cmp.Or(cmp.Compare(x.Asm, y.Asm), cmp.Compare(x.Joint, y.Joint), cmp.Compare(x.Cond, y.Cond))
	})
	for i := range b.r.Ordered {
		it := b.r.Ordered[i]
		if it.State == reconcile.Unusable {
			s.Unusable = append(s.Unusable, bad(it, it.Why))
		}
		if it.NeedsNewer || !it.Known() {
			s.NeedsNewer = append(s.NeedsNewer, it.ID)
		}
	}
	order.By(s.Unusable, func(x, y Bad) int { return cmp.Compare(x.ID, y.ID) })
	slices.Sort(s.NeedsNewer)
	order.By(s.Contests, func(x, y Contest) int {
		return cmp.Or(cmp.Compare(x.ID, y.ID), cmp.Compare(x.Register, y.Register))
	})
}

func bad(it *reconcile.Item, why string) Bad {
	return Bad{it.ID, it.Kind, it.Log, it.Seq, it.By, why, ofBody(it.Body.Get("of"))}
}

func value(v jcs.Value) quantity.Written {
	return quantity.Written{Text: v.Get("t").Text(), To: v.Get("to").Text(), Unit: v.Get("u").Text(), Is: v.Get("is").Text()}
}

func optional(v jcs.Value) *quantity.Written {
	if v.IsNull() {
		return nil
	}
	w := value(v)
	return &w
}

func ofBody(v jcs.Value) Of {
	return Of{Asm: v.Get("asm").Text(), Side: v.Get("side").Text(), At: v.Get("at").Text(), Point: v.Get("point").Text(),
		Part: v.Get("part").Text(), Fitting: entry.ID(v.Get("fitting").Text())}
}

// implicit is the tag of a part that nobody tagged: that which the engine came with.
func implicit(asm, part string) string { return asm + ":" + part }

// IsImplicit reports whether a tag is one that nobody gave.
func IsImplicit(tag string) bool { return strings.Contains(tag, ":") }
