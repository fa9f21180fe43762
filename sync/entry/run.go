package entry

import "slices"

// runKind is an engine running on a stand: a start, and what is logged of it:
// samples of its gauges, blocks of what a gauge sampled by itself, events, and
// that it stopped. Each of them names the start and says whose engine it is, so
// that two phones may log one run.
var runKind = kind{
	fields: []field{need("of", of), need("does", oneOf("start", "sample", "samples", "event", "stop")),
		may("with", of), may("title", text), may("stand", text), may("fluids", text), may("not_fitted", listOf(text)), may("most", value),
		may("checks", listOf(object("check", "answer"))), may("posts", listOf(object("post", "who"))),
		may("hold", key), may("release", listOf(ref)), may("before", listOf(ref)),
		may("run", ref), may("elapsed", value), may("clock", text),
		may("what", place), may("value", value), may("seen", oneOf("seen", "in band")), may("later", flag), may("station", key),
		may("round", count), may("swapped", flag), may("instrument", key),
		may("columns", listOf(column)), may("step", value), may("times", offsets), may("file", text),
		may("event", key), may("words", text), may("why", text)},
	extra: runPart,
}

// adjustKind is a screw, a stop or a rod that was moved on a running engine, or
// between two rounds of readings.
var adjustKind = kind{
	fields: []field{need("of", of), need("what", key), need("way", key), may("turned", value), may("run", ref), may("round", count), may("why", text)},
}

// clutchKind is one try of a clutch.
var clutchKind = kind{
	fields: []field{need("of", of), need("try", key), need("result", oneOf("good", "bad", "not sure")), may("hot", flag), may("value", value), may("words", text), may("again", listOf(ref))},
}

// runParts are the fields that only one part of a run has, and which of them it must have.
var runParts = map[string]struct{ own, must []string }{
	"start":   {[]string{"with", "title", "stand", "fluids", "not_fitted", "most", "checks", "posts", "hold", "release", "before"}, []string{"title"}},
	"sample":  {[]string{"what", "value", "seen", "later", "round", "swapped", "instrument"}, []string{"run", "elapsed", "what"}},
	"samples": {[]string{"columns", "step", "times", "file"}, []string{"run", "elapsed", "columns"}},
	"event":   {[]string{"event", "words"}, []string{"run", "elapsed", "event"}},
	"stop":    {[]string{"why"}, []string{"run", "elapsed", "why"}},
}

var runShared = []string{"of", "does", "run", "elapsed", "clock", "station"}

func runPart(e Entry) string {
	b := e.Body
	does := b.Get("does").Text()
	part := runParts[does]
	for _, name := range part.must {
		if b.Get(name).IsNull() {
			return "the " + does + " of a run needs '" + name + "'"
		}
	}
	for _, m := range b.Members() {
		if !slices.Contains(part.own, m.Key) && runField(m.Key) && (does == "start" || !slices.Contains(runShared, m.Key)) && m.Key != "of" && m.Key != "does" {
			return "'" + m.Key + "' does not belong to the " + does + " of a run"
		}
	}
	if does == "samples" {
		return block(b)
	}
	return when(does == "sample" && b.Get("value").IsNull() && b.Get("seen").IsNull(), "a sample says a value, or that it was seen")
}

// runField: a field of a newer version is nobody's here and is kept.
func runField(name string) bool {
	if slices.Contains(runShared, name) {
		return true
	}
	for _, p := range runParts {
		if slices.Contains(p.own, name) {
			return true
		}
	}
	return false
}
