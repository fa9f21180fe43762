package record

import (
	"cmp"
	"slices"
	"strconv"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
	"witnessmark/sync/reconcile"
)

// tightenings gathers the passes over each joint, by condition.
func (b *builder) tightenings() {
	b.standing("tighten", func(it *reconcile.Item, v jcs.Value) {
		of := ofBody(v.Get("of"))
		p := b.pass(of, v.Get("cond").Text(), int(v.Get("pass").Int64()))
		t := Tighten{ID: it.ID, Fasteners: v.Get("fasteners").Texts(), Whole: v.Get("whole").IsTrue(), Torque: value(v.Get("torque")),
			Set: value(v.Get("set")), Moved: value(v.Get("moved")), Thread: v.Get("thread").Text(), Tool: v.Get("tool").Text(), By: it.By, At: it.At, Note: v.Get("note").Text()}
		t.Contest = b.question(it, of, it.At)
		p.Lines = append(p.Lines, t)
		p.Whole = p.Whole || t.Whole
		p.Done = append(p.Done, t.Fasteners...)
	})
	for i := range b.s.Joints {
		b.coverage(&b.s.Joints[i])
	}
}

func (b *builder) pass(of Of, cond string, n int) *Pass {
	i := slices.IndexFunc(b.s.Joints, func(j Joint) bool { return j.Asm == of.Asm && j.Joint == of.At && j.Cond == cond })
	if i < 0 {
		i = len(b.s.Joints)
		b.s.Joints = append(b.s.Joints, Joint{Asm: of.Asm, Joint: of.At, Cond: cond})
	}
	j := &b.s.Joints[i]
	k := slices.IndexFunc(j.Passes, func(p Pass) bool { return p.N == n })
	if k < 0 {
		k = len(j.Passes)
		j.Passes = append(j.Passes, Pass{N: n})
	}
	return &j.Passes[k]
}

// coverage finds which fasteners of the sheet a pass has not reached.
func (b *builder) coverage(j *Joint) {
	order.By(j.Passes, func(x, y Pass) int { return x.N - y.N })
	var all []string
	if e, ok := b.s.Engine(j.Asm); ok && e.Pattern != nil {
		if sheet, ok := e.Pattern.Joint(j.Joint); ok {
			for _, f := range sheet.Fasteners {
				all = append(all, f.Name)
			}
		}
	}
	for i := range j.Passes {
		p := &j.Passes[i]
		order.By(p.Done, func(x, y string) int {
			return cmp.Or(slices.Index(all, x)-slices.Index(all, y), cmp.Compare(x, y))
		})
		p.Done = slices.Compact(p.Done)
		if len(all) > 0 {
			k := slices.IndexFunc(p.Done, func(f string) bool { return slices.Contains(all, f) })
			p.Strange = p.Done[:max(k, 0)]
			if k < 0 {
				p.Strange = p.Done
			}
			p.Done = p.Done[len(p.Strange):]
		}
		for _, f := range all {
			if !p.Whole && !slices.Contains(p.Done, f) {
				p.Missing = append(p.Missing, f)
			}
		}
	}
}

// remarks gathers notes, photos, checks, asks and decisions.
func (b *builder) remarks() {
	b.standing("note", func(it *reconcile.Item, _ jcs.Value) { b.s.Notes = append(b.s.Notes, noteOf(it)) })
	b.standing("photo", func(it *reconcile.Item, _ jcs.Value) { b.s.Photos = append(b.s.Photos, photoOf(it)) })
	b.standing("check", func(it *reconcile.Item, v jcs.Value) {
		of := ofBody(v.Get("of"))
		b.s.Checks = append(b.s.Checks, Check{it.ID, of, b.owner(of), v.Get("cond").Text(), v.Get("answer").Text(), v.Get("why").Text(), it.By, it.At, it.Depth})
	})
	b.asks()
	b.standing("decision", func(it *reconcile.Item, _ jcs.Value) { b.s.Decisions = append(b.s.Decisions, decisionOf(it)) })
}

func noteOf(it *reconcile.Item) *Note {
	return &Note{it.ID, ofBody(it.Effective.Get("of")), it.Effective.Get("text").Text(), it.By, it.At}
}

func photoOf(it *reconcile.Item) *Photo {
	v := it.Effective
	return &Photo{ID: it.ID, Of: ofBody(v.Get("of")), SHA: v.Get("sha").Text(), Type: v.Get("type").Text(),
		Caption: v.Get("caption").Text(), Size: v.Get("size").Int64(), By: it.By, At: it.At}
}

// asks: each is answered by one blind reading of the point, by the person whom
// it names if it names one; a second ask wants a second reading. A reading that
// was corrected or set aside since has answered all the same.
func (b *builder) asks() {
	used := map[entry.ID]bool{}
	b.standing("ask", func(it *reconcile.Item, v jcs.Value) {
		a := Ask{ID: it.ID, Of: ofBody(v.Get("of")), Cond: v.Get("cond").Text(), Who: v.Get("who").Text(), By: it.By}
		for _, r := range b.s.At(b.owner(a.Of), a.Of.At, a.Of.Point, a.Cond) {
			if !used[r.ID] && r.Blind && (a.Who == "" || a.Who == r.ReadBy) && b.answers(r.ID) {
				used[r.ID], a.Answered = true, true
				break
			}
		}
		b.s.Asks = append(b.s.Asks, a)
	})
}

// answers: corrections of a reading are no new reading, and one taken back is none.
func (b *builder) answers(id entry.ID) bool {
	it := b.r.Item(id)
	taken := slices.ContainsFunc(it.CoveredBy, func(c entry.ID) bool { return b.r.Item(c).Kind == "withdraw" })
	return !taken && (len(it.Over) == 0 || it.Kind == "restore")
}

// Engine returns the engine of that serial. The pointer is into the state.
func (s *State) Engine(serial string) (*Engine, bool) {
	for i := range s.Engines {
		if s.Engines[i].Serial == serial {
			return &s.Engines[i], true
		}
	}
	return nil, false
}

// Unknown is the taker of a reading that nobody knows the taker of.
const Unknown = "unknown"

// UnknownName is how it stands on a screen.
const UnknownName = "an unknown taker"

// Person returns the person of that key.
func (s *State) Person(key string) (Person, bool) {
	for _, p := range s.People {
		if p.Key == key {
			return p, true
		}
	}
	if key == Unknown {
		return Person{Key: key, Name: UnknownName}, true
	}
	return Person{Key: key, Name: key}, false
}

// Instrument returns the instrument of that key.
func (s *State) Instrument(key string) (Instrument, bool) {
	for _, i := range s.Instruments {
		if i.Key == key {
			return i, true
		}
	}
	return Instrument{}, false
}

// At returns the readings of a point in a condition; key is whose size it is.
func (s *State) At(key, at, point, cond string) []Reading {
	want := placeKey{key, at, point, cond}
	i, ok := slices.BinarySearchFunc(s.Places, want, func(p Place, k placeKey) int { return comparePlaces(p.key(), k) })
	if !ok {
		return nil
	}
	return s.Places[i].Readings
}

// Spot returns what was read at one place, whatever its point and condition.
func (s *State) Spot(key, at string) []Place {
	first, _ := slices.BinarySearchFunc(s.Places, placeKey{key: key, at: at}, func(p Place, k placeKey) int {
		return cmp.Or(cmp.Compare(p.Key, k.key), cmp.Compare(p.At, k.at))
	})
	last := first
	for last < len(s.Places) && s.Places[last].Key == key && s.Places[last].At == at {
		last++
	}
	return s.Places[first:last]
}

// Conditions returns the conditions in which something was read at a place.
func (s *State) Conditions(key, at string) []string {
	var out []string
	for _, p := range s.Spot(key, at) {
		if !slices.Contains(out, p.Cond) {
			out = append(out, p.Cond)
		}
	}
	order.By(out, CompareConditions)
	return out
}

// CompareConditions orders conditions as the work goes.
func CompareConditions(a, b string) int {
	rank := func(c string) string {
		switch {
		case c == "found":
			return "0"
		case c == "built":
			return "3"
		case len(c) > 9 && c[:9] == "machined:":
			n, _ := strconv.Atoi(c[9:])
			return "2" + string(rune('a'+min(n, 25)))
		}
		return "1" + c
	}
	x, y := rank(a), rank(b)
	return cmp.Or(cmp.Compare(x, y), cmp.Compare(a, b))
}

// Limit returns the limit of that name for an engine: its own before that of
// its type before one for all.
func (s *State) Limit(name, asm, typ string) (Limit, bool) {
	best, rank := Limit{}, 0
	for _, l := range s.Limits {
		r := 0
		switch {
		case l.Name != name || l.Asm != "" && l.Asm != asm || l.Asm == "" && l.Pattern != "" && l.Pattern != typ:
			continue
		case l.Asm != "":
			r = 3
		case l.Pattern != "":
			r = 2
		default:
			r = 1
		}
		if r > rank {
			best, rank = l, r
		}
	}
	return best, rank > 0
}

// Accepted reports whether a lead accepted a limit: until then it judges nothing.
func (s *State) Accepted(l Limit) bool {
	p, ok := s.Person(l.Accepted)
	return ok && p.Role == "lead"
}

// Contest returns the contest of that id.
func (s *State) Contest(id string) (Contest, bool) {
	for _, c := range s.Contests {
		if string(c.ID) == id {
			return c, true
		}
	}
	return Contest{}, false
}

// Asks says what a limit of a hold test asks for beside its figure; "" for nothing.
func (l Limit) Asks() string {
	switch {
	case l.TestPressure != nil && l.TestTime != nil:
		return "at " + l.TestPressure.String() + " for " + l.TestTime.String()
	case l.TestPressure != nil:
		return "at " + l.TestPressure.String()
	case l.TestTime != nil:
		return "over " + l.TestTime.String()
	}
	return ""
}

// LimitSays says a limit in words.
func LimitSays(least, most *quantity.Written) string {
	switch {
	case least != nil && most != nil:
		return least.Text + " to " + most.String()
	case least != nil:
		return "at least " + least.String()
	case most != nil:
		return "at most " + most.String()
	}
	return ""
}
