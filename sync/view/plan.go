package view

import (
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
)

// commonPlan is a common order of the work, for the lead to put in and change:
// what the type sheet can prove stands in it, the rest is signed as seen.
func commonPlan(p *pattern.Pattern) jcs.Value {
	sheets := p.Sheets()
	each := func(what string, of []string) []jcs.Value {
		var out []jcs.Value
		for _, o := range of {
			out = append(out, wantJSON(what, o))
		}
		return out
	}
	var joints []string
	for _, j := range p.Joints {
		joints = append(joints, j.Joint)
	}
	first := sheets[:min(len(sheets), 2)] // what an engine in pieces has: crank, bores
	settled := wantJSON("settled", "")
	return jcs.Arr(
		planned("survey", "Survey and strip", false, "HP1", "Numbering agreed, plates painted and photographed", nil),
		planned("strip", "Strip", false, "HP2", "Nothing unlabelled; cap, rod and shell still paired", signedAfter("HP1")),
		planned("measure", "Measure", false, "HP3", "Every reading is here, every question settled", append(append(each("measured", first), settled), signedAfter("HP2")...)),
		planned("decide", "Decide, order, machine", false, "HP4", "Decided and signed", signedAfter("HP3")),
		planned("inward", "Goods inward", false, "HP5", "Measured, not just unwrapped", append([]jcs.Value{settled}, signedAfter("HP4")...)),
		planned("clearances", "Trial build, check clearances", false, "HP6", "Measured, and agreeing with what was calculated", append(append(each("within", sheets[:min(len(sheets), 3)]), settled), signedAfter("HP5")...)),
		planned("assembly", "Final assembly", false, "HP7", "Tightened in order, nothing left over on the bench", append(each("tightened", joints), signedAfter("HP6")...)),
		planned("bench", "Bench preparation", false, "HP8", "Card read aloud, both ways of stopping tried", signedAfter("HP7")),
		planned("run", "Bench running alone", false, "HP9", "Passed alone; tightened again after the first heat", append(append(each("again", joints), wantJSON("proven", "")), signedAfter("HP8")...)),
		planned("match", "Matching", true, "HP10", "Inside the band at every station, hot, twice", append([]jcs.Value{wantJSON("matched", "")}, signedAfter("HP9")...)),
		planned("gearbox", "Fitting the combining gearbox", true, "HP11", "Readings close, repeated after the last tightening", signedAfter("HP10")),
		planned("clutches", "Clutch tests", true, "HP12", "Both inside the drag limit, hot; a stopped engine is not turned", append([]jcs.Value{wantJSON("tried", "")}, signedAfter("HP11")...)),
		planned("install", "Installation", true, "HP13", "Alignment measured in the vehicle, all guards on", signedAfter("HP12")),
		planned("handover", "Handover", true, "HP14", "Run in; doubts accepted in writing", append([]jcs.Value{wantJSON("proven", "")}, signedAfter("HP13")...)))
}

func planned(key, title string, pair bool, hold, says string, wants []jcs.Value) jcs.Value {
	return jcs.Obj(str("key", key), str("title", title), flag("pair", pair),
		jcs.M("hold", jcs.Obj(str("key", hold), str("title", says), jcs.M("wants", jcs.Arr(wants...)))))
}

func wantJSON(what, of string) jcs.Value { return jcs.Obj(str("what", what), str("of", of)) }

func signedAfter(hold string) []jcs.Value { return []jcs.Value{wantJSON("signed", hold)} }
