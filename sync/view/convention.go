package view

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

// machinist is the draft of the convention with a shop that counts otherwise,
// or without one: name it, and say which of our pins its pin 1 is. error says
// what is wrong.
func (v *viewer) machinist() jcs.Value {
	n := v.st.Numbering
	if n.Name == "" {
		return jcs.Obj(text("error", "sign the convention first: there is nothing yet to count otherwise than"))
	}
	name := strings.TrimSpace(v.arg("name"))
	list := slices.DeleteFunc(slices.Clone(n.Machinists), func(m record.Machinist) bool { return m.Name == name })
	if !v.args.Get("off").IsTrue() {
		first, err := strconv.Atoi(strings.TrimSpace(v.arg("first")))
		switch {
		case name == "":
			return jcs.Obj(text("error", "say whose numbers they are"))
		case err != nil || first < 1 || first > v.mostPins():
			return jcs.Obj(text("error", "which of our pins is his pin 1? A whole number from 1 to "+strconv.Itoa(v.mostPins())))
		}
		list = append(list, record.Machinist{Name: name, Pins: "from " + strconv.Itoa(first+1)})
	}
	body := v.numbering().Without("id").Without("machinists").With("machinists", jcs.Arr(machinistsJSON(list)...))
	return jcs.Obj(jcs.M("draft", jcs.Obj(str("kind", "numbering"), jcs.M("body", body), jcs.M("over", jcs.Strs([]string{string(n.ID)})))))
}

// mostPins is how many pins the longest crank of the job has.
func (v *viewer) mostPins() int {
	most := 1
	for _, s := range v.st.Patterns {
		if s.Pattern != nil {
			most = max(most, s.Pattern.Cylinders)
		}
	}
	return most
}

func machinistsJSON(list []record.Machinist) []jcs.Value {
	out := make([]jcs.Value, 0, len(list))
	for _, m := range list {
		out = append(out, jcs.Obj(text("name", m.Name), text("pins", m.Pins)))
	}
	return out
}

// counts says a shop's numbers in words: 'pin 1 is our pin 6, pin 6 our pin 1'.
func counts(m record.Machinist) string {
	sum, err := strconv.Atoi(strings.TrimPrefix(m.Pins, "from "))
	if err != nil || sum < 2 {
		return m.Pins
	}
	last := strconv.Itoa(sum - 1)
	if sum == 2 {
		return "pin 1 is our pin 1"
	}
	return "pin 1 is our pin " + last + ", pin " + last + " our pin 1"
}
