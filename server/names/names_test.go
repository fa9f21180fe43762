package names

import (
	"testing"

	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

func job() *record.State {
	return &record.State{
		People:    []record.Person{{Key: "maud", Name: "Maud Ferris"}, {Key: "bram", Name: "Bram Hale"}},
		Numbering: record.Numbering{Machinists: []record.Machinist{{Name: "Mr Lunt"}}},
	}
}

func TestText(t *testing.T) {
	n := Of(job(), false)
	for in, want := range map[string]string{
		"74.962 (Maud Ferris), 74.981": "74.962 (person 1), 74.981",
		"Ferris's own; Bram held it":   "person 1's own; person 2 held it",
		"Haleness, inHale, bramble":    "Haleness, inHale, bramble",
		"our pin 4 is Mr Lunt's 3":     "our pin 4 is machinist 1's 3",
		"ΜMaud · Maud":                 "ΜMaud · person 1",
		"":                             "",
		"\xffMaud":                     "\xffperson 1",
	} {
		if got := n.Text(in); got != want {
			t.Errorf("Text(%q) = %q, want %q", in, got, want)
		}
		if got := Of(job(), true).Text(in); got != in {
			t.Errorf("with names Text(%q) = %q", in, got)
		}
	}
}

// TestTextHowever: a name is known however people write it; what reads like one and is an engine's stays.
func TestTextHowever(t *testing.T) {
	st := &record.State{
		People:  []record.Person{{Key: "bram", Name: "Bram Hale"}, {Key: "jo", Name: "Jo O'Dell, jr"}, {Key: "wick", Name: "wick sayer"}, {Key: "rose", Name: "Rose"}, {Key: "an", Name: "An De Wit"}, {Key: "lh", Name: "Kim Little-Hampton"}, {Key: "di", Name: "Di"}},
		Engines: []record.Engine{{Serial: "Hale-7", Name: "Rose"}},
	}
	n := Of(st, false)
	for in, want := range map[string]string{
		"bram hale, BRAM HALE, BRAM and Bram": "person 1, person 1, person 1 and person 1",
		"Jo held O'Dell's gauge, joint 4":     "person 2 held person 2's gauge, joint 4",
		"Wick, WICK SAYER; the wick is dry":   "person 3, person 3; the wick is dry",
		"Hale-7 Rose, left; Hale saw it":      "Hale-7 Rose, left; person 1 saw it",
		"JR, Jr":                              "JR, Jr",
		"Jo O’Dell, and jo o’dell, jr":        "person 2, and person 2",
		"Di, with care":                       "person 7, with care",
		"No, An engine; De Wit":               "No, An engine; person 5",
		"Hampton, Little-Hampton":             "person 6, person 6",
	} {
		if got := n.Text(in); got != want {
			t.Errorf("Text(%q) = %q, want %q", in, got, want)
		}
	}
}

// TestDrawing: of a drawing only the words are changed.
func TestDrawing(t *testing.T) {
	st := &record.State{People: []record.Person{{Key: "pl", Name: "Pl Text"}, {Key: "jo", Name: "Kim O'Neil"}}}
	in := jcs.Obj(jcs.M("svg", jcs.Str(`<svg aria-label="bench of Pl Text"><text class="Pl Text" x="1">Pl</text><text>Kim O&#39;Neil &amp; 4 &lt; 5</text></svg>`)))
	want := `{"svg":"<svg aria-label=\"bench of person 1\"><text class=\"Pl Text\" x=\"1\">person 1</text><text>person 2 &amp; 4 &lt; 5</text></svg>"}`
	if got := Of(st, false).Value(in).String(); got != want {
		t.Errorf("Value = %s, want %s", got, want)
	}
}

func TestPerson(t *testing.T) {
	for key, want := range map[string]string{"maud": "person 1", "bram": "person 2", "": "", "nobody": unknown} {
		if got := Of(job(), false).Person(key); got != want {
			t.Errorf("Person(%q) = %q, want %q", key, got, want)
		}
	}
	if got := Of(job(), true).Person("nobody"); got != "nobody" {
		t.Errorf("with names an unknown key is %q", got)
	}
}

func TestValue(t *testing.T) {
	v, err := jcs.Parse([]byte(`{"by":"maud","by_a":"Bram Hale","list":["Maud said"],"n":3,"of":{"asm":"2117"},"who":"stranger"}`))
	if err != nil {
		t.Fatal(err)
	}
	want := `{"by":"person 1","by_a":"person 2","list":["person 1 said"],"n":3,"of":{"asm":"2117"},"who":"` + unknown + `"}`
	if got := Of(job(), false).Value(v).String(); got != want {
		t.Errorf("Value = %s, want %s", got, want)
	}
	if got := Of(job(), true).Value(v).String(); got != v.String() {
		t.Errorf("with names Value = %s", got)
	}
}
