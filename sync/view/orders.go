package view

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/quantity"
	"witnessmark/sync/record"
)

// orders is what is wanted and on order, for both engines at once, by supplier:
// one freight bill. Each line says what it waits for; with sketch "yes" it has
// the part's sketch, where there is one.
func (v *viewer) orders() jcs.Value {
	by := map[string][]partAt{}
	var names []string
	for i := range v.st.Parts {
		a := v.now(&v.st.Parts[i])
		if shelf := a.shelf(); a.asm != "" || shelf != "ordered" && shelf != "inward" {
			continue
		}
		s := supplier(a.p)
		if by[s] == nil {
			names = append(names, s)
		}
		by[s] = append(by[s], a)
	}
	slices.Sort(names)
	tags := []string{}
	for _, p := range v.st.Parts {
		tags = append(tags, p.Key)
	}
	return jcs.Obj(text("job", v.st.Job.Title), str("number1", v.st.Numbering.End1), list("suppliers", names, func(name string) jcs.Value {
		return jcs.Obj(text("supplier", name), list("lines", by[name], v.orderLine), jcs.M("sums", jcs.Strs(sums(by[name]))))
	}), v.engines("engines"), jcs.M("tags", jcs.Strs(tags)))
}

// supplier is whom it was last asked of or ordered from, "" while nobody is named.
func supplier(p *record.Part) string {
	if s := p.Last(func(s *record.Step) bool { return s.Supplier != "" }); s != nil {
		return s.Supplier
	}
	return ""
}

// buying is what the steps of a part say about buying it: the last word of each.
type buying struct {
	asm, at, many, due string // asm: the engine that it is for, "" = both or not settled
	decision           entry.ID
	matters            []record.Matter
}

func buyingOf(p *record.Part) buying {
	var b buying
	b.asm, b.at, _ = meantOf(p)
	for i := range p.Story {
		s := &p.Story[i]
		if s.Count > 0 && s.State != "received" {
			b.many = strconv.FormatInt(s.Count, 10)
		}
		if len(s.Matters) > 0 {
			b.matters = s.Matters
		}
		b.due, b.decision = cmp.Or(s.Due, b.due), cmp.Or(s.Decision, b.decision)
	}
	return b
}

func (v *viewer) orderLine(a partAt) jcs.Value {
	b := buyingOf(a.p)
	line := v.partLine(a)
	for _, m := range []jcs.Member{str("for", b.asm), str("torn", tornWords(a.p)), str("count", b.many), str("due", b.due), jcs.M("waits", jcs.Strs(v.waitsFor(a, b.due))), str("stale", strings.Join(v.decisionDoubt(b.decision), "; ")),
		list("matters", b.matters, func(m record.Matter) jcs.Value { return jcs.Obj(text("what", m.What), str("want", m.Want)) })} {
		line = line.With(m.Key, m.Val)
	}
	if w := priceOf(a.p); w != nil {
		line = line.With("price", jcs.Str(w.String())).With("one", jcs.Str(w.Text)).With("money", jcs.Opt(w.Unit))
	}
	if c, _, ok := costOf(a.p); ok {
		line = line.With("total", jcs.Str(money(c)))
	}
	if v.arg("sketch") == "yes" {
		line = line.With("svg", jcs.Opt(v.orderSketch(a.p, b)))
	}
	if e, ok := v.st.Engine(b.asm); ok {
		line = line.With("for_engine", v.tag(e)).With("for_place", jcs.Opt(v.spot(e, b.at)))
	}
	if d, ok := v.st.Decision(string(b.decision)); ok {
		line = line.With("decided", jcs.Str(v.decisionTitle(*d)+": "+strings.Join(chosenWords(d.Chosen), "; ")))
	}
	return line
}

// waitsFor is what keeps an order line from going on.
func (v *viewer) waitsFor(a partAt, due string) []string {
	var out []string
	ask := a.p.Last(func(s *record.Step) bool { return s.State == "asked" })
	switch {
	case a.state == "wanted":
		out = append(out, "somebody to ask for a price, or to order it")
	case a.state == "asked" && ask.Answer == "":
		out = append(out, "the supplier's answer")
	case a.state == "asked":
		out = append(out, "the order; the answer was: "+ask.Answer)
	case a.shelf() == "inward":
		out = append(out, "goods inward: to be measured and accepted")
	default:
		out = append(out, deliveryWords(a, due, v.arg("today")))
	}
	if s := a.p.Last(func(s *record.Step) bool { return s.Waits != "" }); s != nil {
		out = append(out, s.Waits)
	}
	if tornWords(a.p) != "" {
		out = append(out, "somebody to say which engine it is for")
	}
	return append(out, v.decisionDoubt(buyingOf(a.p).decision)...)
}

// decisionDoubt: a line goes dead when what it was decided on has changed.
func (v *viewer) decisionDoubt(id entry.ID) []string {
	d, ok := v.st.Decision(string(id))
	switch {
	case id == "":
		return nil
	case !ok:
		return []string{"a decision: that which it came of was replaced or taken back"}
	case v.stale(*d) != "":
		return []string{"its decision to be looked at again: " + v.stale(*d)}
	}
	return nil
}

func deliveryWords(a partAt, due, today string) string {
	words := "delivery"
	if ordered, came := a.p.Delivered(); came > 0 {
		words = "the other " + strconv.FormatInt(ordered-came, 10)
	}
	if due == "" {
		return words + "; no day was promised"
	}
	if late, ok := daysBetween(due, today); ok && late > 0 {
		return words + ", due " + due + ": " + strconv.Itoa(late) + " days late"
	}
	return words + ", due " + due
}

// sums adds up what a supplier's lines cost, by currency, in whole cents: what
// is written otherwise is left out, and said.
func sums(parts []partAt) []string {
	total := map[string]int64{}
	var units []string
	left := 0
	for _, a := range parts {
		c, unit, ok := costOf(a.p)
		if !ok {
			left++
			continue
		}
		if _, seen := total[unit]; !seen {
			units = append(units, unit)
		}
		total[unit] += c
	}
	slices.Sort(units)
	var out []string
	for _, u := range units {
		out = append(out, money(total[u])+"\u2009"+u)
	}
	if left > 0 && len(out) > 0 {
		out = append(out, strconv.Itoa(left)+" without a price")
	}
	return out
}

// priceOf is the price of one, as it was last said.
func priceOf(p *record.Part) *quantity.Written {
	s := p.Last(func(s *record.Step) bool { return s.Price != nil })
	if s == nil {
		return nil
	}
	return s.Price
}

// mostPieces keeps a sum of cents far from the end of its range.
const mostPieces = 1_000_000

// costOf is the price of one times how many, in cents; false where that cannot
// be reckoned. Nobody having said how many, it is one.
func costOf(p *record.Part) (cost int64, unit string, ok bool) {
	w := priceOf(p)
	if w == nil || w.Is != "" || w.To != "" {
		return 0, "", false
	}
	one, ok := cents(w.Text)
	n := int64(1)
	if s := p.Last(func(s *record.Step) bool { return s.Count > 0 && s.State != "received" }); s != nil {
		n = s.Count
	}
	return one * n, w.Unit, ok && n <= mostPieces
}

func money(c int64) string {
	return strconv.FormatInt(c/100, 10) + "." + strconv.FormatInt(100+c%100, 10)[1:]
}

// cents reads an amount as people write it, with a point or a comma.
func cents(t string) (int64, bool) {
	whole, part, _ := strings.Cut(strings.ReplaceAll(t, ",", "."), ".")
	if len(part) > 2 || whole == "" || len(whole) > 9 {
		return 0, false
	}
	n, err := strconv.ParseInt(whole+(part + "00")[:2], 10, 64)
	return n, err == nil && n >= 0
}

// wrenches are the tools that something was tightened with.
func (v *viewer) wrenches() []string {
	var out []string
	for _, j := range v.st.Joints {
		for _, p := range j.Passes {
			for _, l := range p.Lines {
				if l.Tool != "" && !slices.Contains(out, l.Tool) {
					out = append(out, l.Tool)
				}
			}
		}
	}
	slices.Sort(out)
	return out
}

// wrench answers which joints were tightened with a tool, since a day.
func (v *viewer) wrench() jcs.Value {
	type use struct {
		e           *record.Engine
		words, cond string
		l           record.Tighten
		joint       string
		n           int
	}
	var uses []use
	for _, j := range v.st.Joints {
		e, ok := v.st.Engine(j.Asm)
		if !ok {
			continue
		}
		for _, p := range j.Passes {
			for _, l := range p.Lines {
				if l.Tool == v.arg("tool") && day(l.At) >= v.arg("since") {
					uses = append(uses, use{e, v.spot(e, j.Joint), j.Cond, l, j.Joint, p.N})
				}
			}
		}
	}
	order.By(uses, func(x, y use) int { return strings.Compare(x.l.At, y.l.At) })
	return jcs.Obj(list("uses", uses, func(u use) jcs.Value {
		what := strings.Join(u.l.Fasteners, ", ")
		if u.l.Whole {
			what = "the whole pass"
		}
		return jcs.Obj(str("id", string(u.l.ID)), jcs.M("engine", v.tag(u.e)), text("words", u.words), text("what", "pass "+strconv.Itoa(u.n)+": "+what), text("torque", u.l.Torque.String()),
			text("by", v.person(u.l.By)), text("at", u.l.At), jcs.M("open", opens("tighten", str("asm", u.e.Serial), str("joint", u.joint), str("cond", u.cond))))
	}), jcs.M("tools", jcs.Strs(v.wrenches())))
}

// partLead are the lines of the lead's list: what came and was not taken in,
// and what is fitted and was never accepted.
func (v *viewer) partLead() (again, now []jcs.Value) {
	for i := range v.st.Parts {
		a := v.now(&v.st.Parts[i])
		open := opens("part", str("part", a.p.Key))
		title := strings.TrimSuffix(a.p.Key+", "+a.p.What, ", ")
		if d := a.doubt(); d != "" {
			again = append(again, v.leadLine(title, d, "look again", a.asm, open))
		} else if a.asm == "" && a.shelf() == "inward" && !record.IsImplicit(a.p.Key) {
			now = append(now, v.leadLine(title, "received, not accepted: measure what matters", "to take in", "", open))
		}
	}
	return again, now
}
