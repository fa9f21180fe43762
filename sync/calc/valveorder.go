package calc

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/quantity"
)

var valveorderSpec = Spec{
	Name: "valveorder", Version: "1", Title: "Which valves to set when, from the firing order",
	Needs: []Need{
		{"order", "firing order, as 1-5-3-6-2-4", "", "option", false},
		{"direction", "reversed, where the engine runs the other way from the order as written", "", "option", true},
		{"inlet_opens", "inlet opens, degrees before top dead centre", "angle", "nominal", true},
		{"inlet_closes", "inlet closes, degrees after bottom dead centre", "angle", "nominal", true},
		{"exhaust_opens", "exhaust opens, degrees before bottom dead centre", "angle", "nominal", true},
		{"exhaust_closes", "exhaust closes, degrees after top dead centre", "angle", "nominal", true},
	},
	run: runValveorder,
}

const cautionOrder = "Count the cylinders from the end that the maker counts from, and say that end aloud. " + cautionTurning

// runValveorder: a four-stroke fires each cylinder once in 720 degrees, taken
// as evenly spaced; companions are 360 degrees apart, so that one rocks
// (exhaust closing, inlet opening) while the other stands ready to be set.
func runValveorder(s *sheet) {
	s.caution(cautionOrder)
	order, ok := s.firingOrder()
	if !ok {
		return
	}
	step := twoTurns / float64(len(order))
	dec := 0
	if step != math.Floor(step) {
		dec = 1
	}
	s.line("in the order they fire: " + strings.Join(order, "-") + ", one every " + quantity.Fixed(step, dec) + "° of the crank, taken as even")
	for i, c := range order {
		s.value("fires."+c, "Cylinder "+c+" fires, after cylinder 1", float64(i)*step, nil, degreeUnit, dec, "")
	}
	events, given := s.valveEvents()
	s.companions(order)
	if given {
		s.byEvents(order, step, events)
	} else {
		s.byRule(order)
	}
}

// firingOrder reads the order, from cylinder 1, each cylinder once.
func (s *sheet) firingOrder() ([]string, bool) {
	order := strings.FieldsFunc(s.in.Opts["order"], func(c rune) bool { return strings.ContainsRune("-–, ", c) })
	if len(order) == 0 {
		s.missing("the firing order")
		return nil, false
	}
	if why := orderFault(order); why != "" {
		s.missing("firing order: " + why + "; write it again, as 1-5-3-6-2-4")
		return nil, false
	}
	i := slices.Index(order, "1")
	order = append(slices.Clone(order[i:]), order[:i]...)
	switch strings.ToLower(strings.TrimSpace(s.in.Opts["direction"])) {
	case "":
	case "reversed":
		slices.Reverse(order[1:])
		s.line("the engine runs the other way from the order as written, so the order is read backwards")
	default:
		s.missing("direction: 'reversed', or nothing where the order is written for the way the engine runs")
		return nil, false
	}
	return order, true
}

func orderFault(order []string) string {
	most := len(order)
	for _, c := range order {
		n, err := strconv.Atoi(c)
		if err != nil || n < 1 || strconv.Itoa(n) != c {
			return "'" + c + "' is no cylinder"
		}
		most = max(most, n)
	}
	if most < 2 || most > 12 {
		return "2 to 12 cylinders are counted here"
	}
	for n := 1; n <= most; n++ {
		c := strconv.Itoa(n)
		i := slices.Index(order, c)
		if i < 0 {
			return "cylinder " + c + " is not in it"
		}
		if slices.Contains(order[i+1:], c) {
			return "cylinder " + c + " is in it twice"
		}
	}
	return ""
}

// companions pairs the cylinders half the order apart.
func (s *sheet) companions(order []string) {
	half := len(order) / 2
	if len(order)%2 != 0 {
		s.say("Of " + strconv.Itoa(len(order)) + " cylinders none has a companion: no two are one turn apart; set each with its own piston at top dead centre, firing")
		s.line(s.Says)
		return
	}
	var says []string
	for i, c := range order {
		partner := order[(i+half)%len(order)]
		says = append(says, partner+" rocks, set "+c)
		n, _ := strconv.Atoi(partner)
		s.value("partner."+c, "Companion of cylinder "+c, float64(n), nil, ratio1, 0, "")
	}
	s.say("As the engine turns: " + strings.Join(says, "; "))
	s.line(s.Says)
}

// opening is the crank angles between which a valve is open, from the firing
// top dead centre of its cylinder.
type opening struct{ from, to float64 }

// clear is how far a valve is from being open at an angle; below nought when
// it is open.
func (o opening) clear(angle float64) float64 {
	past := turn(angle - o.from)
	if past <= o.to-o.from {
		return -1
	}
	return math.Min(twoTurns-past, past-(o.to-o.from))
}

// turn brings an angle into one cycle.
func turn(a float64) float64 { return a - float64(math.Floor(a/twoTurns)*twoTurns) }

// valveEvents reads the four angles, which come together or not at all.
func (s *sheet) valveEvents() (kinds map[string]opening, given bool) {
	names := []string{"inlet_opens", "inlet_closes", "exhaust_opens", "exhaust_closes"}
	if !slices.ContainsFunc(names, s.given) {
		return nil, false
	}
	var a [4]float64
	ok := true
	for i, name := range names {
		what := strings.Replace(name, "_", " ", 1)
		m, read := s.one(name, what)
		if read && math.Abs(m.si) >= 90 {
			s.missing(what + ": " + m.text + " is a quarter turn or more from its dead centre; write it again")
			read = false
		}
		a[i], ok = m.si, ok && read
	}
	if !ok {
		return nil, true
	}
	return map[string]opening{"inlet": {360 - a[0], 540 + a[1]}, "exhaust": {180 - a[2], 360 + a[3]}}, true
}

// byEvents sets each valve at that of two positions, one turn apart, where it
// is further from being open.
func (s *sheet) byEvents(order []string, step float64, kinds map[string]opening) {
	if kinds == nil {
		return
	}
	sets := [2]map[string][]string{{}, {}}
	least := [2]float64{twoTurns, twoTurns}
	for _, kind := range valveKinds {
		for i, c := range order {
			p, away := kinds[kind].position(float64(float64(i) * step))
			least[p] = math.Min(least[p], away)
			sets[p][kind] = append(sets[p][kind], c)
			s.position(kind, c, p)
		}
	}
	for p := range sets {
		if len(sets[p]) > 0 {
			s.line(positionWords[p] + ": " + setWords(sets[p]) + "; none of them within " + quantity.Fixed(least[p], 0) + "° of being open")
		}
	}
}

// position is the better of the two for a cylinder that fires so many degrees
// after cylinder 1, and how far its valve is then from being open. No valve is
// open in both: with events within a quarter turn it is open for less than one.
func (o opening) position(fires float64) (p int, away float64) {
	first, second := o.clear(turn(-fires)), o.clear(turn(360-fires))
	if second > first {
		return 1, second
	}
	return 0, first
}

var positionWords = [2]string{"first position, cylinder 1 at top dead centre, firing", "second position, one turn on"}

// byRule: both valves of cylinder 1, the exhausts of those that fire in the
// next turn, the inlets of those that fired in the last one; after a turn the rest.
func (s *sheet) byRule(order []string) {
	if len(order)%2 != 0 {
		return
	}
	half := len(order) / 2
	sets := [2]map[string][]string{{}, {}}
	for i, c := range order {
		exhaust, inlet := 0, 0 // the position
		if i >= half {
			exhaust = 1
		}
		if i > 0 && i <= half {
			inlet = 1
		}
		sets[inlet]["inlet"] = append(sets[inlet]["inlet"], c)
		sets[exhaust]["exhaust"] = append(sets[exhaust]["exhaust"], c)
		s.position("inlet", c, inlet)
		s.position("exhaust", c, exhaust)
	}
	for p := range sets {
		s.line(positionWords[p] + ": " + setWords(sets[p]) + " (the usual rule: common practice, no source)")
	}
}

func (s *sheet) position(kind, cylinder string, p int) {
	s.value("position."+cylinder+strings.ToUpper(kind[:1]), capital(kind)+" of cylinder "+cylinder+": set at position", float64(p+1), nil, ratio1, 0, "")
}

func setWords(set map[string][]string) string {
	var words []string
	for _, kind := range valveKinds {
		if len(set[kind]) > 0 {
			words = append(words, kind+"s "+strings.Join(set[kind], " "))
		}
	}
	return "set " + strings.Join(words, "; ")
}
