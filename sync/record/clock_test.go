package record

import (
	"fmt"
	"strings"
	"testing"
)

// TestWrongClocks is T24: whatever three phones' clocks said, nothing is refused, the correction stands over the reading that
// it names, the zero check is found by its id, and no value changes.
func TestWrongClocks(t *testing.T) {
	days := []string{"1970-01-01", "2027-03-06", "2999-12-31"}
	for i := range 27 {
		d := [3]string{days[i%3], days[i/3%3], days[i/9]}
		w := newWorkshop(t)
		idris := newDevice(t, 3, "idris", &w.all)
		w.maud.day, w.pell.day, idris.day = d[0], d[1], d[2]
		w.maud.write("note", `{"of":{"asm":"2117"},"text":"begins"}`)
		zero := w.pell.write("zero", `{"instrument":"M1","bar":{"t":"75.000","u":"mm"},"read":{"t":"75.002","u":"mm"}}`)
		with := func(value string) string {
			body := readingBody("2123", "main.3.shell", "b.V", "found", value, "")
			return strings.Replace(body, `"instrument":"M1"`, fmt.Sprintf(`"instrument":"M1","zero":%q`, zero), 1)
		}
		first := w.maud.write("reading", with("75.081"))
		w.pell.write("reading", with("75.077"), first)
		idris.write("reading", with("75.062"))

		s := w.state()
		got := s.At("2123", "main.3.shell", "b.V", "found")
		if want := "75.062; 75.081 struck: corrected; 75.077"; says(got) != want {
			t.Errorf("clocks %v: %s, want %s", d, says(got), want)
		}
		for _, r := range got {
			if r.Zero == nil || r.Zero.Read.Text != "75.002" {
				t.Errorf("clocks %v: %s has lost its zero check", d, r.Value.Text)
			}
		}
		if s.Entries != len(w.all) || len(s.Unusable) != 0 || len(s.Contests) != 0 {
			t.Errorf("clocks %v: %d of %d entries, %d not usable, %d contests", d, s.Entries, len(w.all), len(s.Unusable), len(s.Contests))
		}
	}
}
