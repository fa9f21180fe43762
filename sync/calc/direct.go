package calc

var directSpec = Spec{
	Name: "direct", Version: "1", Title: "A size or gap as measured, against its limit",
	Needs: []Need{
		{"value", "the reading, at one spot or several", "any", "item", false},
		{"value", "what is allowed", "any", "limit", true},
		{"alpha", "expansion of the part, 10⁻⁶ per kelvin", "", "option", true},
	},
	Bounds: true,
	run:    runDirect,
}

const cautionDirect = "A limit of another engine is no limit of yours: the maker's manual comes before any figure here."

// runDirect judges each spot by itself.
func runDirect(s *sheet) {
	s.caution(cautionDirect)
	gs := s.groups("value", "measured")
	if len(gs) == 0 {
		s.missing("a reading")
	}
	for _, g := range gs {
		s.bounded(g.is, "value."+g.point, label("Measured", g.point), g.si, g.all(), g.unit, g.dec, "value")
	}
}
