package recordbook

import (
	"strings"
	"testing"
)

// TestStages: the book has every stage of the demo with who signed its hold point and when, the reason of a concession, and
// what is left of one that no longer holds; a job without a plan says so.
func TestStages(t *testing.T) {
	src := source(demoSet(t))
	book := written(t, src)
	section := func(book string) string {
		_, rest, _ := strings.Cut(book, `<section id="stages"`)
		part, _, _ := strings.Cut(rest, "</section>")
		return part
	}
	got := section(book)
	for _, want := range []string{
		"<b>HP8</b> Card read aloud", "<b>signed, with a concession</b> <span class=\"fine\">Maud Ferris, 7 March 2027, 12:15</span> The crank of 2117 stays in",
		"<b>signed, and no longer holds</b>", "<li>Settle 2123 · main bearing 6 · journal, plane b, square to it</li>", "<b>HP13</b> Alignment measured again in the car", "<h3>Both engines together</h3>",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is missing", want)
		}
	}
	if n := strings.Count(got, `<a class="e"`); n != len(src.State.Signs) || n != 21 {
		t.Errorf("%d signatures with their entries, of %d, want 21", n, len(src.State.Signs))
	}
	src.Asm = "2117"
	if one := section(written(t, src)); strings.Contains(one, "<h3>2123</h3>") || !strings.Contains(one, "<h3>2117</h3>") || !strings.Contains(one, "<b>HP13</b>") {
		t.Error("the book of one engine has its own stages and those of the pair")
	}
	src = source(demoSet(t))
	src.Names = false
	if strings.Contains(section(written(t, src)), "Maud") {
		t.Error("a name stands in a book without names")
	}
	src.State.Stages = nil
	if !strings.Contains(section(written(t, src)), "The job has no plan.") {
		t.Error("without a plan nothing is said")
	}
}
