package calc

import (
	"math/rand"
	"strings"
	"testing"
)

// round is readings of a mesh at positions round the wheel.
func round(mesh string, mms ...string) []Item {
	var out []Item
	for i, x := range mms {
		out = append(out, reading(mesh, string(rune('1'+i)), mm(x)))
	}
	return out
}

// TestBacklash: the limits are those of an engine gear train in an army manual,
// 0.10 to 0.17 mm new and 0.30 worn (as quoted in the job's notes; the readings
// are invented). Arcs of one angle are as their radii (Euclid VI.33).
func TestBacklash(t *testing.T) {
	for _, c := range []struct {
		name              string
		in                Inputs
		least, most, mean string
		verdict           Verdict
	}{
		{"on the pitch line", Inputs{Items: map[string][]Item{"reading": round("", "0.12", "0.16", "0.14")}}, "0.12", "0.16", "0.14", Within},
		{"worn at one place", Inputs{Items: map[string][]Item{"reading": round("", "0.12", "0.32", "0.16", "0.20")}}, "0.12", "0.32", "0.20", Outside},
		{"too tight at one place", Inputs{Items: map[string][]Item{"reading": round("", "0.12", "0.09", "0.15")}}, "0.09", "0.15", "0.12", Outside},
		{"dial at twice the radius", Inputs{Items: map[string][]Item{"reading": round("", "0.24", "0.32", "0.28")},
			Nominal: written{"pitch_radius": mm("60.0"), "dial_radius": mm("120.0")}}, "0.12", "0.16", "0.14", Within},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.in.Limits = map[string]Limit{"backlash": tol("0.10", "0.30")}
			r := run(t, "backlash", c.in)
			if lo, hi, m := val(t, r, "least"), val(t, r, "most"), val(t, r, "mean"); lo.Text != c.least || hi.Text != c.most || m.Text != c.mean || r.Verdict != c.verdict {
				t.Errorf("%s, %s, %s: %s", lo.Text, hi.Text, m.Text, r.Verdict)
			}
		})
	}
}

// TestBacklashTrain: two meshes add, by mean and by most (invented scenario).
func TestBacklashTrain(t *testing.T) {
	in := Inputs{Items: map[string][]Item{
		"reading":      append(round("cam to idler", "0.12", "0.16", "0.14"), round("idler to pump", "0.20", "0.24")...),
		"pitch_radius": list(reading("idler to pump", "", mm("50"))),
		"dial_radius":  list(reading("idler to pump", "", mm("100")))},
		Limits: map[string]Limit{"train": tol("", "0.30")}}
	r := run(t, "backlash", in)
	for name, want := range map[string]string{"mean.cam to idler": "0.14", "runout.cam to idler": "0.04", "mean.idler to pump": "0.11", "train": "0.25", "train_most": "0.28"} {
		if got := val(t, r, name).Text; got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
	if r.Verdict != Within || !strings.Contains(strings.Join(r.Working, "\n"), "idler to pump: three or four positions") {
		t.Errorf("%s %q", r.Verdict, r.Working)
	}
}

func TestBacklashBad(t *testing.T) {
	three := map[string][]Item{"reading": round("", "0.12", "0.16", "0.14")}
	for _, c := range []struct {
		name  string
		in    Inputs
		words string
	}{
		{"nothing read", Inputs{Nominal: written{"pitch_radius": mm("60"), "dial_radius": mm("120")}}, "a reading of the dial"},
		{"one radius only", Inputs{Items: three, Nominal: written{"pitch_radius": mm("60")}}, "radius at which the dial stood"},
		{"the other only", Inputs{Items: three, Nominal: written{"dial_radius": mm("60")}}, "pitch radius of the wheel"},
		{"radius of nought", Inputs{Items: three, Nominal: written{"pitch_radius": mm("60"), "dial_radius": mm("0.0")}}, "must be above nought"},
		{"radii that cannot be read", Inputs{Items: three, Nominal: written{"pitch_radius": mm("x"), "dial_radius": mm("x")}}, "pitch radius of the wheel"},
		{"below nought", Inputs{Items: map[string][]Item{"reading": round("", "0.12", "-0.16", "0.14")}}, "backlash is not below nought"},
		{"an angle", Inputs{Items: map[string][]Item{"reading": list(reading("", "", deg("1")))}}, "not a length"},
	} {
		t.Run(c.name, func(t *testing.T) { lacks(t, "backlash", c.in, c.words) })
	}
}

// TestBacklashRoundTrip: with the radii exchanged the dial's reading comes back.
func TestBacklashRoundTrip(t *testing.T) {
	of := func(x, p, d float64, unit string) Inputs {
		return Inputs{Items: map[string][]Item{"reading": list(reading("", "1", length(x, unit)), reading("", "2", length(2*x, unit)), reading("", "3", length(x, unit)))},
			Nominal: written{"pitch_radius": length(p, unit), "dial_radius": length(d, unit)}}
	}
	rnd := rand.New(rand.NewSource(5))
	for range 200 {
		x, p, d := 0.05+rnd.Float64(), 20+100*rnd.Float64(), 20+100*rnd.Float64()
		b := val(t, run(t, "backlash", of(x, p, d, "mm")), "least").SI * 1000
		near(t, "reading", val(t, run(t, "backlash", of(b, d, p, "mm")), "least").SI, x/1000)
	}
	sameInInches(t, "backlash", func(r *rand.Rand, unit string) Inputs { return of(0.05+r.Float64(), 60, 50+100*r.Float64(), unit) })
}
