package calc

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/quantity"
)

var sequenceSpec = Spec{
	Name: "sequence", Version: "1", Title: "Order and passes of tightening, and what is next",
	Needs: []Need{
		{"map", "where the fasteners are, in mm: label x y; label x y", "", "option", false},
		{"entered", "the order of the handbook: labels, separated by spaces", "", "option", true},
		{"passes", "torque of each pass, separated by spaces, as 50 90 130", "", "option", true},
		{"unit", "unit of the torques: N.m if not given", "", "option", true},
		{"done", "what was tightened, in the order done, as 1:7 1:20 (pass:label)", "", "option", true},
		{"heated", "day of the first heat, as 2027-04-03, with its time if known", "", "option", true},
		{"retightened", "day of the retightening after it", "", "option", true},
	},
	run: runSequence,
}

const cautionSequence = "Tighten each once in a pass; a pull that is counted twice or missed bends the head. After the first heat let it go cold, retighten one nut at a time, then set the tappets again (common practice, no source). Do not lean over a stud. The maker's order comes before any order proposed here."

// runSequence: the order proposed goes from the middle outwards and across
// (common practice, no source); the handbook's order, when entered, is used.
func runSequence(s *sheet) {
	s.caution(cautionSequence)
	all, ok := s.fastenerMap()
	if !ok {
		return
	}
	proposed := namesOf(centreOut(all))
	s.line("proposed, from the middle outwards and across: " + strings.Join(proposed, " "))
	order := proposed
	if entered := fieldsOf(s.in.Opts["entered"]); len(entered) > 0 && s.checkOrder(entered, all) {
		order = entered
	}
	s.value("fasteners", "Fasteners", float64(len(all)), nil, ratio1, 0, "")
	s.Says = counted(len(all)) + ", in this order: " + strings.Join(order, " ") + "."
	s.passes(order)
	s.heat()
}

func counted(n int) string {
	if n == 1 {
		return "One fastener"
	}
	return strconv.Itoa(n) + " fasteners"
}

// checkOrder reports whether an order has each fastener once. How far it
// departs from the middle outwards is a remark only.
func (s *sheet) checkOrder(order []string, all []fastener) bool {
	missed, twice, strange := tally(order, namesOf(all))
	for _, w := range []struct {
		what   string
		labels []string
	}{{"missed in the order entered", missed}, {"twice in the order entered", twice}, {"in the order entered but not on the map", strange}} {
		if len(w.labels) > 0 {
			s.missing(w.what + ": " + strings.Join(w.labels, " "))
		}
	}
	if len(missed)+len(twice)+len(strange) > 0 {
		return false
	}
	early := 0
	ring := slack(all)
	place := map[string]float64{}
	for _, f := range all {
		place[f.label] = f.out
	}
	for i, l := range order {
		if slices.ContainsFunc(order[i+1:], func(later string) bool { return place[later] < place[l]-ring }) {
			early++
		}
	}
	s.line("the order entered has each once; " + strconv.Itoa(early) + " of " + strconv.Itoa(len(order)) + " come before one that lies nearer the middle (a remark, the handbook's order counts)")
	return true
}

// passes reads the torques and says what is done and what is next.
func (s *sheet) passes(order []string) {
	unit := s.in.Opts["unit"]
	if unit == "" {
		unit = "N.m"
	}
	var torques []quantity.Q
	for i, text := range strings.Fields(s.in.Opts["passes"]) {
		q, err := quantity.Parse(quantity.Written{Text: text, Unit: unit})
		switch {
		case err != nil:
			s.missing("torque of pass " + strconv.Itoa(i+1) + ": " + err.Error())
			return
		case q.Unit.Dim != quantity.Torque:
			s.missing("torque of the passes: " + q.Unit.Symbol + " is no unit of torque")
			return
		case q.SI <= 0 || i > 0 && q.SI <= torques[i-1].SI:
			s.missing("torque of pass " + strconv.Itoa(i+1) + ": " + text + " is not more than the one before")
			return
		}
		s.line("pass " + strconv.Itoa(i+1) + ": " + in(q.SI, q.Unit, q.Dec))
		torques = append(torques, q)
	}
	if len(torques) == 0 {
		if s.in.Opts["done"] != "" {
			s.missing("torque of each pass, as 50 90 130")
		}
		return
	}
	if done, ok := s.donePasses(order, len(torques)); ok {
		s.next(order, torques, done)
	}
}

// donePasses sorts what was tightened by pass and says what was missed,
// repeated or begun too soon.
func (s *sheet) donePasses(order []string, n int) ([][]string, bool) {
	done := make([][]string, n)
	for _, one := range fieldsOf(s.in.Opts["done"]) {
		p, label, ok := strings.Cut(one, ":")
		pass, err := strconv.Atoi(p)
		if !ok || err != nil || pass < 1 || pass > n {
			s.missing("what was tightened: '" + one + "' is not a pass from 1 to " + strconv.Itoa(n) + " and a label, as 1:7")
			return nil, false
		}
		if pass > 1 && len(done[pass-1]) == 0 {
			if left, _, _ := tally(done[pass-2], order); len(left) > 0 {
				s.line("pass " + p + " was begun before pass " + strconv.Itoa(pass-1) + " was through: left then " + strings.Join(left, " "))
			}
		}
		done[pass-1] = append(done[pass-1], label)
	}
	return done, true
}

// next finds the first fastener not yet tightened and lists what is left.
func (s *sheet) next(order []string, torques []quantity.Q, done [][]string) {
	found := false
	count := 0
	for i, q := range torques {
		missed, twice, strange := tally(done[i], order)
		pass := "pass " + strconv.Itoa(i+1)
		count += len(order) - len(missed)
		if len(twice) > 0 {
			s.line(pass + ": tightened more than once: " + strings.Join(twice, " "))
		}
		if len(strange) > 0 {
			s.missing(pass + ": not on the map: " + strings.Join(strange, " "))
		}
		s.leftOrder(pass, done[i], order)
		if len(missed) == 0 {
			continue
		}
		s.missing(pass + ", " + in(q.SI, q.Unit, q.Dec) + ", still to tighten: " + strings.Join(missed, " "))
		if !found {
			found = true
			s.value("torque", "Torque of the next, "+missed[0]+", "+pass, q.SI, nil, q.Unit, q.Dec, "")
			s.Says = "Next: " + missed[0] + " at " + in(q.SI, q.Unit, q.Dec) + ", " + pass + "; " + strconv.Itoa(len(missed)) + " of " + strconv.Itoa(len(order)) + " are left in it." + again(twice)
		}
	}
	s.value("done", "Tightenings done, of "+strconv.Itoa(len(order)*len(torques)), float64(count), nil, ratio1, 0, "")
	if !found {
		s.Says = "All " + strconv.Itoa(len(order)) + " are done in all " + strconv.Itoa(len(torques)) + " passes."
	}
}

// leftOrder says where a pass first left the order.
func (s *sheet) leftOrder(pass string, done, order []string) {
	for i, l := range done[:min(len(done), len(order))] {
		if l != order[i] {
			s.line(pass + ": left the order at number " + strconv.Itoa(i+1) + ", " + l + " for " + order[i])
			return
		}
	}
}

func again(twice []string) string {
	if len(twice) == 0 {
		return ""
	}
	return " More than once in it: " + strings.Join(twice, " ") + "."
}

// heat says whether the retightening after the first heat is due.
func (s *sheet) heat() {
	if s.in.Opts["heated"] == "" {
		return
	}
	heated, ok := s.moment("heated", "day of the first heat")
	if !ok {
		return
	}
	if s.in.Opts["retightened"] == "" {
		s.missing("retightening after the first heat of " + heated + ", cold, one nut at a time")
		s.Says += " Retightening is due since the heat of " + heated + "."
		return
	}
	again, ok := s.moment("retightened", "day of the retightening")
	switch {
	case ok && again < heated:
		s.missing("retightening after the first heat of " + heated + ": that of " + again + " was before it")
		s.Says += " Retightening is due since the heat of " + heated + "."
	case ok:
		s.line("retightened on " + again + ", after the first heat of " + heated)
		s.Says += " Retightened after the first heat."
	}
}
