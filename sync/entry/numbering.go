package entry

import (
	"strconv"
	"strings"

	"witnessmark/sync/jcs"
)

var numbering = kind{
	fields: []field{need("name", text), need("end1", text), need("end2", text), need("facing", text),
		need("left", text), need("right", text), may("machinists", listOf(object("name", "pins"))), may("counts", listOf(hisCount))},
	register: fixed("numbering"),
	extra:    func(e Entry) string { return countsTwice(e.Body) },
}

// hisCount is one group of places as an outside shop counts it: from the other
// end, or his number for each of ours.
var hisCount = form{func(v jcs.Value) bool {
	return strings.TrimSpace(v.Get("name").Text()) != "" && isKey(v.Get("of")) && (isFrom(v.Get("numbers").Text()) || isNumberList(v.Get("numbers")))
}, "whose it is, of which group, and its numbers: from a sum, or his for each of ours"}

// isFrom: 'from 7' counts from the other end; his n is our 7 − n.
func isFrom(s string) bool {
	sum, err := strconv.Atoi(strings.TrimPrefix(s, "from "))
	return err == nil && strings.HasPrefix(s, "from ") && sum > 1
}

func isNumberList(v jcs.Value) bool {
	for _, m := range v.Members() {
		if !isKey(jcs.Str(m.Key)) || !isKey(m.Val) {
			return false
		}
	}
	return v.Kind() == jcs.KindObject && len(v.Members()) > 0
}

// countsTwice says where a shop's list cannot be meant: a number of his that
// stands twice, or a group that is counted twice.
func countsTwice(b jcs.Value) string {
	groups := map[string]bool{}
	for _, m := range b.Get("machinists").Items() {
		groups[m.Get("name").Text()+"/pin"] = true
	}
	for _, c := range b.Get("counts").Items() {
		name, of := c.Get("name").Text(), c.Get("of").Text()
		if groups[name+"/"+of] {
			return name + " counts " + of + " in two ways: keep one of them"
		}
		groups[name+"/"+of] = true
		ours := map[string]string{}
		for _, m := range c.Get("numbers").Members() {
			his := m.Val.Text()
			if first, twice := ours[his]; twice {
				return name + "'s number " + his + " stands twice: for our " + of + " " + first + " and " + m.Key
			}
			ours[his] = m.Key
		}
	}
	return ""
}
