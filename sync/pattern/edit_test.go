package pattern

import (
	"os"
	"slices"
	"strings"
	"testing"

	"witnessmark/sync/jcs"
)

func theDemo(t testing.TB) *Pattern {
	p, _, err := ReadFile(demo(t))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func fieldOf(p *Pattern, key string) string {
	for _, f := range p.Fields() {
		if f.Key == key {
			return f.Text
		}
	}
	return "(none)"
}

// TestWith: what is typed into a line of the sheet is what it then says, and the sheet before stays as it was.
func TestWith(t *testing.T) {
	for _, c := range []struct{ name, key, text, field, want, wrong string }{
		{"the name", "name", "Ellandry U6B", "name", "Ellandry U6B", ""},
		{"no name", "name", "", "name", "Ellandry U6", "needs a name"},
		{"rows by commas", "rows", "pump side, exhaust side", "rows", "pump side, exhaust side", ""},
		{"firing order with dashes", "firing", "1-4-2-6-3-5", "firing", "1 4 2 6 3 5", ""},
		{"a cylinder twice", "firing", "1 1 2 6 3 5", "firing", "1 5 3 6 2 4", "each cylinder once"},
		{"a size keeps its unit", "nominal|bore", "107.02", "nominal|bore", "107.02\u2009mm", ""},
		{"a size in its own unit", "nominal|bore", "4.2126 in", "nominal|bore", "4.2126\u2009in", ""},
		{"a new size says its unit", "nominal|wall", "2.5", "nominal|wall", "(none)", "say the unit too"},
		{"a new size", "nominal|wall", "2.50 mm", "nominal|wall", "2.50\u2009mm", ""},
		{"a size that a place needs stays", "nominal|bore", "", "nominal|bore", "107.00\u2009mm", "not there: bore"},
		{"a size that can be read in two ways", "nominal|bore", "1,234", "nominal|bore", "107.00\u2009mm", "two ways"},
		{"undersizes", "undersize|pin|steps", "0.50 1.00", "undersize|pin|steps", "0.50 1.00", ""},
		{"undersizes of the mains", "undersize|main|steps", "0.25", "undersize|main|cleanup", "0\u2009mm", ""},
		{"a place on another sheet", "feature|crank.float|sheet", "Trial", "feature|crank.float|sheet", "Trial", ""},
		{"points", "feature|main.N.journal|points", "a.V a.H b.V b.H", "feature|main.N.journal|points", "a.V a.H b.V b.H", ""},
		{"a unit by its sign", "feature|cyl.N.bowl|unit", "cm³", "feature|cyl.N.bowl|unit", "cm3", ""},
		{"a unit not known", "feature|cyl.N.bowl|unit", "thimble", "feature|cyl.N.bowl|unit", "cm3", "not known: thimble"},
		{"numbered from elsewhere", "feature|rod.N.side|each", "A B C D E F", "feature|rod.N.side|each", "A B C D E F", ""},
		{"off the sheet", "feature|crank.float|off", "yes", "feature|crank.float|words", "(none)", ""},
		{"a new place", "feature|cyl.N.seat|words", "cylinder {n} · liner seat", "feature|cyl.N.seat|each", "1 2 3 4 5 6", ""},
		{"an order that forgets one", "joint|head|order", "1 2 3", "joint|head|thread", "oiled", "each fastener once"},
		{"passes", "joint|head|passes", "40 80 120 lbf·ft", "joint|head|passes", "40 80 120 lbf·ft", ""},
		{"passes one by one", "joint|head|passes", "40 N·m, 80 lbf·ft", "joint|head|passes", "40\u2009N·m, 80\u2009lbf·ft", ""},
		{"a pass in millimetres", "joint|head|passes", "40 mm", "joint|head|passes", "50 90 130 N·m", "needs a torque"},
		{"a stud moved", "joint|head|14|y", "900", "joint|head|14|y", "900", ""},
		{"a stud off the drawing", "joint|head|14|y", "1200", "joint|head|14|y", "800", "from 0 to 1000"},
		{"a new joint", "joint|cover|words", "rocker cover", "joint|cover|fasteners", "1", ""},
		{"no such line", "colour", "red", "name", "Ellandry U6", "no such line"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := theDemo(t)
			before := p.JSON().String()
			now, wrong := p.With([]Edit{{c.key, c.text}})
			if got := fieldOf(now, c.field); got != c.want {
				t.Errorf("%s says %q, want %q", c.field, got, c.want)
			}
			if (len(wrong) > 0) != (c.wrong != "") || len(wrong) > 0 && !strings.Contains(wrong[0].Says, c.wrong) {
				t.Errorf("wrong: %v, want '… %s …'", wrong, c.wrong)
			}
			if p.JSON().String() != before {
				t.Error("the sheet before was changed")
			}
		})
	}
}

// TestFasteners: those that stay keep their place, and the order of tightening goes on with a new one.
func TestFasteners(t *testing.T) {
	p := theDemo(t)
	j, _ := p.Joint("head")
	was := j.Fasteners[1]
	now, wrong := p.With([]Edit{{"joint|head|fasteners", strings.Replace(fieldOf(p, "joint|head|fasteners"), "26", "27", 1)}})
	k, _ := now.Joint("head")
	if len(wrong) > 0 || k.Fasteners[1] != was || len(k.Fasteners) != 26 || k.Order[len(k.Order)-1] != "27" {
		t.Errorf("%v %v %v", wrong, k.Fasteners[1], k.Order)
	}
}

// TestChanges: old beside new, and nothing of what did not change.
func TestChanges(t *testing.T) {
	p := theDemo(t)
	if got := p.Changes(theDemo(t)); len(got) > 0 {
		t.Errorf("the same sheet: %v", got)
	}
	now, _ := p.With([]Edit{{"nominal|bore", "107.02"}, {"feature|crank.float|off", "yes"}})
	got := p.Changes(now)
	want := []Change{{"", "cylinder · liner bore", "107.00\u2009mm", "107.02\u2009mm"}, {"crank · end float", "its place on the sheet", "Crank and bearings", ""}}
	if !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// TestFile: a file, read and written again, is the same bytes; so is what an entry holds of it.
func TestFile(t *testing.T) {
	short, err := Parse(Inline{Name: "T4", End1: "fan end", End2: "clutch end", Cylinders: 4, Mains: 3, Valves: "E I", Studs: 10, StudRows: 2, Sizes: map[string]string{"bore": "3 1/2 in"}}.Sheet())
	if err != nil {
		t.Fatal(err)
	}
	for name, p := range map[string]*Pattern{"of the demo": theDemo(t), "of the small form": short} {
		file := p.File("some-key")
		again, key, err := ReadFile(file)
		if err != nil || key != "some-key" || again.File(key) != file || again.JSON().String() != p.JSON().String() {
			t.Errorf("%s: %v, key %q\n%s", name, err, key, file)
		}
	}
	for name, text := range map[string]string{
		"is no type sheet": "bore 107", "something else": `{"format":"recipe"}`, "newer version": strings.Replace(short.File(""), "type-sheet/1", "type-sheet/2", 1), "larger": strings.Repeat(" ", MaxFile+1),
	} {
		if _, _, err := ReadFile(text); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// FuzzFile: whatever is read from a file is written so that it reads the same, and any edit leaves a sheet that can be read.
func FuzzFile(f *testing.F) {
	f.Add(demo(f), "nominal|bore", "107.02")
	f.Add(theDemo(f).File("ellandry-u6"), "joint|head|passes", "40 N·m, 80 lbf·ft")
	f.Add(theDemo(f).File(""), "feature|cyl.N.seat|words", "cylinder {n} · seat")
	f.Add(`{"format":"type-sheet/1","name":"x","end1":"a","end2":"b","cylinders":1}`, "undersize|pin|steps", "0.25")
	f.Fuzz(func(t *testing.T, text, key, says string) {
		p, k, err := ReadFile(text)
		if err != nil {
			return
		}
		file := p.File(k)
		if len(file) <= MaxFile {
			if again, key2, err := ReadFile(file); err != nil || again.File(key2) != file {
				t.Fatalf("not the same after writing: %v\n%s", err, file)
			}
		}
		now, _ := p.With([]Edit{{key, says}})
		if _, err := Parse(now.JSON()); err != nil {
			t.Fatalf("%s = %q leaves no sheet: %v", key, says, err)
		}
		p.Changes(now)
	})
}

// TestPage holds schema/type-sheet.md against the code: it names every member that is written, and its example is a sheet.
func TestPage(t *testing.T) {
	raw, err := os.ReadFile("../../schema/type-sheet.md")
	if err != nil {
		t.Fatal(err)
	}
	page := string(raw)
	_, example, _ := strings.Cut(page, "```json\n")
	example, _, _ = strings.Cut(example, "\n```")
	p, key, err := ReadFile(example)
	if err != nil || key != "quill-q2" || len(p.Places()) != 3 || len(p.Joints) != 1 {
		t.Errorf("the example: %v, key %q", err, key)
	}
	v := theDemo(t).JSON()
	for _, of := range []jcs.Value{v, v.Get("features").Items()[0], v.Get("joints").Items()[0], v.Get("joints").Items()[0].Get("fasteners").Items()[0], v.Get("undersizes").Get("pin")} {
		for _, m := range of.Members() {
			if !strings.Contains(page, "`"+m.Key+"`") {
				t.Errorf("the page does not name %s", m.Key)
			}
		}
	}
}
