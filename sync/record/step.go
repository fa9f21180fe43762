package record

import (
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
)

func stepOf(it *reconcile.Item) Step {
	v := it.Effective
	get := func(name string) string { return v.Get(name).Text() }
	s := Step{ID: it.ID, State: stateOf(it), Asm: get("asm"), Place: get("at"), Day: get("day"), By: it.By, Note: get("note"), On: partDay(it),
		Order: Order{Supplier: get("supplier"), Due: get("due"), Lead: get("lead"), Answer: get("answer"), Waits: get("waits"), Price: optional(v.Get("price")),
			Count: v.Get("count").Int64(), Decision: entry.ID(get("decision"))}}
	if s.State != "known" {
		s.Photos = refs(v.Get("photos"))
	}
	for _, m := range v.Get("matters").Items() {
		s.Matters = append(s.Matters, Matter{m.Get("what").Text(), m.Get("want").Text()})
	}
	for _, l := range v.Get("inward").Items() {
		s.Inward = append(s.Inward, Inward{l.Get("what").Text(), l.Get("want").Text(), l.Get("got").Text(), l.Get("answer").Text() == "no"})
	}
	return s
}

// describe takes up what a part is; while two entries differ about it the first is shown.
func (p *Part) describe(it *reconcile.Item) {
	v := it.Effective
	p.Known = append(p.Known, it.ID)
	if len(p.Known) > 1 {
		return
	}
	p.Origin, p.Batch, p.Papers, p.Stored = v.Get("origin").Text(), v.Get("batch").Text(), v.Get("papers").Text(), v.Get("stored").Text()
	p.Undersize, p.Photos = optional(v.Get("undersize")), refs(v.Get("photos"))
}

func (s Step) json() jcs.Value {
	return jcs.Obj(id("id", s.ID), str("state", s.State), str("asm", s.Asm), str("place", s.Place), str("day", s.Day), str("by", s.By), str("note", s.Note),
		str("supplier", s.Supplier), opt("price", s.Price), whole("count", s.Count), str("due", s.Due), str("lead", s.Lead), str("answer", s.Answer), str("waits", s.Waits),
		id("decision", s.Decision), some("matters", s.Matters, Matter.json), some("inward", s.Inward, Inward.json), ids("photos", s.Photos))
}

// whole is left out where nothing was counted.
func whole(key string, n int64) jcs.Member {
	if n == 0 {
		return jcs.M(key, jcs.Null())
	}
	return jcs.M(key, jcs.Int(n))
}

func (m Matter) json() jcs.Value { return jcs.Obj(str("what", m.What), str("want", m.Want)) }

func (l Inward) json() jcs.Value {
	return jcs.Obj(str("what", l.What), str("want", l.Want), str("got", l.Got), flag("no", l.No))
}

// Part returns the part of that tag.
func (s *State) Part(key string) (*Part, bool) {
	for i := range s.Parts {
		if s.Parts[i].Key == key {
			return &s.Parts[i], true
		}
	}
	return nil, false
}

// Last returns the last step that says something, as the test judges.
func (p *Part) Last(says func(*Step) bool) *Step {
	for i := len(p.Story) - 1; i >= 0; i-- {
		if says(&p.Story[i]) {
			return &p.Story[i]
		}
	}
	return nil
}

// Delivered returns how many were ordered and how many came, 0 where nobody
// counted. Received is not accepted.
func (p *Part) Delivered() (ordered, came int64) {
	for i := range p.Story {
		switch s := &p.Story[i]; s.State {
		case "ordered":
			ordered = s.Count
		case "received":
			came += s.Count
		}
	}
	return ordered, came
}
