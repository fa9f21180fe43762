package result

import (
	"cmp"
	"slices"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/order"
	"witnessmark/sync/record"
)

// trialsOf returns the conditions in which an engine's gasket was measured
// under torque: the trials, and as built.
func (b *binder) trialsOf(e *record.Engine) []string {
	return b.conditions(e.Holds("gasket.compressed"), "gasket.compressed")
}

// trials binds ratio and bump clearance of every gasket tried on an engine.
func (b *binder) trials(e *record.Engine) {
	for _, cond := range b.trialsOf(e) {
		g := b.gather()
		b.chamber(g, e, cond)
		b.gasketOf(g, e, cond)
		if len(g.in.Items["compressed"]) == 0 {
			continue
		}
		g.limit(e, "ratio", "ratio")
		b.add(g, "ratio", Res{ID: id("ratio", e.Serial, "gasket", cond), Asm: e.Serial, At: "gasket", Cond: cond,
			Words: "head gasket · compression ratio", Sheet: sheetOf(e, "gasket.compressed")})
		b.bump(e, cond)
	}
}

func (b *binder) bump(e *record.Engine, cond string) {
	g := b.gather()
	b.protrusion(g, e)
	b.compressed(g, e, cond)
	for _, n := range e.Pattern.Cylinder() {
		for _, by := range []string{"lead", "clay"} {
			at := "cyl." + n + "." + by
			g.readings(by, e.Serial+"/"+n, e.Holds(at), at, cond)
		}
	}
	g.limit(e, "bump", "bump")
	g.limit(e, "agree", "bump.agree")
	b.add(g, "bump", Res{ID: id("bump", e.Serial, "gasket", cond), Asm: e.Serial, At: "gasket", Cond: cond,
		Words: "head gasket · bump clearance", Sheet: sheetOf(e, "gasket.compressed")})
}

func sheetOf(e *record.Engine, at string) string {
	if pl, ok := e.Pattern.Find(at); ok {
		return pl.Feature.Sheet
	}
	return ""
}

// protrusion adds every cylinder's, of the newest build.
func (b *binder) protrusion(g *gathered, e *record.Engine) {
	for _, n := range e.Pattern.Cylinder() {
		b.newest(g, e, "protrusion", e.Serial+"/"+n, "cyl."+n+".protrusion")
	}
	g.in.Opts["cylinders"] = strings.TrimSpace(g.in.Opts["cylinders"] + " " + labels(e))
}

func labels(e *record.Engine) string {
	var out []string
	for _, n := range e.Pattern.Cylinder() {
		out = append(out, e.Serial+"/"+n)
	}
	return strings.Join(out, " ")
}

// newest adds what was read at a place in its newest condition that is no
// trial. It is wanted, unless the type sheet has a size to use instead.
func (b *binder) newest(g *gathered, e *record.Engine, item, label, at string) {
	key := e.Holds(at)
	c, ok := b.anyBuild(key, at)
	if ok {
		g.readings(item, label, key, at, c)
	}
	if _, instead := e.Pattern.Nominal[item]; !instead {
		g.want(e, at, cmp.Or(c, "found"))
	}
}

// chamber adds what the compression calculations want of an engine.
func (b *binder) chamber(g *gathered, e *record.Engine, cond string) {
	b.protrusion(g, e)
	for _, n := range e.Pattern.Cylinder() {
		for _, what := range []string{"bowl", "recess"} {
			b.newest(g, e, what, e.Serial+"/"+n, "cyl."+n+"."+what)
		}
	}
	b.compressed(g, e, cond)
	for _, name := range []string{"bore", "stroke", "bowl", "recess"} {
		g.nominal(e, name, name)
	}
}

func (b *binder) compressed(g *gathered, e *record.Engine, cond string) {
	g.readings("compressed", e.Serial, e.Holds("gasket.compressed"), "gasket.compressed", cond)
	g.want(e, "gasket.compressed", cond)
}

// gasketOf adds the opening of the gasket that was tried, which belongs to its lot.
func (b *binder) gasketOf(g *gathered, e *record.Engine, cond string) {
	b.lot(g, e, "gasket_bore", "gasket.opening", cond)
	if len(g.in.Items["gasket_bore"]) == 0 {
		g.nominal(e, "gasket_bore", "gasket_bore")
	}
}

// lot adds what was read of a gasket, kept under its lot or under the engine
// that it was tried on.
func (b *binder) lot(g *gathered, e *record.Engine, item, at, cond string) {
	lot, _ := strings.CutPrefix(cond, "trial:")
	for _, key := range []string{lot, e.Holds(at)} {
		if !slices.ContainsFunc(g.in.Items[item], func(it calc.Item) bool { return it.Label == e.Serial }) {
			g.readings(item, e.Serial, key, at, cond)
		}
	}
}

// gaskets binds the choice of a gasket over all engines of a type: one order.
func (b *binder) gaskets() {
	types := map[string][]*record.Engine{}
	var names []string
	for i := range b.st.Engines {
		e := &b.st.Engines[i]
		if e.Pattern == nil {
			continue
		}
		if len(types[e.Type]) == 0 {
			names = append(names, e.Type)
		}
		types[e.Type] = append(types[e.Type], e)
	}
	for _, name := range names {
		b.piece(func(b *binder) { b.gasketOver(types[name]) })
	}
}

func (b *binder) gasketOver(engines []*record.Engine) {
	var conds []string
	for _, e := range engines {
		conds = append(conds, b.trialsOf(e)...)
	}
	order.By(conds, record.CompareConditions)
	for _, cond := range slices.Compact(conds) {
		b.gasket(engines, cond)
	}
}

func (b *binder) gasket(engines []*record.Engine, cond string) {
	g := b.gather()
	var serials []string
	for _, e := range engines {
		serials = append(serials, e.Serial)
		b.chamber(g, e, cond)
		b.lotFree(g, e, cond)
		b.lot(g, e, "trial_bore", "gasket.opening", cond)
		for _, v := range e.Pattern.Valves {
			at := "valve." + v + ".clay"
			g.readings("valve_clay", e.Serial+"/"+v, e.Holds(at), at, cond)
			g.want(e, at, cond)
		}
	}
	e := engines[0]
	g.nominal(e, "gasket_bore", "gasket_bore")
	g.in.Opts["valve_angle"] = e.Pattern.ValveAngle
	g.limit(e, "ratio", "ratio")
	g.limit(e, "bump", "bump")
	g.limit(e, "valve", "valve.gap", "valve")
	g.limit(e, "compressed", "compressed")
	b.add(g, "gasket", Res{ID: id("gasket", strings.Join(serials, "+"), "gasket", cond), Asm: strings.Join(serials, "+"), At: "gasket", Cond: cond,
		Words: "head gasket · which thickness", Sheet: sheetOf(e, "gasket.compressed")})
}

func (b *binder) lotFree(g *gathered, e *record.Engine, cond string) {
	if len(g.in.Items["compressed"]) > 0 && len(g.in.Items["free"]) == 0 {
		b.lot(g, e, "free", "gasket.free", cond)
	}
}
