package calc

import (
	"os"
	"slices"
	"strings"
	"testing"
)

const page = "../../schema/calculations.md"

// TestAbout: every calculation says where it comes from, in a group that is
// shown, and nothing else does.
func TestAbout(t *testing.T) {
	used := map[string]bool{}
	for _, s := range Registry() {
		a := s.About()
		if !slices.Contains(Groups(), a.Group) || a.Formula == "" || a.Source == "" || a.Limits == "" {
			t.Errorf("%s: %+v", s.Name, a)
		}
		if strings.ContainsAny(a.Formula+a.Source+a.Limits, "|\n") || strings.HasSuffix(a.Formula, ".") {
			t.Errorf("%s: one line without bars and full stop: %+v", s.Name, a)
		}
		used[a.Group] = true
	}
	if len(abouts) != len(Registry()) {
		t.Errorf("%d calculations, %d told of", len(Registry()), len(abouts))
	}
	for _, g := range Groups() {
		if !used[g] {
			t.Errorf("%s is empty", g)
		}
	}
}

// TestCalculationsPage holds schema/calculations.md against the registry.
// Run it with -update to write the page again.
func TestCalculationsPage(t *testing.T) {
	want := pageHead
	for _, g := range Groups() {
		want += "\n## " + g + "\n\n| calculation | what it is for | formula | source | limits | caution |\n| --- | --- | --- | --- | --- | --- |\n"
		for _, s := range Registry() {
			if a := s.About(); a.Group == g {
				want += "| `" + s.Name + "` | " + strings.Join([]string{s.Title, a.Formula, a.Source, a.Limits, firstCaution(s)}, " | ") + " |\n"
			}
		}
	}
	if *update {
		if err := os.WriteFile(page, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Errorf("the page and the registry differ at %q; go test ./sync/calc -run CalculationsPage -update writes it again", around(string(got), want))
	}
}

// firstCaution is what a calculation always says beside its result.
func firstCaution(s Spec) string {
	r := s.Run(Inputs{})
	if len(r.Cautions) == 0 {
		return "none: nobody works on this result alone"
	}
	return strings.Join(r.Cautions, " ")
}

const pageHead = `# Calculations

What Witnessmark works out. The page is written from the code: ` + "`go test ./sync/calc -run CalculationsPage -update`" + `.
` + "`witnessmark calc -list`" + ` names the inputs of each, ` + "`witnessmark calc -schema NAME`" + ` prints their JSON Schema.

- Limits are always entered by the group, each with its source and who accepted it. The column says what kind of limit
  a calculation is judged by. A limit that nobody accepted is shown and judges nothing.
- A size that is typed (*nominal*) may be given as readings instead: their mean counts, or their least and most where
  both are asked for. Where readings may be typed as one size, the schema lists them under both.
- A reading has the value as written, and may have its point, label, taker, tool, zero check and temperature. With the
  option ` + "`alpha`" + `, the part's expansion in 10⁻⁶ per kelvin, lengths with a temperature are brought to 20 °C.
- With margin (ISO 14253-1) a value is proven against a limit by its uncertainty. A reading whose instrument
  nobody named proves nothing that way: the result is incomplete. The gauges of a run stand without one.
- Two lengths read at one spot that lie further apart than five times what two readings with their instruments differ by, and
  than 20 steps, make no mean: one is a slip, and the result is incomplete until it is taken back. Common practice, no source.
- A clearance or gap below nought is outside every limit that does not say so itself.
- A result has values with their expanded uncertainty (JCGM 100:2008), the verdict, the working line by line, what is
  missing, and the caution. The maker's manual comes before all of it.
- 'From memory' and 'common practice, no source' mean what they say; no such figure is ever a limit.
`
