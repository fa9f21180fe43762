package view

import (
	"strings"
	"testing"
)

// TestPrinted checks pairs as handbooks print them, slips among them. Sources: TM 5-3895-369-14, bore out-of-round and taper;
// TM 9-2815-254-24, main journal. Pairs that agree are worked out from 1 in = 25.4 mm (NIST SP 811).
func TestPrinted(t *testing.T) {
	s := demo(t)
	for _, c := range []struct{ name, mm, in, says string }{
		{"ten times out", "0.038", "0.00015", "do not agree"},
		{"ten times out, taper", "0.76", "0.003", "do not agree"},
		{"0.30 mm out", "69.632", "2.7533", "do not agree"},
		{"as 2.7533 in is", "69.934", "2.7533", ""},
		{"rounded to a thousandth", "0.15", "0.006", ""},
		{"rounded to two digits", "0.0038", "0.00015", ""},
		{"no number", "0.15", "six", "do not agree"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := s.view("printed", `{"max":{"t":"`+c.mm+`","u":"mm"},"also_max":{"t":"`+c.in+`","u":"in"}}`).Get("doubt").Text()
			if (got == "") != (c.says == "") || !strings.Contains(got, c.says) {
				t.Errorf("%s mm and %s in: %q", c.mm, c.in, got)
			}
		})
	}
	if got := s.view("printed", `{"max":{"t":"0.15","u":"mm"}}`).Get("doubt").Text(); got != "" {
		t.Errorf("one unit: %q", got)
	}
	if got := s.view("printed", `{"max":{"t":"0.15","u":"mm"},"also_min":{"t":"0.006","u":"in"}}`).Get("doubt").Text(); !strings.Contains(got, "alone") {
		t.Errorf("the other end: %q", got)
	}
}
