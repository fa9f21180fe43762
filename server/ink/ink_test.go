package ink

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"witnessmark/sync/calc"
)

func TestGlyph(t *testing.T) {
	both := calc.Glyph{Lo: 200, Hi: 800, Val: 500, Bar: 50}
	for _, c := range []struct {
		verdict     calc.Verdict
		g           calc.Glyph
		stops, dots int
	}{
		{calc.Within, both, 2, 1}, {calc.Outside, calc.Glyph{Lo: -1, Hi: 700, Val: 900}, 1, 1}, {calc.NoLimit, calc.Glyph{Lo: -1, Hi: -1, Val: 500}, 0, 1},
		{calc.Incomplete, calc.Glyph{Lo: -1, Hi: -1, Val: 500}, 2, 0}, {calc.Contested, both, 2, 2}, {calc.NotProven, both, 2, 1},
	} {
		svg := Glyph(c.g, c.verdict)
		if got := strings.Count(svg, "g-stop"); got != c.stops {
			t.Errorf("%q: %d stops, want %d: %s", c.verdict, got, c.stops, svg)
		}
		if got := strings.Count(svg, "g-dot"); got != c.dots {
			t.Errorf("%q: %d marks, want %d: %s", c.verdict, got, c.dots, svg)
		}
		if !strings.Contains(svg, `aria-hidden="true"`) {
			t.Errorf("%q is read aloud beside its word", c.verdict)
		}
		wellFormed(t, svg)
	}
	if bar := Glyph(both, calc.Within); !strings.Contains(bar, "g-bar") {
		t.Error("the uncertainty is not drawn")
	}
}

func wellFormed(t *testing.T, svg string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatalf("%v: %s", err, svg)
		}
	}
}
