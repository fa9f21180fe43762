package view

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/record"
)

// partAt is how a part is, now or on a day.
type partAt struct {
	p                        *record.Part
	state, asm, place, since string
}

// at says how a part is; on a day that is named, by the days stated. It
// reports false when nobody knew it yet.
func (v *viewer) at(p *record.Part, on string) (partAt, bool) {
	if on == "" {
		return v.now(p), true
	}
	steps := slices.Clone(p.Story)
	order.By(steps, func(x, y record.Step) int { return strings.Compare(x.On, y.On) })
	out, known := partAt{p: p, state: "known"}, false
	for _, s := range steps {
		if s.On > on {
			break
		}
		known = true
		if s.State == "known" {
			continue
		}
		out.state = s.State
		switch s.State {
		case "fitted":
			out.asm, out.place, out.since = s.Asm, s.Place, s.On
		case "removed", "scrapped":
			out.asm, out.place, out.since = "", "", ""
		}
	}
	return out, known
}

func (v *viewer) now(p *record.Part) partAt {
	out := partAt{p: p, state: p.State}
	if e := v.partEngine(*p); e != nil {
		out.asm = e.Serial
		if s := p.Last(func(s *record.Step) bool { return s.State == "fitted" && s.Asm == e.Serial }); s != nil {
			out.place, out.since = s.Place, s.On
		}
	}
	return out
}

// shelf is the list that a part stands in.
func (a partAt) shelf() string {
	if record.Buys(a.state) {
		return "ordered"
	}
	switch a.state {
	case "received":
		if ordered, came := a.p.Delivered(); came > 0 && came < ordered {
			return "ordered"
		}
		return "inward"
	case "rejected", "sent", "sent back", "scrapped":
		return "gone"
	}
	return "spare"
}

// word is its state as it is said. Received is not accepted.
func (a partAt) word() string {
	ordered, came := a.p.Delivered()
	switch {
	case a.p.Contest != "":
		return "not settled"
	case a.state == "received" && came > 0 && came < ordered:
		return strconv.FormatInt(came, 10) + " of " + strconv.FormatInt(ordered, 10) + " received"
	case a.state == "received":
		return "received, not accepted"
	case a.asm != "" && a.state == "fitted":
		return "fitted"
	case a.shelf() == "spare" && a.state == "known":
		return "on the shelf"
	}
	return a.state
}

// doubt says what should not be so.
func (a partAt) doubt() string {
	came := a.p.Last(func(s *record.Step) bool { return s.State == "received" })
	took := a.p.Last(func(s *record.Step) bool { return s.State == "accepted" })
	refused := a.p.Last(func(s *record.Step) bool { return s.State == "rejected" })
	switch {
	case a.asm == "" || a.state != "fitted":
		return ""
	case refused != nil && took == nil:
		return "fitted, though it was rejected"
	case came != nil && took == nil:
		return "fitted, and never accepted"
	}
	return ""
}

// parts lists all parts: what is fitted where, on a day when one is named; what
// is spare, to be taken in, on order, and out. A batch picks its parts.
func (v *viewer) parts() jcs.Value {
	shelves := map[string][]partAt{}
	for i := range v.st.Parts {
		p := &v.st.Parts[i]
		a, known := v.at(p, v.arg("day"))
		if b := v.arg("batch"); !known || b != "" && p.Batch != b || record.IsImplicit(p.Key) && a.asm == "" && a.state == "known" {
			continue
		}
		shelf := a.shelf()
		if a.asm != "" {
			shelf = "in " + a.asm
		}
		shelves[shelf] = append(shelves[shelf], a)
	}
	engines := list("engines", v.inOrder(), func(e *record.Engine) jcs.Value {
		return jcs.Obj(jcs.M("engine", v.tag(e)), list("fitted", shelves["in "+e.Serial], v.partLine))
	})
	return jcs.Obj(str("day", v.arg("day")), engines, list("spare", shelves["spare"], v.partLine), list("inward", shelves["inward"], v.partLine), list("ordered", shelves["ordered"], v.partLine),
		list("gone", shelves["gone"], v.partLine), jcs.M("batches", jcs.Strs(v.batches())), jcs.M("tools", jcs.Strs(v.wrenches())))
}

func (v *viewer) partLine(a partAt) jcs.Value {
	p := a.p
	members := []jcs.Member{str("part", p.Key), text("what", p.What), str("as", p.As), text("state", a.state), text("word", a.word()), str("doubt", a.doubt()), str("asm", a.asm),
		str("since", a.since), str("origin", p.Origin), str("batch", p.Batch), str("papers", p.Papers), str("stored", p.Stored), str("contest", p.Contest)}
	if p.Undersize != nil {
		members = append(members, str("undersize", p.Undersize.String()+" undersize"))
	}
	if e, ok := v.st.Engine(a.asm); ok {
		members = append(members, jcs.M("engine", v.tag(e)), str("place", v.spot(e, a.place)))
	}
	return jcs.Obj(members...)
}

func (v *viewer) batches() []string {
	var out []string
	for _, p := range v.st.Parts {
		if p.Batch != "" && !slices.Contains(out, p.Batch) {
			out = append(out, p.Batch)
		}
	}
	slices.Sort(out)
	return out
}

// part is one part whole: what it is, its story, and drafts of what may come next.
func (v *viewer) part() (jcs.Value, error) {
	p, ok := v.st.Part(v.arg("part"))
	if !ok {
		return jcs.Null(), ErrNowhere
	}
	a := v.now(p)
	out := v.partLine(a)
	step := jcs.Obj(str("kind", "part"), jcs.M("after", jcs.Strs(p.Tips)), jcs.M("body", jcs.Obj(str("part", p.Key), str("as", p.As))))
	for _, m := range []jcs.Member{str("torn", tornWords(p)), v.photosOf("photos", p.Photos), list("story", p.Story, v.partStep), jcs.M("next", jcs.Strs(nextSteps(a))), jcs.M("step", step), jcs.M("known", knownDraft(p)), jcs.M("early", v.earlyWords(p)),
		list("card", inwardCard(p), func(m record.Matter) jcs.Value { return jcs.Obj(text("what", m.What), text("want", m.Want)) }), v.fitPlaces(p), text("caution", partCaution)} {
		out = out.With(m.Key, m.Val)
	}
	if e, place, ok := v.meantFor(a); ok {
		out = out.With("for_engine", v.tag(e)).With("for_place", jcs.Opt(place))
	}
	return out, nil
}

// meantFor is the engine, and the place in it, that a part which has been in none yet is wanted for: none when that is for both
// or not settled, or when the part has gone.
func (v *viewer) meantFor(a partAt) (e *record.Engine, place string, ok bool) {
	been := a.p.Last(func(s *record.Step) bool { return s.State == "fitted" }) != nil
	asm, at, _ := meantOf(a.p)
	if e, ok = v.st.Engine(asm); !ok || been || a.asm != "" || a.shelf() == "gone" {
		return nil, "", false
	}
	return e, v.spot(e, at), true
}

// meantOf is what the last step of buying says that a part is for: "" is both engines. It is torn, and for none, when there are
// several that do not know of each other and say otherwise: then the next one settles it, or where the part is fitted. Of one
// that was fitted, and wanted for nothing since, it is the engine that it was in.
func meantOf(p *record.Part) (asm, at string, torn bool) {
	for i, id := range p.Buying {
		s := p.Last(func(s *record.Step) bool { return s.ID == id })
		if i > 0 && s.Asm != asm {
			return "", "", true
		}
		asm, at = s.Asm, s.Place
	}
	if s := p.Last(func(s *record.Step) bool { return s.State == "fitted" }); s != nil && len(p.Buying) == 0 {
		return s.Asm, s.Place, false
	}
	return asm, at, false
}

// tornWords says it when which engine a part is for is not settled.
func tornWords(p *record.Part) string {
	if _, _, torn := meantOf(p); torn {
		return "which engine it is for is not settled"
	}
	return ""
}

const partCaution = "A part in the right box may still be the wrong size. Measure what matters before it is fitted; new old stock is measured like any other. The maker's sizes and licensed practice come first."

// nextSteps are the states that may sensibly come next; what is odd can still be written.
func nextSteps(a partAt) []string {
	switch a.state {
	case "wanted", "asked":
		return []string{"asked", "ordered", "received"}
	case "ordered":
		return []string{"received", "asked"}
	case "received":
		out := []string{"accepted", "rejected"}
		if a.shelf() == "ordered" {
			out = append([]string{"received"}, out...)
		}
		return out
	case "rejected":
		return []string{"sent back", "scrapped", "accepted"}
	case "fitted":
		return []string{"removed"}
	case "sent":
		return []string{"received"}
	case "sent back", "scrapped":
		return []string{"wanted"}
	}
	if a.asm != "" {
		return []string{"removed", "sent", "machined"}
	}
	return []string{"fitted", "sent", "machined", "wanted", "scrapped"}
}

// knownDraft says again what a part is, over what was said: for putting it right.
func knownDraft(p *record.Part) jcs.Value {
	body := jcs.Obj(str("part", p.Key), str("state", "known"), text("what", p.What), str("as", p.As), str("origin", p.Origin), str("batch", p.Batch), str("papers", p.Papers),
		str("stored", p.Stored), opt("undersize", p.Undersize), jcs.M("photos", idsOrNot(p.Photos)))
	return jcs.Obj(str("kind", "part"), jcs.M("body", body), jcs.M("over", jcs.Strs(p.Known)))
}

func idsOrNot(ids []entry.ID) jcs.Value {
	if len(ids) == 0 {
		return jcs.Null()
	}
	return jcs.Strs(ids)
}

// inwardCard is what is measured when a part comes: what its order named, or
// else what matters as a rule of such a part. Common practice, no source.
func inwardCard(p *record.Part) []record.Matter {
	if s := p.Last(func(s *record.Step) bool { return len(s.Matters) > 0 }); s != nil {
		return s.Matters
	}
	what := []string{"the size that matters", "surface and threads"}
	switch {
	case strings.Contains(p.As, "gasket"):
		what = []string{"free thickness, six places", "fire ring, inside", "bolt holes, offered up to the old one"}
	case strings.Contains(p.As, "shell") || strings.Contains(p.As, "bearing"):
		what = []string{"wall thickness", "locating tang", "oil hole, in the right place"}
	case strings.Contains(p.As, "liner"):
		what = []string{"bore", "outside, at both seats", "flange height"}
	case strings.Contains(p.As, "chain"):
		what = []string{"length over 24 links", "width"}
	case strings.Contains(p.As, "rubber") || strings.Contains(p.As, "coupling") || strings.Contains(p.As, "hose"):
		what = []string{"hardness", "date of cure", "no cracks when bent"}
	case strings.Contains(p.As, "crank"):
		what = []string{"every pin", "every main", "fillets", "crack test, with its paper"}
	}
	var out []record.Matter
	for _, w := range append(what, "how many, and none damaged") {
		out = append(out, record.Matter{What: w})
	}
	return out
}

// fitPlaces are where a part may go: places named as it is, or else all.
func (v *viewer) fitPlaces(p *record.Part) jcs.Member {
	return list("fits", v.inOrder(), func(e *record.Engine) jcs.Value {
		var near, all []jcs.Value
		if e.Pattern != nil {
			for _, pl := range e.Pattern.Places() {
				line := jcs.Obj(str("at", pl.At), text("words", e.Pattern.Words(pl.At)))
				all = append(all, line)
				if p.As != "" && (strings.Contains(pl.At, p.As) || pl.Feature.Part == p.As) {
					near = append(near, line)
				}
			}
		}
		if len(near) > 0 {
			all = near
		}
		return jcs.Obj(jcs.M("engine", v.tag(e)), jcs.M("places", jcs.Arr(all...)))
	})
}

func (v *viewer) partStep(s record.Step) jcs.Value {
	where := s.Asm
	if e, ok := v.st.Engine(s.Asm); ok {
		where = join(e.Serial+" "+e.Name, v.spot(e, s.Place))
	}
	if s.State != "fitted" && where != "" {
		where = "for " + where
	}
	return jcs.Obj(v.photosOf("photos", s.Photos), str("id", string(s.ID)), text("state", s.State), str("where", where), text("on", s.On), text("by", v.person(s.By)), str("note", s.Note), jcs.M("says", jcs.Strs(orderWords(s))),
		list("card", s.Inward, func(l record.Inward) jcs.Value {
			return jcs.Obj(text("what", l.What), str("want", l.Want), str("got", l.Got), yes("good", !l.No))
		}))
}

// orderWords are what a step says about buying, each in a few words.
func orderWords(s record.Step) []string {
	out := []string{}
	add := func(before, t string) {
		if t != "" {
			out = append(out, before+t)
		}
	}
	add("from ", s.Supplier)
	if s.Count > 0 {
		add("", strconv.FormatInt(s.Count, 10)+" off")
	}
	if s.Price != nil {
		add("", s.Price.String())
	}
	add("due ", s.Due)
	add("lead time ", s.Lead)
	add("answer: ", s.Answer)
	add("waits for ", s.Waits)
	for _, m := range s.Matters {
		add(m.What+": ", m.Want)
	}
	return out
}
