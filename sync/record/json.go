package record

import (
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

// Bytes is the state in canonical form: two devices with the same entries have
// the same bytes.
func (s *State) Bytes() []byte { return s.JSON().Append(nil) }

// Digest is the SHA-256 of Bytes.
func (s *State) Digest() string { return entry.Digest(s.Bytes()) }

// JSON is the state as a value.
func (s *State) JSON() jcs.Value {
	return jcs.Obj(
		jcs.M("job", jcs.Obj(str("title", s.Job.Title), str("vehicle", s.Job.Vehicle))),
		jcs.M("numbering", s.Numbering.json()),
		list("people", s.People, Person.json), list("instruments", s.Instruments, Instrument.json),
		list("zeros", s.Zeros, Zero.json), list("types", s.Patterns, Sheet.json), list("engines", s.Engines, Engine.json),
		list("parts", s.Parts, Part.json), list("limits", s.Limits, Limit.json), list("places", s.Places, Place.json),
		list("joints", s.Joints, Joint.json), list("holds", s.Holds, HoldTest.json), some("snags", s.Snags, Snag.json), list("notes", s.Notes, (*Note).json), list("photos", s.Photos, (*Photo).json),
		some("runs", s.Runs, Run.json), some("adjusts", s.Adjusts, Adjust.json), some("clutches", s.Clutches, ClutchTry.json), some("voices", s.Voices, (*Voice).json), some("marks", s.Marks, (*Mark).json), list("stages", s.Stages, Stage.json), list("signs", s.Signs, Sign.json), list("checks", s.Checks, Check.json), list("asks", s.Asks, Ask.json), list("decisions", s.Decisions, Decision.json), list("logs", s.Logs, Log.json),
		list("contests", s.Contests, Contest.json), list("unusable", s.Unusable, Bad.json),
		ids("needs_newer", s.NeedsNewer), num("forks", s.Forks), num("entries", s.Entries))
}

func str(key, s string) jcs.Member            { return jcs.M(key, jcs.Opt(s)) }
func id(key string, id entry.ID) jcs.Member   { return jcs.M(key, jcs.Opt(string(id))) }
func num(key string, n int) jcs.Member        { return jcs.M(key, jcs.Int(int64(n))) }
func flag(key string, b bool) jcs.Member      { return jcs.M(key, jcs.Flag(b)) }
func texts(key string, t []string) jcs.Member { return jcs.M(key, jcs.Strs(t)) }

func ids(key string, of []entry.ID) jcs.Member {
	if len(of) == 0 {
		return jcs.M(key, jcs.Null())
	}
	return jcs.M(key, jcs.Strs(of))
}

func list[T any](key string, of []T, one func(T) jcs.Value) jcs.Member {
	items := make([]jcs.Value, len(of))
	for i, x := range of {
		items[i] = one(x)
	}
	return jcs.M(key, jcs.Arr(items...))
}

func val(key string, w quantity.Written) jcs.Member {
	if w.IsZero() {
		return jcs.M(key, jcs.Null())
	}
	return jcs.M(key, jcs.Obj(str("t", w.Text), str("to", w.To), str("u", w.Unit), str("is", w.Is)))
}

func opt(key string, w *quantity.Written) jcs.Member {
	if w == nil {
		return jcs.M(key, jcs.Null())
	}
	return val(key, *w)
}

func (n Numbering) json() jcs.Value {
	machinists, counts := Shops(n.Machinists)
	out := jcs.Obj(str("name", n.Name), str("end1", n.End1), str("end2", n.End2), str("facing", n.Facing), str("left", n.Left), str("right", n.Right),
		jcs.M("machinists", jcs.Arr(machinists...)))
	if len(counts) > 0 { // said only where there are some: what was worked out before there were any stays the same bytes
		out = out.With("counts", jcs.Arr(counts...))
	}
	return out
}

func (p Person) json() jcs.Value {
	return jcs.Obj(id("id", p.ID), str("person", p.Key), str("name", p.Name), str("role", p.Role))
}

func (i Instrument) json() jcs.Value {
	return jcs.Obj(id("id", i.ID), str("instrument", i.Key), str("what", i.What), val("res", i.Res), val("u", i.U), val("from", i.From), val("to", i.To), str("due", i.Due), flag("contested", i.Contested))
}

func (z Zero) json() jcs.Value {
	return jcs.Obj(id("id", z.ID), str("instrument", z.Instrument), str("in", z.In), val("bar", z.Bar), val("read", z.Read), str("at", z.At), str("by", z.By))
}

// json leaves the sheet itself to the entry that the id names.
func (s Sheet) json() jcs.Value {
	return jcs.Obj(id("id", s.ID), str("type", s.Key), str("why", s.Why))
}

func (e Engine) json() jcs.Value {
	return jcs.Obj(id("id", e.ID), str("asm", e.Serial), str("name", e.Name), str("band", e.Band), str("type", e.Type), str("crank", e.Crank),
		flag("contested", e.Contested), jcs.M("fit", e.Fit.json()), list("history", e.History, Fitting.json))
}

func (f Fitting) json() jcs.Value {
	return jcs.Obj(id("id", f.ID), str("side", f.Side), str("place", f.Place), str("day", f.Day), str("ended", f.Ended))
}

func (p Part) json() jcs.Value {
	return jcs.Obj(str("part", p.Key), str("what", p.What), str("as", p.As), str("state", p.State), str("asm", p.Asm), str("origin", p.Origin), str("batch", p.Batch),
		str("papers", p.Papers), str("stored", p.Stored), opt("undersize", p.Undersize), ids("photos", p.Photos), str("contest", p.Contest),
		list("story", p.Story, Step.json))
}

func (l Limit) json() jcs.Value {
	return jcs.Obj(id("id", l.ID), str("limit", l.Name), str("asm", l.Asm), str("type", l.Pattern), opt("min", l.Min), opt("max", l.Max), opt("also_min", l.AlsoMin), opt("also_max", l.AlsoMax),
		opt("test_pressure", l.TestPressure), opt("test_time", l.TestTime), flag("margin", l.Margin), str("words", l.Words), str("page", l.Page), ids("photos", l.Photos), str("accepted", l.Accepted), flag("contested", l.Contested))
}

func (p Place) json() jcs.Value {
	return jcs.Obj(str("key", p.Key), str("at", p.At), str("point", p.Point), str("cond", p.Cond), list("readings", p.Readings, Reading.json))
}

func (r Reading) json() jcs.Value {
	zero := jcs.Null()
	if r.Zero != nil {
		zero = r.Zero.json()
	}
	return jcs.Obj(id("id", r.ID), id("origin", r.Origin), str("asm", r.Asm), str("side", r.Side), id("fitting", r.Fitting), str("by", r.By),
		str("read_by", r.ReadBy), str("at", r.At), str("when", r.When), str("log", string(r.Log)), val("value", r.Value), str("instrument", r.Instrument),
		jcs.M("zero", zero), str("zero_how", r.ZeroHow), opt("temp", r.Temp), str("note", r.Note), flag("blind", r.Blind),
		str("struck", r.Struck), ids("struck_by", r.StruckBy), str("contest", r.Contest), ids("waits", r.Waits), flag("needs_newer", r.NeedsNewer))
}

func (j Joint) json() jcs.Value {
	return jcs.Obj(str("asm", j.Asm), str("joint", j.Joint), str("cond", j.Cond), list("passes", j.Passes, func(p Pass) jcs.Value {
		return jcs.Obj(num("n", p.N), texts("done", p.Done), flag("whole", p.Whole), texts("missing", p.Missing), texts("strange", p.Strange), list("lines", p.Lines, Tighten.json))
	}))
}

func (t Tighten) json() jcs.Value {
	return jcs.Obj(id("id", t.ID), texts("fasteners", t.Fasteners), flag("whole", t.Whole), val("torque", t.Torque), val("set", t.Set), val("moved", t.Moved),
		str("thread", t.Thread), str("tool", t.Tool), str("by", t.By), str("at", t.At), str("note", t.Note), str("contest", t.Contest))
}

// JSON is what an entry is about.
func (o Of) JSON() jcs.Value {
	return jcs.Obj(str("asm", o.Asm), str("side", o.Side), id("fitting", o.Fitting), str("at", o.At), str("point", o.Point), str("part", o.Part))
}

func (n *Note) json() jcs.Value {
	return jcs.Obj(id("id", n.ID), jcs.M("of", n.Of.JSON()), str("text", n.Text), str("by", n.By), str("at", n.At))
}

func (p *Photo) json() jcs.Value {
	return jcs.Obj(id("id", p.ID), jcs.M("of", p.Of.JSON()), str("sha", p.SHA), str("type", p.Type), str("caption", p.Caption),
		jcs.M("size", jcs.Int(p.Size)), str("by", p.By), str("at", p.At))
}

func (a Ask) json() jcs.Value {
	return jcs.Obj(id("id", a.ID), jcs.M("of", a.Of.JSON()), str("cond", a.Cond), str("who", a.Who), str("by", a.By), flag("answered", a.Answered))
}

func (c Check) json() jcs.Value {
	return jcs.Obj(id("id", c.ID), jcs.M("of", c.Of.JSON()), str("key", c.Key), str("cond", c.Cond), str("answer", c.Answer), str("why", c.Why), str("by", c.By), str("at", c.At))
}

func (l Log) json() jcs.Value {
	return jcs.Obj(str("log", string(l.Log)), str("device", l.Device), str("name", l.Name), str("of", l.Of), num("entries", l.Entries),
		jcs.M("last", jcs.Int(l.Last)))
}

func (c Contest) json() jcs.Value {
	return jcs.Obj(id("id", c.ID), str("register", c.Register), str("why", c.Why), ids("members", c.Members), list("places", c.Places, Of.JSON))
}

func (b Bad) json() jcs.Value {
	return jcs.Obj(id("id", b.ID), str("kind", b.Kind), str("log", string(b.Log)), jcs.M("seq", jcs.Int(b.Seq)), str("by", b.By), str("why", b.Why),
		jcs.M("of", b.Of.JSON()))
}
