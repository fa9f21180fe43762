package entry

import "witnessmark/sync/jcs"

// holdTest is two entries: a start, and an end that names it. Both say whose
// engine it is, so that an end never goes to the twin.
var holdTest = kind{
	fields: []field{need("of", of), need("pressure", value), may("temp", value), may("note", text),
		may("test", text), may("gauge", key), may("wait", value), may("vacuum", flag), may("volume", value), may("again", listOf(ref)),
		may("start", ref), may("elapsed", value), may("counted", value), may("clock", text)},
	register: holdRegister,
	extra:    holdPart,
}

// holdRegister: a test ends once.
func holdRegister(b jcs.Value) string {
	if b.Get("start").IsNull() {
		return ""
	}
	return "hold-test/" + b.Get("start").Text()
}

func holdPart(e Entry) string {
	b, own, not := e.Body, []string{"test"}, []string{"elapsed", "counted", "clock"}
	if !b.Get("start").IsNull() {
		own, not = []string{"elapsed"}, []string{"test", "gauge", "wait", "vacuum", "volume", "again"}
	}
	for _, name := range own {
		if b.Get(name).IsNull() {
			return "a hold test is begun with what is held, or ended with the start that it ends and how long it was held: '" + name + "' is missing"
		}
	}
	for _, name := range not {
		if !b.Get(name).IsNull() {
			return "'" + name + "' belongs to the other end of a hold test"
		}
	}
	return ""
}
