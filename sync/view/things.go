package view

import (
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// The kinds of things in the order in which equals are shown.
const (
	rankTag = iota
	rankEngine
	rankPlace
	rankJoint
	rankPart
	rankStand
	rankResult
	rankSnag
	rankDecision
	rankInstrument
	rankPerson
	rankPhoto
	rankNote
	rankReason
)

// all offers everything that the job holds.
func (s *search) all() {
	for k, e := range s.v.inOrder() {
		s.engine(k, e)
	}
	for i, p := range s.v.st.Parts {
		s.part(i, p)
	}
	for i, place := range s.v.stands() {
		s.offer(s.score(place, nil, "stand"), rankStand, i, func() thing { return s.v.standThing(place) })
	}
	s.results()
	s.snags()
	s.decisions()
	s.people()
	s.remarks()
	s.reasons()
}

// engine offers an engine, its places and its joints. Equal finds of two
// engines stand side by side, so that neither crowds the other out.
func (s *search) engine(k int, e *record.Engine) {
	near := s.engines(e.Serial)
	typ := e.Type
	if e.Pattern != nil {
		typ += " " + e.Pattern.Name
	}
	s.offer(s.score(e.Serial+" "+e.Name, near, "engine "+typ), rankEngine, k, func() thing { return s.v.engineThing(e) })
	if e.Pattern == nil {
		return
	}
	for i, pl := range e.Pattern.Places() {
		seq := i*len(s.v.st.Engines) + k
		s.offer(s.score(e.Pattern.Words(pl.At), near, placeMore(e, pl)), rankPlace, seq, func() thing { return s.v.placeThing(e, pl.At, "") })
		s.machinists(e, pl, near, seq)
	}
	for i, j := range e.Pattern.Joints {
		score := s.score(j.Words+" "+j.Joint, near, "joint tighten fasteners studs bolts nuts torque")
		s.offer(score, rankJoint, i*len(s.v.st.Engines)+k, func() thing { return s.v.jointThing(e, j.Joint) })
		s.joints(e, j, near, i*len(s.v.st.Engines)+k)
	}
}

// placeMore is what else a place may be looked for by.
func placeMore(e *record.Engine, pl pattern.Place) string {
	more := strings.ReplaceAll(pl.At, ".", " ") + " " + pl.Feature.Sheet + " " + pl.Feature.Part
	if strings.HasPrefix(pl.At, "valve.") {
		more += " " + valveWords(pl.N)
	}
	if key := e.Holds(pl.At); !record.IsImplicit(key) && key != e.Serial {
		more += " " + key
	}
	return more
}

// valveWords says a valve as it is said aloud: E2 is exhaust valve 2.
func valveWords(n string) string {
	switch {
	case strings.HasPrefix(n, "E"):
		return "exhaust"
	case strings.HasPrefix(n, "I"):
		return "inlet intake induction"
	}
	return ""
}

// machinists offers a place by the number that an outside shop gives it, when
// the shop was named.
func (s *search) machinists(e *record.Engine, pl pattern.Place, near []byte, seq int) {
	for _, m := range s.v.st.Numbering.Machinists {
		if !s.asks(m.Name) {
			continue
		}
		g, ours, his, ok := m.Calls(e.Pattern, pl.At)
		if !ok {
			continue
		}
		called := m.Name + " " + strings.ReplaceAll(pl.Feature.Words, "{n}", his)
		more := pl.Feature.Sheet + " " + g.Word
		s.offer(s.score(called, near, more), rankPlace, seq, func() thing { return s.v.placeThing(e, pl.At, bothNumbers(m, g, ours, his)) })
	}
}

// joints offers the fasteners of a joint by a shop's number too.
func (s *search) joints(e *record.Engine, j pattern.Joint, near []byte, seq int) {
	for _, m := range s.v.st.Numbering.Machinists {
		if !s.asks(m.Name) {
			continue
		}
		for _, f := range j.Fasteners {
			g, ours, his, ok := m.Calls(e.Pattern, j.Joint+".stud."+f.Name)
			if !ok {
				continue
			}
			s.offer(s.score(m.Name+" "+g.Word+" "+his, near, "bolt nut fastener"), rankJoint, seq, func() thing {
				t := s.v.jointThing(e, j.Joint)
				t.says = bothNumbers(m, g, ours, his)
				return t
			})
		}
	}
}

// bothNumbers says our number first: 'our pin 4 is Mr Lunt's pin 3'.
func bothNumbers(m record.Machinist, g pattern.Group, ours, his string) string {
	s := shortWord(g)
	return "our " + s + " " + ours + " is " + m.Name + "'s " + s + " " + his
}

func (s *search) part(i int, p record.Part) {
	more := []string{p.As, p.State, "part lot"}
	in := ""
	if e := s.v.partEngine(p); e != nil {
		in = e.Serial
	}
	for _, st := range p.Story {
		more = append(more, st.Note)
	}
	s.offer(s.score(p.Key+" "+p.What, s.engines(in), more...), rankPart, i, func() thing { return s.v.partThing(p) })
}

// results are found by what they are of, never by their figures: somebody who
// was asked for a check reading must not come upon the others'.
func (s *search) results() {
	for i := range s.v.rs {
		r := &s.v.rs[i]
		score := s.score(r.Words, s.engines(r.Asm), "result", pattern.CondWords(r.Cond), r.At)
		s.offer(score, rankResult, i, func() thing {
			says := r.Words + ", " + pattern.CondWords(r.Cond)
			return thing{"result", says, s.v.verdictUnseen(r), strings.Split(r.Asm, "+"), opens("result", str("id", r.ID))}
		})
	}
}

func (v *viewer) verdictUnseen(r *result.Res) string {
	if v.unseen(r) {
		return hiddenWords
	}
	return resultWord(r)
}

func (s *search) decisions() {
	for i, d := range s.v.st.Decisions {
		score := s.score(d.Decide+" decision", s.engines(strings.Join(d.Asm, "+")), d.Why)
		s.offer(score, rankDecision, i, func() thing {
			return thing{"decision", d.Decide + ": " + d.Why, s.v.stale(d), d.Asm, opens("decision", str("id", string(d.ID)))}
		})
	}
}

func (s *search) people() {
	for i, t := range s.v.st.Instruments {
		s.offer(s.score(t.Key+" "+t.What, nil, "instrument tool"), rankInstrument, i, func() thing {
			return thing{"instrument", t.Key + ", " + t.What, "one step is " + t.Res.String(), nil, opens("job")}
		})
	}
	for i, p := range s.v.st.People {
		s.offer(s.score(p.Name, nil, "person", p.Role), rankPerson, i, func() thing { return thing{"person", p.Name, p.Role, nil, opens("job")} })
	}
}

// remarks offers notes and photos, the newest first.
func (s *search) remarks() {
	for i, n := range s.v.st.Notes {
		s.offer(s.score("", s.engines(n.Of.Asm), n.Text, s.place(n.Of)), rankNote, -i, func() thing {
			return s.v.remark("note", n.Text, n.By, n.At, string(n.ID), n.Of)
		})
	}
	for i, p := range s.v.st.Photos {
		s.offer(s.score("", s.engines(p.Of.Asm), p.Caption, s.place(p.Of), "photo"), rankPhoto, -i, func() thing {
			return s.v.remark("photo", p.Caption, p.By, p.At, string(p.ID), p.Of)
		})
	}
}

// reasons offers why readings were struck or corrected, and why a point was passed over. Where a check reading is asked for
// they stay unsaid: a reason may name the figure.
func (s *search) reasons() {
	for i := range s.v.st.Places {
		pl := &s.v.st.Places[i]
		for _, r := range pl.Readings {
			why := strings.TrimSpace(r.Note + " " + r.Struck)
			e, ok := s.v.st.Engine(r.Asm)
			if why == "" || !ok || e.Pattern == nil || s.v.blind(e, pl.At, pl.Point, pl.Cond) {
				continue
			}
			of := record.Of{Asm: r.Asm, At: pl.At, Point: pl.Point}
			s.offer(s.score("", s.engines(r.Asm), why, s.place(of)), rankReason, i, func() thing {
				return s.v.remark("reason", why, r.By, r.At, string(r.ID), of)
			})
		}
	}
	for i, c := range s.v.st.Checks {
		if c.Why != "" {
			s.offer(s.score("", s.engines(c.Of.Asm), c.Why, s.place(c.Of)), rankReason, i, func() thing {
				return s.v.remark("reason", c.Why, c.By, c.At, string(c.ID), c.Of)
			})
		}
	}
}

func opens(screen string, members ...jcs.Member) jcs.Value {
	return jcs.Obj(append(members, str("screen", screen))...)
}

func (v *viewer) engineThing(e *record.Engine) thing {
	return thing{"engine", e.Serial + " " + e.Name, v.where(e), []string{e.Serial}, opens("engine", str("asm", e.Serial))}
}

// placeThing is a place; says what else is known of it, or else its sheet.
func (v *viewer) placeThing(e *record.Engine, at, says string) thing {
	if pl, ok := e.Pattern.Find(at); ok && says == "" {
		says = pl.Feature.Sheet + ", " + v.stateOf(e, pl).word()
	}
	return thing{"place", e.Pattern.Words(at), says, []string{e.Serial}, opens("point", str("asm", e.Serial), str("at", at))}
}

func (v *viewer) jointThing(e *record.Engine, joint string) thing {
	return thing{"fasteners", e.Pattern.Words(joint), "tighten", []string{e.Serial}, opens("tighten", str("asm", e.Serial), str("joint", joint))}
}

func (v *viewer) remark(kind, what, by, at, id string, of record.Of) thing {
	t := thing{kind, what, join(v.person(by), day(at)), nil, opens("entry", str("id", id))}
	if what == "" {
		t.title = kind
	}
	e, ok := v.st.Engine(of.Asm)
	if !ok {
		return t
	}
	t.asm = []string{e.Serial}
	if e.Pattern == nil || of.At == "" {
		return t
	}
	t.says = join(e.Pattern.Words(of.At), t.says)
	if _, ok := e.Pattern.Find(of.At); ok {
		t.open = v.placeThing(e, of.At, kind).open
	} else if _, ok := e.Pattern.Joint(of.At); ok {
		t.open = v.jointThing(e, of.At).open
	}
	return t
}

// day is the day of a time as it was written.
func day(at string) string { return at[:min(len(at), len("2031-04-12"))] }

// recent are the places that the phone has been at, as it names them.
func (s *search) recent() []thing {
	var out []thing
	for _, r := range s.v.args.Get("recent").Items() {
		e, ok := s.v.st.Engine(r.Get("asm").Text())
		if !ok || e.Pattern == nil {
			continue
		}
		if _, ok := e.Pattern.Find(r.Get("at").Text()); ok {
			out = append(out, s.v.placeThing(e, r.Get("at").Text(), ""))
		} else if _, ok := e.Pattern.Joint(r.Get("at").Text()); ok {
			out = append(out, s.v.jointThing(e, r.Get("at").Text()))
		}
	}
	return out
}
