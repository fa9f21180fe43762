package calc

import (
	"strings"

	"witnessmark/sync/quantity"
)

var recessionSpec = Spec{
	Name: "recession", Version: "2", Title: "Valves below or proud of the head face",
	Needs: []Need{
		{"depth", "valve head from the head face, + below, − proud; each valve as 1I or 4E", "length", "item", false},
		{"inlet", "diameter of an inlet valve's head", "length", "nominal", true},
		{"exhaust", "diameter of an exhaust valve's head", "length", "nominal", true},
		{"volume", "volume that a valve may add to its chamber", "volume", "nominal", true},
		{"recession", "depth allowed, a valve that stands proud with a minus", "length", "limit", true},
		{"valves", "the valves wanted, separated by spaces", "", "option", true},
	},
	Above: "inlet exhaust volume",
	run:   runRecession,
}

const cautionSprings = "Face away from a spring compressor and wear eye protection: collets fly. A valve that stands proud comes nearer to the piston: measure that gap before the engine is turned. A seat cut deeper moves the tappet. The maker's limit comes before any figure here."

// runRecession judges each valve's depth and gives the volume it adds to its
// chamber, a disc of the head's size: π/4 × diameter² × depth.
func runRecession(s *sheet) {
	s.caution(cautionSprings)
	heads := s.valveHeads()
	gs := s.groups("depth", "depth of the valve")
	s.wantedValves("depth", gs)
	for _, g := range gs {
		name := nameFor(nameFor("recession", g.label), g.point)
		s.value(name, where("Depth below the head face", g), g.si, g.all(), g.unit, g.dec, "recession")
	}
	added, parts := map[string]float64{}, map[string][]quantity.Part{}
	for _, g := range s.meanSpots(gs, "depth of the valve") {
		head, ok := heads[valveKind(g.label)]
		if !ok {
			continue
		}
		x := float64(area(head.si) * g.si)
		of := append(times(g.all(), area(head.si)), times(head.all(), 2*x/head.si)...)
		v := s.value(nameFor(nameFor("volume", g.label), g.point), where("Added to the chamber", g), x, of, cubic, 2, "")
		s.line(where("volume", g) + ": π/4 × " + text(head, head.dec) + "² × " + quantity.FormatStep(g.si, head.unit, max(g.dec, digitsFor(1e-5, head.unit))) + " = " + v.Text + "\u2009cm³")
		c := chamberOf(g.label)
		added[c], parts[c] = added[c]+x, append(parts[c], of...)
	}
	for _, c := range sorted(added) {
		v := s.value(nameFor("chamber", c), about("Added to the chamber by the valves measured", c), added[c], parts[c], cubic, 2, "")
		s.line(about("chamber, by the valves measured", c) + ": " + v.Text + "\u2009cm³")
	}
	s.depthsFor(heads)
}

// meanSpots makes one of all spots of each label.
func (s *sheet) meanSpots(gs []group, what string) []group {
	var out []group
	for _, label := range labelsOf(gs) {
		var ms []measured
		for _, g := range gs {
			if g.label == label {
				ms = append(ms, g.measured)
			}
		}
		out = append(out, group{label: label, measured: s.mean(ms, about(what, label))})
	}
	return out
}

// valveHeads reads the heads' diameters by kind.
func (s *sheet) valveHeads() map[string]measured {
	heads := map[string]measured{}
	for _, kind := range valveKinds {
		if !s.given(kind) {
			continue
		}
		if d, ok := s.one(kind, "head of an "+kind+" valve"); ok {
			heads[kind] = d
		}
	}
	return heads
}

// depthsFor says at what depth a valve of each kind adds the volume asked for.
func (s *sheet) depthsFor(heads map[string]measured) {
	if !s.given("volume") {
		return
	}
	v, ok := s.one("volume", "volume that a valve may add")
	for _, kind := range valveKinds {
		d, has := heads[kind]
		if !ok || !has {
			continue
		}
		a := area(d.si)
		deep := s.value("depth."+kind, "Depth at which an "+kind+" valve adds that volume", v.si/a, times(v.all(), 1/a), d.unit, digitsFor(1e-5, d.unit), "")
		s.line(kind + ": " + v.text + " ÷ (π/4 × " + text(d, d.dec) + "²) = " + deep.Text + "\u2009" + d.unit.Symbol)
	}
}

// chamberOf is the cylinder of "1I" or "2117/E3".
func chamberOf(label string) string {
	i := strings.LastIndex(label, "/") + 1
	return label[:i] + strings.Trim(strings.ToUpper(label[i:]), "IE")
}
