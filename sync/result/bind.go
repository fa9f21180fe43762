package result

import (
	"slices"
	"strings"

	"witnessmark/sync/order"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
)

// base is the place of a journal without what is measured: "main.3".
func base(at string) string { return at[:strings.LastIndexByte(at, '.')] }

// family is what N stands in: "main" of "main.3.journal".
func family(at string) string {
	f, _, _ := strings.Cut(at, ".")
	return f
}

// title is a place's words with another name for what is measured there.
func title(p *pattern.Pattern, at, what string) string {
	words, _, _ := strings.Cut(p.Words(at), " · ")
	return words + " · " + what
}

func (b *binder) journal(e *record.Engine, pl pattern.Place) {
	key := e.Holds(pl.At)
	fam := family(pl.At)
	for _, cond := range b.conditions(key, pl.At) {
		name := id("journal", e.Serial, base(pl.At), cond)
		if b.keep(name, record.Spot{Key: key, At: pl.At, Cond: cond}) {
			continue
		}
		g := b.gather()
		g.readings("diameter", "", key, pl.At, cond)
		if len(g.in.Items["diameter"]) == 0 {
			continue
		}
		g.want(e, pl.At, cond)
		g.limit(e, "size", fam+".journal", fam+".size")
		g.limit(e, "ovality", fam+".ovality", "journal.ovality")
		g.limit(e, "taper", fam+".taper", "journal.taper")
		if cond == "found" {
			g.in.Opts["points"] = strings.Join(pl.Feature.Points, " ")
		}
		b.add(g, "journal", Res{ID: name, Asm: e.Serial, At: base(pl.At), Cond: cond,
			Words: title(e.Pattern, pl.At, "journal size"), Sheet: pl.Feature.Sheet})
	}
}

// clearance binds a journal and the bore over it, in every condition that one
// of them was read in.
func (b *binder) clearance(e *record.Engine, pl pattern.Place) {
	shellAt := base(pl.At) + ".shell"
	shell, ok := e.Pattern.Find(shellAt)
	if !ok {
		return
	}
	jKey, sKey := e.Holds(pl.At), e.Holds(shellAt)
	conds := append(b.conditions(jKey, pl.At), b.conditions(sKey, shellAt)...)
	order.By(conds, record.CompareConditions)
	for _, cond := range slices.Compact(conds) {
		name := id("clearance", e.Serial, base(pl.At), cond)
		if b.keep(name, append(b.best(e, pl.At, cond), b.best(e, shellAt, cond)...)...) {
			continue
		}
		g := b.gather()
		g.best(e, "journal", "", pl.At, cond)
		g.best(e, "shell", "", shellAt, cond)
		if len(g.in.Items["journal"])+len(g.in.Items["shell"]) == 0 {
			continue
		}
		g.limit(e, "clearance", family(pl.At)+".clearance")
		g.in.Opts["points"] = strings.Join(shell.Feature.Points, " ")
		b.add(g, "clearance", Res{ID: name, Asm: e.Serial, At: base(pl.At), Cond: cond,
			Words: title(e.Pattern, pl.At, "running clearance"), Sheet: pl.Feature.Sheet})
	}
}

func (b *binder) liner(e *record.Engine, pl pattern.Place) {
	key := e.Holds(pl.At)
	for _, cond := range b.conditions(key, pl.At) {
		name := id("bore", e.Serial, base(pl.At), cond)
		if b.keep(name, record.Spot{Key: key, At: pl.At, Cond: cond}) {
			continue
		}
		g := b.gather()
		g.readings("diameter", "", key, pl.At, cond)
		if len(g.in.Items["diameter"]) == 0 {
			continue
		}
		g.want(e, pl.At, cond)
		g.nominal(e, "bore", "bore")
		g.limit(e, "wear", "liner.wear")
		g.limit(e, "taper", "liner.taper")
		b.add(g, "bore", Res{ID: name, Asm: e.Serial, At: base(pl.At), Cond: cond,
			Words: title(e.Pattern, pl.At, "liner wear"), Sheet: pl.Feature.Sheet})
	}
}

// direct binds a reading that is held against its own limit, where there is one.
func (b *binder) direct(e *record.Engine, pl pattern.Place) {
	parts := strings.Split(pl.Feature.At, ".")
	what := parts[len(parts)-1]
	g0 := b.gather()
	g0.limit(e, "value", strings.ReplaceAll(pl.Feature.At, ".N.", "."), what)
	if len(g0.in.Limits) == 0 || slices.Contains([]string{"lead", "clay"}, what) {
		return
	}
	key := e.Holds(pl.At)
	for _, cond := range b.conditions(key, pl.At) {
		g := b.gather()
		g.readings("value", "", key, pl.At, cond)
		if len(g.in.Items["value"]) == 0 {
			continue
		}
		g.want(e, pl.At, cond)
		g.in.Limits = g0.in.Limits
		b.add(g, "direct", Res{ID: id("direct", e.Serial, pl.At, cond), Asm: e.Serial, At: pl.At, Cond: cond,
			Words: e.Pattern.Words(pl.At), Sheet: pl.Feature.Sheet})
	}
}

// undersizes binds all journals of a kind to the grinder's steps.
func (b *binder) undersizes(e *record.Engine) {
	for _, fam := range []string{"main", "pin"} {
		u, ok := e.Pattern.Undersizes[fam]
		if !ok {
			continue
		}
		var places []pattern.Place
		for _, pl := range e.Pattern.Places() {
			if pl.Feature.Shape == "journal" && family(pl.At) == fam {
				places = append(places, pl)
			}
		}
		if len(places) > 0 {
			b.undersize(e, fam, u, places)
		}
	}
}

func (b *binder) undersize(e *record.Engine, fam string, u pattern.Undersize, places []pattern.Place) {
	key := e.Holds(places[0].At)
	g := b.gather()
	for _, pl := range places {
		before := len(g.in.Items["diameter"])
		g.readings("diameter", pl.N, key, pl.At, "found")
		g.want(e, pl.At, "found")
		if len(g.in.Items["diameter"]) == before {
			g.missing = append(g.missing, e.Pattern.Words(pl.At))
		}
	}
	if len(g.in.Items["diameter"]) == 0 {
		return
	}
	g.nominal(e, "size", fam+".journal")
	g.in.Nominal["cleanup"] = u.Cleanup
	g.in.Opts["steps"], g.in.Opts["tolerance"] = strings.Join(u.Steps, " "), u.Tolerance
	g.limit(e, "least", fam+".least")
	g.partly = "Not all are read yet. If they have to be ground, by those that are: "
	b.add(g, "undersize", Res{ID: id("undersize", e.Serial, fam, "found"), Asm: e.Serial, At: fam, Cond: "found",
		Words: "all " + fam + " journals · next undersize", Sheet: places[0].Feature.Sheet})
}
