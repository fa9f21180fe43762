package calc

import (
	"slices"
	"testing"
)

// ownVerdicts are calculations with a verdict that no limit gives: two readings
// agree, a wrench is in range, or no size on offer does.
var ownVerdicts = []string{"pair", "torquetool", "undersize", "oversize"}

// TestOnlyAcceptedLimitsJudge: with the limits of a vector not accepted, or
// none at all, nothing is within, outside or too close to call.
func TestOnlyAcceptedLimitsJudge(t *testing.T) {
	tried := 0
	for _, v := range allVectors(t) {
		if len(v.in.Limits) == 0 || v.in.Opts["minima"] != "" || slices.Contains(ownVerdicts, v.calc) {
			continue
		}
		in := v.in
		in.Limits = map[string]Limit{}
		for name, l := range v.in.Limits {
			l.Accepted = false
			in.Limits[name] = l
		}
		unjudged(t, v, in)
		in.Limits = nil
		unjudged(t, v, in)
		tried++
	}
	if tried < 80 {
		t.Errorf("only %d vectors have limits", tried)
	}
}

func unjudged(t *testing.T, v vector, in Inputs) {
	t.Helper()
	r := specOf(v.calc).Run(in)
	if !slices.Contains([]Verdict{NoLimit, Incomplete}, r.Verdict) {
		t.Errorf("%s, %s: %s with no accepted limit: %s", v.calc, v.name, r.Verdict, r.Says)
	}
	for _, x := range r.Vals {
		if x.Verdict != NoLimit {
			t.Errorf("%s, %s: %s is %s with no accepted limit", v.calc, v.name, x.Name, x.Verdict)
		}
	}
}
