package result

import (
	"slices"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/pattern"
)

// LimitOf is something of an engine type that a limit can be set for.
type LimitOf struct {
	Names []string // as a limit entry has it, "main.clearance"; the first is written, any is found
	Words string   // "main bearing: running clearance"
	Unit  string   // the kind of its unit, "length", or "any"
	Usual string   // the unit that its place is measured in
}

// Limits lists what can be limited on an engine of the type, in the order of
// its sheet: what the calculations of its places ask for, each once.
func Limits(p *pattern.Pattern) []LimitOf {
	var out []LimitOf
	add := func(usual string, of []LimitOf) {
		for _, l := range of {
			l.Usual = usual
			if !slices.ContainsFunc(out, func(o LimitOf) bool { return o.Names[0] == l.Names[0] }) {
				out = append(out, l)
			}
		}
	}
	for i := range p.Features {
		f := &p.Features[i]
		if spec, ok := calc.Find(f.Calc); ok {
			add(f.Unit, boundLimits(spec, f.Points))
		} else {
			add(f.Unit, placeLimits(p, f))
		}
	}
	return out
}

// boundLimits are those of a calculation that the sheet itself names. A name
// with a star stands for one at each of the points, or stations.
func boundLimits(spec calc.Spec, points []string) []LimitOf {
	var out []LimitOf
	for _, n := range spec.Needs {
		if n.Kind != "limit" {
			continue
		}
		family, many := strings.CutSuffix(n.Name, "*")
		if !many {
			out = append(out, LimitOf{Names: []string{spec.Name + "." + n.Name}, Words: spec.Title + ": " + n.Label, Unit: n.Unit})
			continue
		}
		for _, p := range points {
			out = append(out, LimitOf{Names: []string{spec.Name + "." + family + p}, Words: spec.Title + ": at " + pattern.PointWords(p) + ", least", Unit: n.Unit})
		}
	}
	return out
}

// placeLimits are those of the calculations that a place has by what it is.
func placeLimits(p *pattern.Pattern, f *pattern.Feature) []LimitOf {
	whole := strings.ReplaceAll(f.At, ".N.", ".")
	fam, what := family(f.At), whole[strings.LastIndexByte(whole, '.')+1:]
	of, shown, _ := strings.Cut(strings.ReplaceAll(f.Words, " {n}", ""), " · ")
	length := func(words string, names ...string) LimitOf {
		return LimitOf{Names: names, Words: of + ": " + words, Unit: "length"}
	}
	switch {
	case f.Shape == "journal":
		out := []LimitOf{length("smallest size for use again", fam+".journal", fam+".size"), length("out-of-round", fam+".ovality", "journal.ovality"),
			length("taper", fam+".taper", "journal.taper")}
		if _, ok := p.Undersizes[fam]; ok {
			out = append(out, length("smallest size after grinding", fam+".least"))
		}
		return out
	case f.Shape == "shell":
		return []LimitOf{length("running clearance", fam+".clearance")}
	case what == "liner":
		return []LimitOf{length("liner wear", "liner.wear"), length("liner taper", "liner.taper")}
	case what == "lead":
		return []LimitOf{length("bump clearance", "bump"), length("bump clearance, worked out and by lead: what they may differ by", "bump.agree")}
	case what == "clay":
		if fam == "valve" {
			return []LimitOf{length("valve to piston", "valve.gap", "valve")}
		}
		return nil
	case what == "compressed":
		return []LimitOf{length("thickness under torque", "compressed"), {Names: []string{"ratio"}, Words: of + ": compression ratio", Unit: "1"}}
	case f.Shape == "gasket": // measured of a lot before it is fitted: no engine's result rests on it alone
		return nil
	}
	return []LimitOf{{Names: []string{whole, what}, Words: of + ": " + shown, Unit: "any"}}
}
