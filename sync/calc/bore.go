package calc

import (
	"strings"

	"witnessmark/sync/quantity"
)

var boreSpec = Spec{
	Name: "bore", Version: "2", Title: "Bore wear, taper and out-of-round",
	Needs: []Need{
		{"diameter", "bore at a level and direction, as top.thrust, bottom.thrust", "length", "item", false},
		{"bore", "nominal bore", "length", "nominal", false},
		{"wear", "largest wear", "length", "limit", true},
		{"taper", "largest taper, top less bottom", "length", "limit", true},
		{"ovality", "largest out-of-round at a level", "length", "limit", true},
		{"points", "the points wanted, separated by spaces", "", "option", true},
		{"alpha", "expansion of the part, 10⁻⁶ per kelvin", "", "option", true},
	},
	Above: "diameter bore",
	run:   runBore,
}

const cautionBore = "The unworn lip above the top ring is not the bore. Rock the gauge to its least reading. The maker's limits come before any figure here."

// runBore: wear is the largest reading less the nominal bore, taper the
// largest difference of top and bottom in one direction, out-of-round that of
// two directions at one level.
func runBore(s *sheet) {
	s.caution(cautionBore)
	points := byPoint(s.groups("diameter", "bore"))
	s.wanted("bore", points)
	nominal, ok := s.nominal("bore", "nominal bore")
	if len(points) == 0 || !ok || !s.oneThing("readings of the bore", points) {
		return
	}
	most := points[0]
	for _, p := range points {
		if p.si > most.si {
			most = p
		}
	}
	wear := most.si - nominal.si
	s.line("wear: " + PointWords(most.point) + " " + text(most.measured, most.dec) + " − " + text(nominal, most.dec) + " = " +
		quantity.FormatStep(wear, most.unit, most.dec) + "\u2009" + most.unit.Symbol)
	s.value("wear", "Wear", wear, most.all(), most.unit, most.dec, "wear")
	s.extreme("taper", "Taper", pairs(points, func(level, dir string) (string, string) {
		return "top." + dir, "bottom." + dir
	}))
	s.extreme("ovality", "Out-of-round", sameLevel(points))
}

// sameLevel pairs each two directions of a level.
func sameLevel(points []group) [][2]group {
	var out [][2]group
	for i, p := range points {
		level, _, _ := strings.Cut(p.point, ".")
		for _, q := range points[i+1:] {
			if other, _, _ := strings.Cut(q.point, "."); other == level && level != p.point {
				out = append(out, [2]group{p, q})
			}
		}
	}
	return out
}
