package view

import (
	"encoding/csv"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

// TestSplitTableAgainstCSV: what the standard library writes by RFC 4180 is read back.
func TestSplitTableAgainstCSV(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		wide := rapid.IntRange(2, 5).Draw(t, "wide")
		cell := rapid.StringMatching(`[a-z0-9 ";,.\n]{0,8}[a-z0-9]`)
		var want [][]string
		for range rapid.IntRange(1, 6).Draw(t, "rows") {
			want = append(want, rapid.SliceOfN(rapid.Map(cell, strings.TrimSpace), wide, wide).Draw(t, "row"))
		}
		var out strings.Builder
		w := csv.NewWriter(&out)
		w.UseCRLF = rapid.Bool().Draw(t, "crlf")
		w.Comma = rapid.SampledFrom([]rune{',', ';', '\t'}).Draw(t, "separator")
		if w.Comma != '\t' { // the first line says which it is; a list with no head is not told apart better
			head := make([]string, wide)
			for i := range head {
				head[i] = "h"
			}
			want = append([][]string{head}, want...)
		}
		if err := w.WriteAll(want); err != nil {
			t.Fatal(err)
		}
		got := splitTable(out.String())
		if !slices.EqualFunc(got, want, slices.Equal) {
			t.Fatalf("got %q, want %q of %q", got, want, out.String())
		}
	})
}

func TestTyped(t *testing.T) {
	for _, c := range []struct {
		cell, unit string
		want       quantity.Written
		why        string
	}{
		{"74.981", "mm", quantity.Written{Text: "74.981", Unit: "mm"}, ""},
		{"74.981 mm", "", quantity.Written{Text: "74.981", Unit: "mm"}, ""},
		{"2.4981in", "mm", quantity.Written{Text: "2.4981", Unit: "in"}, ""},
		{"2 1/2 in", "", quantity.Written{Text: "2 1/2", Unit: "in"}, ""},
		{"12 mm water", "bar", quantity.Written{Text: "12", Unit: "mmH2O"}, ""},
		{"1.50", "cm3", quantity.Written{Text: "1.50", Unit: "cm3"}, ""},
		{"< 0.05", "mm", quantity.Written{Text: "0.05", Unit: "mm", Is: "at most"}, ""},
		{"at least 0.30", "mm", quantity.Written{Text: "0.30", Unit: "mm", Is: "at least"}, ""},
		{"0.30 to 0.35", "mm", quantity.Written{Text: "0.30", To: "0.35", Unit: "mm"}, ""},
		{"nil", "mm", quantity.Written{Unit: "mm", Is: "nil"}, ""},
		{"74.981", "", quantity.Written{Text: "74.981"}, "no unit is said"},
		{"worn", "mm", quantity.Written{Text: "worn", Unit: "mm"}, "worn"},
		{"", "mm", quantity.Written{}, "there is no value"},
	} {
		got, why := quantity.Typed(c.cell, c.unit)
		if got != c.want || (why != "") != (c.why != "") || !strings.Contains(why, c.why) {
			t.Errorf("typed(%q, %q) = %+v %q, want %+v %q", c.cell, c.unit, got, why, c.want, c.why)
		}
	}
}

func (s shown) lines(text string, args ...jcs.Member) jcs.Value {
	s.t.Helper()
	v, err := View(s.st, s.rs, "lines", jcs.Obj(append(args, jcs.M("text", jcs.Str(text)))...))
	if err != nil {
		s.t.Fatal(err)
	}
	return v
}

// TestLinesWide: a notebook's grid, a row for each pin and a column for each point, with years for dates.
func TestLinesWide(t *testing.T) {
	s := demo(t)
	v := s.lines("place;a V / mm;a H / mm;measured by;when\npin 3 journal;61.944;61,962;Idris Cole;about 2019\nbig-end pin 4 · journal;61.781;61.85x;;12 May 2018\n",
		jcs.M("asm", jcs.Str("2117")))
	items := v.Get("items").Items()
	if len(items) != 4 || v.Get("ready").Int64() != 2 || v.Get("wrong").Int64() != 2 {
		t.Fatalf("got %s", v)
	}
	body := items[0].Get("draft").Get("body")
	if got := body.Get("of").String(); got != `{"asm":"2117","at":"pin.3.journal","point":"a.V"}` {
		t.Errorf("of = %s: no side is known for about 2019", got)
	}
	for name, want := range map[string]string{"when": "about 2019", "read_by": "idris", "cond": "found"} {
		if got := body.Get(name).Text(); got != want {
			t.Errorf("%s = %q, want %q", name, got, want)
		}
	}
	if got := items[0].Get("words").Text(); got != "2117, big-end pin 3 · journal, plane a, in the throw, as found, 61.944\u2009mm" {
		t.Errorf("it would be kept as %q", got)
	}
	if got := items[1].Get("problems").String(); !strings.Contains(got, "61,962") && !strings.Contains(got, "61.962") {
		t.Errorf("a comma before three digits is asked about: %s", got)
	}
	if got := items[2].Get("by").Text(); got != "an unknown taker" {
		t.Errorf("nobody is named: %q", got)
	}
}

// TestLinesWrong: each row says in words what is wrong with it, and nothing of it is kept.
func TestLinesWrong(t *testing.T) {
	s := demo(t)
	for _, c := range []struct{ row, why string }{
		{"2199,main.3.journal,b.V,74.98,mm,", "no engine '2199'"},
		{"2117,gudgeon pin,a.V,74.98,mm,", "no place 'gudgeon pin'"},
		{"2117,pin,a.V,74.98,mm,", "say which"},
		{"2117,main.3.journal,z.V,74.98,mm,", "no point 'z.V'"},
		{"2117,main.3.journal,,74.98,mm,", "which point"},
		{"2117,main.3.journal,b.V,74.98,furlong,", "no unit that this tool knows"},
		{"2117,main.3.journal,b.V,74.98,,", "no unit is said"},
		{"2117,main.3.journal,b.V,74.98,mm,Nobody Known", "nobody here is called"},
	} {
		v := s.lines("engine,place,point,value,unit,read by\n" + c.row + "\n")
		if got := v.Get("items").Items(); len(got) != 1 || got[0].Get("state").Text() != "wrong" || !strings.Contains(got[0].Get("problems").String(), c.why) {
			t.Errorf("%s: %s, want %q", c.row, v.Get("items"), c.why)
		}
	}
}

// TestLinesDrafts: every draft of a list is an entry that the core takes, and the same list a second time adds nothing.
func TestLinesDrafts(t *testing.T) {
	s := demo(t)
	const text = "engine\tplace\tpoint\tcondition\tvalue\tunit\tinstrument\tread by\tdate\tnote\n" +
		"seventeen\tmain 3 journal\tbV\tas found\t74.931\tmm\tm1\tMaud Ferris\t2027-05-01\toff the old card\n"
	v := s.lines(text)
	items := v.Get("items").Items()
	if len(items) != 1 || v.Get("ready").Int64() != 1 {
		t.Fatalf("got %s", v)
	}
	body := items[0].Get("draft").Get("body")
	if _, err := entry.Compose(entry.Entry{Job: "0123456789abcdef0123456789abcdef", Log: "0123456789abcdef0123456789abcdef", Seq: 1, At: "2031-04-12T10:22:31+01:00",
		By: "maud", Kind: "reading", Body: body}); err != nil {
		t.Errorf("the core does not take it: %v: %s", err, body)
	}
	if body.Get("of").Get("side").Text() != "left" {
		t.Errorf("on a day after it was fitted its side is said: %s", body)
	}
}

// TestLinesColumns: what the person says of a column stands for what was found.
func TestLinesColumns(t *testing.T) {
	s := demo(t)
	const text = "main 3 journal,74.981\nmain 4 journal,74.980\n"
	if v := s.lines(text); v.Get("ready").Int64() != 0 || len(v.Get("items").Items()) != 0 {
		t.Errorf("no column is known, and something was made of it: %s", v)
	}
	v := s.lines(text, jcs.M("asm", jcs.Str("2117")), jcs.M("columns", jcs.Arr(jcs.Obj(jcs.M("role", jcs.Str("place"))), jcs.Obj(jcs.M("role", jcs.Str("at:b.V")), jcs.M("unit", jcs.Str("mm"))))))
	if v.Get("ready").Int64() != 2 {
		t.Errorf("got %s", v)
	}
}

// TestPaper: the sheet has every point of the feature once, in the order of the type sheet, and no value of its own.
func TestPaper(t *testing.T) {
	s := demo(t)
	v := s.view("paper", `{"asm":"2123","sheet":"Crank and bearings","day":"2027-04-01"}`)
	e, _ := s.st.Engine("2123")
	n := 0
	for _, table := range v.Get("tables").Items() {
		for _, row := range table.Get("rows").Items() {
			n++
			if int64(n) != row.Get("n").Int64() {
				t.Fatalf("row %d is numbered %d", n, row.Get("n").Int64())
			}
			pl, ok := e.Pattern.Find(row.Get("at").Text())
			if !ok || len(row.Get("cells").Items()) != len(pl.Feature.PointsOf()) {
				t.Errorf("%s: %s", row.Get("at"), row.Get("cells"))
			}
		}
	}
	if n == 0 || v.Get("rows").Int64() != int64(n) || !strings.HasPrefix(v.Get("svg").Text(), "<svg") || v.Get("engine").Get("side").Text() != "right" {
		t.Errorf("%d rows of %s", n, v)
	}
	before := s.view("paper", `{"asm":"2123","sheet":"Crank and bearings","day":"2019-01-01"}`)
	if of := find(before, "tables.0.rows.0.cells.0.of"); of.Get("side").Text() != "" {
		t.Errorf("a day before it was fitted names a side: %s", of)
	}
}
