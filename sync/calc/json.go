package calc

import (
	"errors"
	"slices"
	"strconv"

	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

// MaxItems bounds the readings that one call from outside may bring.
const MaxItems = 5000

// FromJSON reads inputs as Schema describes them, and refuses what is not in it
// rather than drop it: of two programs that are to check each other, both must
// know what the other was given. The error says what is wrong and where. Bodies
// of entries are not read here; what a newer phone adds to one is kept there.
func FromJSON(v jcs.Value) (Inputs, error) {
	in := Inputs{Items: map[string][]Item{}, Limits: map[string]Limit{}, Nominal: map[string]quantity.Written{}, Opts: map[string]string{}}
	if err := shape(v); err != nil {
		return in, err
	}
	if err := in.itemsFrom(given(v.Get("items"))); err != nil {
		return in, err
	}
	if err := in.limitsFrom(given(v.Get("limits"))); err != nil {
		return in, err
	}
	for _, m := range given(v.Get("nominal")) {
		if where, why := valueForm("").wrong(m.Val); why != "" {
			return in, wrongAt("nominal."+m.Key+where, why)
		}
		in.Nominal[m.Key] = valueFrom(m.Val)
	}
	for _, m := range given(v.Get("opts")) {
		if _, why := anyText.wrong(m.Val); why != "" {
			return in, wrongAt("opts."+m.Key, why)
		}
		in.Opts[m.Key] = m.Val.Text()
	}
	return in, nil
}

// given are the members that are not null: null is as left out.
func given(v jcs.Value) []jcs.Member {
	return slices.DeleteFunc(slices.Clone(v.Members()), func(m jcs.Member) bool { return m.Val.IsNull() })
}

// shape refuses what is not an object of objects, and members that nothing
// would read.
func shape(v jcs.Value) error {
	if v.Kind() != jcs.KindObject {
		return errors.New("the input is an object with items, limits, nominal and opts")
	}
	for _, m := range v.Members() {
		if !slices.ContainsFunc(kinds, func(k inputKind) bool { return k.member == m.Key }) {
			return errors.New("the input has items, limits, nominal and opts; '" + m.Key + "' is none of them")
		}
		if m.Val.Kind() != jcs.KindObject && !m.Val.IsNull() {
			return errors.New(m.Key + ": it is an object, by name")
		}
	}
	return nil
}

func (in *Inputs) itemsFrom(members []jcs.Member) error {
	total := 0
	for _, m := range members {
		if m.Val.Kind() != jcs.KindArray {
			return errors.New("items." + m.Key + ": it is a list of readings, in square brackets")
		}
		in.Items[m.Key] = nil // an empty list has its name checked too
		for i, it := range m.Val.Items() {
			if total++; total > MaxItems {
				return errors.New("more than " + strconv.Itoa(MaxItems) + " readings at once")
			}
			item, err := itemFrom(it, "items."+m.Key+"["+strconv.Itoa(i)+"]")
			if err != nil {
				return err
			}
			in.Items[m.Key] = append(in.Items[m.Key], item)
		}
	}
	return nil
}

// itemFrom reads the reading that stands at a place in the input.
func itemFrom(v jcs.Value, place string) (Item, error) {
	if where, why := itemForm(unitOf(v.Get("v"))).wrong(v); why != "" {
		return Item{}, wrongAt(place+where, why)
	}
	it := Item{Ref: v.Get("ref").Text(), Point: v.Get("point").Text(), Label: v.Get("label").Text(), By: v.Get("by").Text(),
		V: valueFrom(v.Get("v")), Blind: v.Get("blind").IsTrue()}
	if t := v.Get("tool"); !t.IsNull() {
		tool, err := ToolFrom(t.Get("key").Text(), t.Get("what").Text(), valueFrom(t.Get("u")), valueFrom(t.Get("res")))
		if err != nil {
			return it, wrongAt(place, err.Error())
		}
		it.Tool = &tool
	}
	if z := v.Get("zero"); !z.IsNull() {
		it.Zero = &Zero{Ref: z.Get("ref").Text(), Bar: valueFrom(z.Get("bar")), Read: valueFrom(z.Get("read")), In: z.Get("in").Text()}
	}
	if t := v.Get("temp"); !t.IsNull() {
		w := valueFrom(t)
		it.Temp = &w
	}
	return it, it.corrections(place)
}

// corrections refuses a zero check and a temperature that cannot be read: the
// reading would stand without its correction, and nothing would say so.
func (it Item) corrections(place string) error {
	if it.Zero != nil {
		if _, err := quantity.Parse(it.Zero.Bar); err != nil {
			return wrongAt(place+".zero.bar", err.Error())
		}
		if _, err := quantity.Parse(it.Zero.Read); err != nil {
			return wrongAt(place+".zero.read", err.Error())
		}
	}
	if it.Temp != nil {
		if _, err := quantity.Parse(*it.Temp); err != nil {
			return wrongAt(place+".temp", err.Error())
		}
	}
	return nil
}

// ToolFrom makes a tool from its calibration and scale as written.
func ToolFrom(key, what string, u, res quantity.Written) (Tool, error) {
	t := Tool{Key: key, What: what}
	for _, x := range []struct {
		w  quantity.Written
		to *float64
	}{{u, &t.U}, {res, &t.Res}} {
		if x.w.IsZero() {
			continue
		}
		q, err := quantity.Parse(x.w)
		if err != nil {
			return t, errors.New("tool " + key + ": " + err.Error())
		}
		*x.to = q.Unit.Step(q.Unit.From(q.SI))
	}
	return t, nil
}

func (in *Inputs) limitsFrom(members []jcs.Member) error {
	for _, m := range members {
		place := "limits." + m.Key
		if where, why := limitForm("").wrong(m.Val); why != "" {
			return wrongAt(place+where, why)
		}
		in.Limits[m.Key] = limitFrom(m.Key, m.Val)
	}
	return nil
}

func limitFrom(name string, v jcs.Value) Limit {
	l := Limit{Ref: v.Get("ref").Text(), Name: name, Margin: v.Get("judged").Text() == "margin",
		Words: v.Get("words").Text(), Page: v.Get("page").Text(), Accepted: v.Get("accepted").IsNull() || v.Get("accepted").IsTrue()}
	for _, end := range []struct {
		key string
		to  **quantity.Written
	}{{"min", &l.Min}, {"max", &l.Max}} {
		if e := v.Get(end.key); !e.IsNull() {
			w := valueFrom(e)
			*end.to = &w
		}
	}
	return l
}

// valueFrom reads a value of an input from outside, which may spell its unit
// otherwise than an entry does.
func valueFrom(v jcs.Value) quantity.Written {
	w := WrittenFrom(v)
	w.Unit = spelled(w.Unit)
	return w
}

// WrittenFrom reads a value as an entry holds it.
func WrittenFrom(v jcs.Value) quantity.Written {
	return quantity.Written{Text: v.Get("t").Text(), To: v.Get("to").Text(), Unit: v.Get("u").Text(), Is: v.Get("is").Text()}
}

// WrittenJSON writes a value as an entry holds it.
func WrittenJSON(w quantity.Written) jcs.Value {
	return jcs.Obj(jcs.M("t", jcs.Opt(w.Text)), jcs.M("to", jcs.Opt(w.To)), jcs.M("u", jcs.Opt(w.Unit)), jcs.M("is", jcs.Opt(w.Is)))
}

// JSON writes the result with what its caller knows besides. Floats stand as
// the shortest text that brings the same bits back.
func (r Result) JSON(more ...jcs.Member) jcs.Value {
	vals := make([]jcs.Value, len(r.Vals))
	for i, v := range r.Vals {
		vals[i] = v.json()
	}
	differ := make([]jcs.Value, len(r.Disagree))
	for i, d := range r.Disagree {
		differ[i] = jcs.Obj(jcs.M("point", jcs.Opt(d.Point)), jcs.M("a", jcs.Opt(d.A)), jcs.M("b", jcs.Opt(d.B)),
			jcs.M("by_a", jcs.Opt(d.ByA)), jcs.M("by_b", jcs.Opt(d.ByB)), jcs.M("says", jcs.Str(d.Says)))
	}
	return jcs.Obj(append(more, jcs.M("calc", jcs.Str(r.Calc)), jcs.M("version", jcs.Str(r.Version)), jcs.M("verdict", jcs.Str(string(r.Verdict))),
		jcs.M("close", jcs.Flag(r.Close)), jcs.M("says", jcs.Str(r.Says)), jcs.M("vals", jcs.Arr(vals...)),
		jcs.M("working", jcs.Strs(r.Working)), jcs.M("missing", jcs.Strs(r.Missing)), jcs.M("cautions", jcs.Strs(r.Cautions)),
		jcs.M("inputs", jcs.Strs(r.Inputs)), jcs.M("differ", jcs.Arr(differ...)))...)
}

func (v Val) json() jcs.Value {
	limit := jcs.Null()
	if v.Limit != nil {
		limit = v.Limit.json()
	}
	return jcs.Obj(jcs.M("name", jcs.Str(v.Name)), jcs.M("is", jcs.Opt(v.Is)), jcs.M("label", jcs.Str(v.Label)), jcs.M("text", jcs.Str(v.Text)),
		jcs.M("unit", jcs.Opt(v.Unit)), jcs.M("u_text", jcs.Opt(v.UText)), jcs.M("si", jcs.Str(shortest(v.SI))),
		jcs.M("u", jcs.Str(shortest(v.U))), jcs.M("k", jcs.Str(shortest(v.K))), jcs.M("dof", jcs.Str(shortest(v.DoF))),
		jcs.M("verdict", jcs.Str(string(v.Verdict))), jcs.M("close", jcs.Flag(v.Close)), jcs.M("limit", limit),
		jcs.M("glyph", v.Glyph.JSON()))
}

func (l Limit) json() jcs.Value {
	judged := "read"
	if l.Margin {
		judged = "margin"
	}
	end := func(w *quantity.Written) jcs.Value {
		if w == nil {
			return jcs.Null()
		}
		return WrittenJSON(*w)
	}
	return jcs.Obj(jcs.M("name", jcs.Str(l.Name)), jcs.M("ref", jcs.Opt(l.Ref)), jcs.M("min", end(l.Min)), jcs.M("max", end(l.Max)),
		jcs.M("judged", jcs.Str(judged)), jcs.M("words", jcs.Opt(l.Words)), jcs.M("page", jcs.Opt(l.Page)),
		jcs.M("accepted", jcs.Bool(l.Accepted)), jcs.M("says", jcs.Str(limitWords(l))))
}

// JSON writes the glyph's places.
func (g Glyph) JSON() jcs.Value {
	n := func(x int) jcs.Value { return jcs.Int(int64(x)) }
	return jcs.Obj(jcs.M("lo", n(g.Lo)), jcs.M("hi", n(g.Hi)), jcs.M("val", n(g.Val)), jcs.M("bar", n(g.Bar)))
}

func shortest(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
