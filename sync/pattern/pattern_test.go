package pattern

import (
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"witnessmark/sync/jcs"
)

func demo(t testing.TB) string {
	raw, err := os.ReadFile("../../testdata/demo/pattern.json")
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

func parse(t testing.TB, text string) (*Pattern, error) {
	v, err := jcs.Parse([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return Parse(v)
}

func TestParse(t *testing.T) {
	good := demo(t)
	for _, c := range []struct{ name, from, to, says string }{
		{"as it is", "", "", ""},
		{"no name", `"Ellandry U6"`, `""`, "needs a name"},
		{"no cylinders", `"cylinders": 6`, `"cylinders": 0`, "number of cylinders"},
		{"a cylinder fires twice", `"firing": [
  "1",`, `"firing": [
  "2",`, "each cylinder once"},
		{"a nominal size that is no value", `"t": "107.00"`, `"t": "1,234"`, "can be read in two ways"},
		{"a unit not known", `"unit": "mm"`, `"unit": "furlong"`, "not known: furlong"},
		{"a size that is not there", `"size": "main.journal"`, `"size": "main.diary"`, "not there: main.diary"},
		{"a place twice", `"at": "pin.N.journal"`, `"at": "main.N.journal"`, "stands on it twice"},
		{"a valve with a full stop", `"E1",
    "I1"`, `"E.1",
    "I1"`, "without full stops"},
		{"a place with a space", `"at": "crank.float"`, `"at": "crank float"`, "named like main.N.journal"},
		{"a point twice", `"b.V",
    "b.H"`, `"b.V",
    "b.V"`, "each once"},
		{"a fastener twice", `"n": "26"`, `"n": "25"`, "each once"},
		{"a pass that is no torque", `"t": "50",
     "u": "N.m"`, `"t": "50",
     "u": "mm"`, "needs a torque"},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(good, c.from, c.to, 1)
			if c.from != "" && text == good {
				t.Fatal("the case changes nothing")
			}
			_, err := parse(t, text)
			if (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) {
				t.Errorf("got %v, want '… %s …'", err, c.says)
			}
		})
	}
}

// TestValveOrder: valves stand from end 1 as the demo's convention numbers them.
func TestValveOrder(t *testing.T) {
	p, err := parse(t, demo(t))
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(p.Valves, " "); got != "E1 I1 I2 E2 E3 I3 I4 E4 E5 I5 I6 E6" {
		t.Error(got)
	}
	if pl, ok := p.Find("valve.E3.clay"); !ok || pl.N != "E3" || p.Words("valve.E3.clay") != "valve E3 · valve to piston by clay" {
		t.Errorf("%+v", pl)
	}
	if j, ok := p.Joint("head"); !ok || len(j.Fasteners) != 26 || len(j.Order) != 26 || j.Order[0] != "7" {
		t.Errorf("%+v", j)
	}
}

// TestWrittenAsRead: a sheet says the same after it was read and written.
func TestWrittenAsRead(t *testing.T) {
	p, err := parse(t, demo(t))
	if err != nil {
		t.Fatal(err)
	}
	again, err := Parse(p.JSON())
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(p, again, cmpopts.EquateEmpty()); diff != "" {
		t.Error(diff)
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(demo(f)))
	f.Fuzz(func(t *testing.T, raw []byte) {
		v, err := jcs.Parse(raw)
		if err != nil {
			return
		}
		p, err := Parse(v)
		if err != nil {
			return
		}
		if again, err := Parse(p.JSON()); err != nil || again.JSON().String() != p.JSON().String() {
			t.Fatalf("not the same after writing: %v\n%s", err, p.JSON())
		}
		for _, pl := range p.Places() {
			if got, ok := p.Find(pl.At); !ok || got.N != pl.N {
				t.Fatalf("%s is not found", pl.At)
			}
		}
	})
}
