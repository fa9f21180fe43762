package view

import (
	"strings"
	"testing"

	"witnessmark/sync/jcs"
)

func numberRows(v jcs.Value) string {
	var out []string
	for _, r := range v.Get("rows").Items() {
		out = append(out, r.Get("ours").Text()+"→"+r.Get("his").Text())
	}
	return strings.Join(out, " ")
}

// TestHisNumbers: a slip in a shop's numbers is said, and seen beside ours, before anything is kept. That a shop may count from
// the flange, letter its mains or count inlet and exhaust valves each for itself is common practice, no source.
func TestHisNumbers(t *testing.T) {
	s := demo(t)
	for _, c := range []struct{ name, args, rows, wrong string }{
		{"mains from the other end", `"of":"main","way":"from","first":"7"`, "1→7 2→6 3→5 4→4 5→3 6→2 7→1", ""},
		{"mains by letters", `"of":"main","way":"list","list":"A B C D E F G"`, "1→A 2→B 3→C 4→D 5→E 6→F 7→G", ""},
		{"cylinders in any order, with commas", `"of":"cyl","way":"list","list":"4, 5, 6, 1, 2, 3"`, "1→4 2→5 3→6 4→1 5→2 6→3", ""},
		{"exhaust valves for themselves", `"of":"valve.E","way":"from","first":"6"`, "E1→6 E2→5 E3→4 E4→3 E5→2 E6→1", ""},
		{"inlet valves for themselves", `"of":"valve.I","way":"list","list":"1 2 3 4 5 6"`, "I1→1 I2→2 I3→3 I4→4 I5→5 I6→6", ""},
		{"a number twice", `"of":"main","way":"list","list":"A B C D E F C"`, "1→A 2→B 3→C 4→D 5→E 6→F 7→C", "his main C stands twice: for our main 3 and 7"},
		{"one missing", `"of":"main","way":"list","list":"A B C D E F"`, "1→A 2→B 3→C 4→D 5→E 6→F 7→", "our main 7 has no number of his yet"},
		{"one too many", `"of":"pin","way":"list","list":"1 2 3 4 5 6 7"`, "1→1 2→2 3→3 4→4 5→5 6→6", "there are 6 of our pins, and the list has 7: 7 would be left over"},
		{"a reversal that leaves some out", `"of":"main","way":"from","first":"5"`, "1→5 2→4 3→3 4→2 5→1 6→ 7→", "our main 6, 7 has no number of his yet"},
		{"a reversal from nowhere", `"of":"pin","way":"from","first":"9"`, "1→ 2→ 3→ 4→ 5→ 6→", "which of our pins is his pin 1? A whole number from 1 to 6"},
		{"a stroke in a number", `"of":"pin","way":"list","list":"1/A 2 3 4 5 6"`, "1→1/A 2→2 3→3 4→4 5→5 6→6", "has a stroke in it: 1/A"},
		{"of nothing", `"of":"gudgeon","way":"list","list":"1"`, "", "choose what he counts otherwise"},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := s.view("machinist", `{"name":"Orsett Grinding",`+c.args+`}`)
			if got := numberRows(v); got != c.rows {
				t.Errorf("rows %q, want %q", got, c.rows)
			}
			if got := v.Get("error").Text(); (got == "") != (c.wrong == "") || !strings.Contains(got, c.wrong) {
				t.Errorf("error %q, want '… %s …'", got, c.wrong)
			}
			if kept := !v.Get("draft").IsNull(); kept != (c.wrong == "") {
				t.Errorf("may be kept: %v", kept)
			}
		})
	}
	if got := s.view("machinist", `{"of":"pin","way":"from","first":"6"}`).Get("error").Text(); got != "say whose numbers they are" {
		t.Errorf("nobody's numbers: %q", got)
	}
}

// TestHisNumbersShown: kept, they stand beside ours wherever somebody of the shop may be spoken to, and an older entry's pins still do.
func TestHisNumbersShown(t *testing.T) {
	d := atDesk(t)
	d.keep("machinist", `{"name":"Mr Lunt","of":"main","way":"list","list":"A B C D E F G"}`)
	d.keep("machinist", `{"name":"Mr Lunt","of":"valve.E","way":"from","first":"6"}`)
	d.keep("machinist", `{"name":"Mr Lunt","of":"head.stud","way":"list","list":"14 15 16 17 18 19 20 21 22 23 24 25 26 1 2 3 4 5 6 7 8 9 10 11 12 13"}`)
	s := d.now()
	for _, c := range []struct{ name, view, args, path, want string }{
		{"the place", "point", `{"asm":"2123","at":"main.3.journal","point":"b.V"}`, "shops.0", "Mr Lunt's main C"},
		{"pins as they were first written", "point", `{"asm":"2123","at":"pin.4.journal","point":"b.V"}`, "shops.0", "Mr Lunt's pin 3"},
		{"a row called alike", "point", `{"asm":"2123","at":"rod.4.side"}`, "shops.0", "Mr Lunt's pin 3"},
		{"exhaust", "point", `{"asm":"2123","at":"valve.E1.clay"}`, "shops.0", "Mr Lunt's exhaust valve 6"},
		{"inlet as ours", "point", `{"asm":"2123","at":"valve.I1.clay"}`, "shops.0", ""},
		{"search by letter", "search", `{"q":"lunt main c"}`, "groups.0.lines.0.says", "our main 3 is Mr Lunt's main C"},
		{"search for an exhaust valve", "search", `{"q":"lunt exhaust valve 6"}`, "groups.0.lines.0.says", "our exhaust valve E1 is Mr Lunt's exhaust valve 6"},
		{"search for a stud", "search", `{"q":"lunt stud 14"}`, "groups.0.lines.0.says", "our cylinder head stud 1 is Mr Lunt's cylinder head stud 14"},
		{"the set-up", "job", `{}`, "numbering.shops.0.counts.1.says", "main A B C D E F G is our main 1 2 3 4 5 6 7"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := find(s.view(c.view, c.args), c.path).Text(); got != c.want {
				t.Errorf("%s says %q, want %q", c.path, got, c.want)
			}
		})
	}
	d.keep("machinist", `{"name":"Mr Lunt","of":"main","off":true}`)
	if got := find(d.now().view("point", `{"asm":"2123","at":"main.3.journal","point":"b.V"}`), "shops.0").Text(); got != "" {
		t.Errorf("taken off: %q", got)
	}
	d.keep("machinist", `{"name":"Mr Lunt","off":true}`)
	if got := find(d.now().view("job", `{}`), "numbering.shops").Items(); len(got) > 0 {
		t.Errorf("the shop is still there: %v", got)
	}
}
