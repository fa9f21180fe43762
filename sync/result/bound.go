package result

import (
	"slices"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/order"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
)

// bound binds the calculations that the type sheet itself names: all places of
// one calculation go into it together, each as what the sheet says. Sizes and
// limits are found under the calculation's name and the input's, as
// "timing.diameter"; sizes also under the input's alone.
func (b *binder) bound(e *record.Engine) {
	var names []string
	for _, f := range e.Pattern.Features {
		if f.Calc != "" && !slices.Contains(names, f.Calc) {
			names = append(names, f.Calc)
		}
	}
	for _, name := range names {
		if spec, ok := calc.Find(name); ok {
			b.piece(func(b *binder) { b.boundOne(e, spec) })
		}
	}
}

func (b *binder) boundOne(e *record.Engine, spec calc.Spec) {
	var places []pattern.Place
	var conds []string
	for _, pl := range e.Pattern.Places() {
		if pl.Feature.Calc == spec.Name {
			places = append(places, pl)
			conds = append(conds, b.conditions(e.Holds(pl.At), pl.At)...)
		}
	}
	order.By(conds, record.CompareConditions)
	for _, cond := range slices.Compact(conds) {
		g := b.gather()
		for _, pl := range places {
			label := ""
			if pl.N != "" {
				label = e.Serial + "/" + pl.N
			}
			g.best(e, pl.Feature.Item, label, pl.At, cond)
		}
		g.told(e, spec)
		f := places[0].Feature
		b.add(g, spec.Name, Res{ID: id(spec.Name, e.Serial, f.At, cond), Asm: e.Serial, At: f.At, Cond: cond,
			Words: strings.ToLower(spec.Title[:1]) + spec.Title[1:], Sheet: f.Sheet})
	}
}

// told adds the sizes, limits and options of a calculation that the type sheet
// and the lead have for it. A type sheet judges nothing: what is a limit by
// another name counts only as a limit, with who set it and who accepted it.
func (g *gathered) told(e *record.Engine, spec calc.Spec) {
	for _, n := range spec.Needs {
		switch n.Kind {
		case "nominal":
			g.nominal(e, n.Name, n.Name)
			g.nominal(e, n.Name, spec.Name+"."+n.Name)
		case "limit":
			g.limits(e, spec.Name, n.Name)
		}
	}
	for k, v := range e.Pattern.Options[spec.Name] {
		if !slices.Contains(calc.LimitOptions, k) {
			g.in.Opts[k] = v
		}
	}
}

// limits takes the limit of a calculation's input; of one that stands for many,
// as "min.*", each that is set.
func (g *gathered) limits(e *record.Engine, of, name string) {
	family, many := strings.CutSuffix(name, "*")
	if !many {
		g.limit(e, name, of+"."+name)
		return
	}
	for _, l := range g.b.st.Limits {
		if as, ok := strings.CutPrefix(l.Name, of+"."); ok && strings.HasPrefix(as, family) {
			g.limit(e, as, l.Name)
		}
	}
}
