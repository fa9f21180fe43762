package numbers

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"os/exec"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
	"witnessmark/sync/view"
	"witnessmark/testdata/demo"
)

func theDemo(t *testing.T) (*record.State, []result.Res) {
	t.Helper()
	set := reconcile.New()
	for _, raw := range demo.Lines() {
		if _, err := set.Add(raw); err != nil {
			t.Fatal(err)
		}
	}
	st := record.Build(set.Resolve())
	return st, result.All(st)
}

func file(t *testing.T, name string, show bool) []byte {
	t.Helper()
	st, rs := theDemo(t)
	body, err := Write(name, st, rs, show)
	if err != nil {
		t.Fatal(err)
	}
	return body
}

// rows reads a table with the standard library's reader: one map a row, by head.
func rows(t *testing.T, body []byte) []map[string]string {
	t.Helper()
	all, err := csv.NewReader(bytes.NewReader(body)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, r := range all[1:] {
		m := map[string]string{}
		for i, head := range all[0] {
			if _, twice := m[head]; twice {
				t.Fatalf("two columns are called %q", head)
			}
			m[head] = r[i]
		}
		out = append(out, m)
	}
	return out
}

// TestReadings: every reading comes back as it was written, and in SI as the core reads it.
func TestReadings(t *testing.T) {
	st, _ := theDemo(t)
	byID := map[string]map[string]string{}
	for _, r := range rows(t, file(t, "readings.csv", true)) {
		byID[r["entry"]] = r
	}
	n := 0
	for _, p := range st.Places {
		for _, r := range p.Readings {
			n++
			got := byID[string(r.ID)]
			back := quantity.Written{Text: Original(got["value as written"]), To: Original(got["value as written, upper of two"]), Unit: got["value unit as written"], Is: got["value is"]}
			if back != r.Value {
				t.Errorf("%s: %+v came back as %+v", r.ID, r.Value, back)
			}
			q, err := quantity.Parse(r.Value)
			if err != nil {
				t.Fatal(err)
			}
			head := "least, " + string(q.Unit.Dim) + " / " + siUnits[q.Unit.Dim]
			if got[head] != float(q.Lo()) {
				t.Errorf("%s: %s is %q, want %s", r.ID, head, got[head], float(q.Lo()))
			}
			if Original(got["why struck"]) != r.Struck || got["engine"] != r.Asm || got["side as shown"] != r.Side || Original(got["note"]) != r.Note {
				t.Errorf("%s came back as %v", r.ID, got)
			}
		}
	}
	if n != len(byID) || n < 200 {
		t.Errorf("%d readings, %d rows", n, len(byID))
	}
}

func TestResults(t *testing.T) {
	_, rs := theDemo(t)
	got := rows(t, file(t, "results.csv", true))
	i := 0
	for _, r := range rs {
		for _, v := range r.Vals {
			row := got[i]
			i++
			if row["result"] != r.ID || Original(row["value as shown"]) != v.Text || row["value in SI"] != float(v.SI) || Original(row["says"]) != r.Says {
				t.Errorf("%s, %s came back as %v", r.ID, v.Name, row)
			}
			dim, ok := dimOf(v.Unit)
			if !ok {
				t.Errorf("%s, %s: the unit %q has no column", r.ID, v.Name, v.Unit)
			}
			if head := "value, " + string(dim) + " / " + siUnits[dim]; row[head] != float(v.SI) {
				t.Errorf("%s: %q = %q", r.ID, head, row[head])
			}
			if x, err := strconv.ParseFloat(row["value, length / mm"], 64); dim == quantity.Length && (err != nil || math.Abs(x-v.SI*1000) > 1e-9*math.Abs(x)) {
				t.Errorf("%s: %g m are %q mm", r.ID, v.SI, row["value, length / mm"])
			}
			if v.Limit != nil && Original(row["limit's words"]) != v.Limit.Words {
				t.Errorf("%s: the limit's words came back as %q", r.ID, row["limit's words"])
			}
		}
		if len(r.Vals) == 0 {
			i++
		}
	}
	if i != len(got) || i < 100 {
		t.Errorf("%d rows, want %d", len(got), i)
	}
}

// TestUnitsHaveColumns: every unit that a value may be shown in has a dimension, and every dimension an SI unit.
func TestUnitsHaveColumns(t *testing.T) {
	for _, u := range quantity.Units() {
		if dim, ok := dimOf(u.Symbol); !ok || dim != u.Dim || siUnits[dim] == "" {
			t.Errorf("%s: %s, %v", u.Code, dim, ok)
		}
	}
}

// TestSafeCells: no text cell begins with what a spreadsheet runs, and the rule brings every one back.
func TestSafeCells(t *testing.T) {
	for _, s := range []string{"=1+1", "+1-2", "-2+cmd|' /C calc'!A0", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "'", "'=1", "''x", "＝1", "", "-", "+", "- 0.04", "-0.04.1", "+5", "-.5", "74.980", "007",
		"1/2", "7/8", "3-1", "12%", "1e5", "1E-3", "10:22", "1,000", "$5", "TRUE", "May 2019", "3 March 2019", "1 2 3", "−0.04", "1234567890123456"} {
		safe := text(s)
		if Original(safe) != s {
			t.Errorf("%q is written %q and comes back as %q", s, safe, Original(safe))
		}
		if s != "" && safe[0] != '\'' {
			t.Errorf("%q is written %q", s, safe)
		}
	}
	for _, s := range []string{"-0.04", "74.981", "2117", "0", "none", "1=1", "2027-03-08", "2027-03-08T10:22:31+01:00", "cap 3", "about 2019", "maybe 2", "1.6 mm chosen"} {
		if text(s) != s {
			t.Errorf("%q is written %q", s, text(s))
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOf(rapid.OneOf(rapid.Rune(), rapid.SampledFrom([]rune("=+-@'\t\r\n\",;0. ")))).Draw(t, "cell")
		safe := text(s)
		if Original(safe) != s {
			t.Fatalf("%q is written %q and comes back as %q", s, safe, Original(safe))
		}
		if safe != "" && strings.ContainsRune("=+-@\t\r\n", rune(safe[0])) && !shortest(safe) {
			t.Fatalf("%q is written %q", s, safe)
		}
	})
}

// records are tables that a reader may stumble over.
func records() [][]string {
	return [][]string{
		{"a", "b", "c"}, {"", "", ""}, {`say "go"`, "one,two", "line\nbreak"}, {" blank before", "blank after ", "\t"}, {"ÿ ž 漢 🔧", "\u2009", `""`},
		{text("=1+1"), text("-0.04"), text("'quoted")}, {asWritten("74.980"), asWritten("1/2"), text("007")},
	}
}

func encoded(recs [][]string) []byte {
	t := header(recs[0]...)
	for _, r := range recs[1:] {
		t.row(r...)
	}
	return t.bytes()
}

// TestCSV: the standard library's reader reads back what was written; lines end as RFC 4180 says.
func TestCSV(t *testing.T) {
	body := encoded(records())
	got, err := csv.NewReader(bytes.NewReader(body)).ReadAll()
	if diff := cmp.Diff(records(), got); err != nil || diff != "" {
		t.Errorf("read back: %v\n%s", err, diff)
	}
	if !bytes.HasPrefix(body, []byte("a,b,c\r\n,,\r\n")) {
		t.Errorf("%q", body)
	}
	rapid.Check(t, func(t *rapid.T) {
		// A carriage return before a line's end is dropped by that reader; the other reader's test has it.
		cell := rapid.StringOf(rapid.OneOf(rapid.Rune(), rapid.SampledFrom([]rune("\",\n ")))).Filter(func(s string) bool { return !strings.Contains(s, "\r") })
		recs := [][]string{{"x", "y"}, rapid.SliceOfN(cell, 2, 2).Draw(t, "row")}
		got, err := csv.NewReader(bytes.NewReader(encoded(recs))).ReadAll()
		if diff := cmp.Diff(recs, got); err != nil || diff != "" {
			t.Fatalf("read back: %v\n%s", err, diff)
		}
	})
}

const readInPython = `
import csv, io, json, sys
text = io.TextIOWrapper(sys.stdin.buffer, encoding='utf-8', newline='').read()
json.dump(list(csv.reader(io.StringIO(text, newline=''), strict=True)), sys.stdout)`

// TestCSVInPython: another language's reader sees the same cells, every file of the demo and every odd one.
func TestCSVInPython(t *testing.T) {
	python, err := exec.LookPath("python3")
	if err != nil {
		t.Skip("python3 is not installed; the standard library's reader has its own test")
	}
	odd := append(records(), []string{"carriage\r\nreturn", "\r", "x"})
	bodies := map[string][]byte{"odd": encoded(odd)}
	for _, name := range Tables() {
		if strings.HasSuffix(name, ".csv") {
			bodies[name] = file(t, name, true)
		}
	}
	for name, body := range bodies {
		cmd := exec.Command(python, "-c", readInPython)
		cmd.Stdin = bytes.NewReader(body)
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		var got [][]string
		if err := json.Unmarshal(out, &got); err != nil {
			t.Fatal(err)
		}
		want := odd
		if name != "odd" {
			if want, err = csv.NewReader(bytes.NewReader(body)).ReadAll(); err != nil {
				t.Fatal(err)
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s:\n%s", name, diff)
		}
	}
}

// TestFiles: every file named can be written, twice with the same bytes, and is what its name says.
func TestFiles(t *testing.T) {
	st, rs := theDemo(t)
	names := Files(st, rs)
	if !slices.Equal(names[:len(tables)], Tables()) || len(names) < len(tables)+5 {
		t.Errorf("files: %v", names)
	}
	plainName := regexp.MustCompile(`^[A-Za-z0-9._-]+$`)
	for _, name := range names {
		body, err := Write(name, st, rs, true)
		again, err2 := Write(name, st, rs, true)
		if err != nil || err2 != nil || !bytes.Equal(body, again) || len(body) == 0 || !plainName.MatchString(name) {
			t.Errorf("%s: %d bytes, %v, %v", name, len(body), err, err2)
		}
		switch {
		case strings.HasSuffix(name, ".json"):
			if !json.Valid(body) || Type(name) != "application/json" {
				t.Errorf("%s is no JSON", name)
			}
		case strings.HasSuffix(name, ".svg"):
			if err := drawn(body); err != nil || Type(name) != "image/svg+xml" {
				t.Errorf("%s is no drawing: %v", name, err)
			}
		}
	}
	for _, name := range []string{"", "../record.json", "map-1.svg", "readings"} {
		if _, err := Write(name, st, rs, true); !errors.Is(err, ErrNoFile) {
			t.Errorf("Write(%q) = %v", name, err)
		}
	}
	if a, b := plain("a/b"), plain("a:b"); a == b {
		t.Errorf("two files are called %s", a)
	}
}

func drawn(svg []byte) error {
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		if _, err := d.Token(); err == io.EOF {
			return nil
		} else if err != nil {
			return err
		}
	}
}

// TestNoNames: no file has a name of anybody, nor anybody's key, when names are left out.
func TestNoNames(t *testing.T) {
	st, rs := theDemo(t)
	named := ""
	for _, name := range Files(st, rs) {
		body, err := Write(name, st, rs, false)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range st.People {
			for _, part := range append(strings.Fields(p.Name), p.Key, "Lunt") {
				if at := regexp.MustCompile(`\b` + part + `\b`).FindIndex(body); at != nil {
					t.Errorf("%s has %q: …%s…", name, part, body[max(0, at[0]-60):min(len(body), at[1]+40)])
				}
			}
		}
		with, err := Write(name, st, rs, true)
		if err != nil {
			t.Fatal(err)
		}
		named += string(with)
	}
	if !strings.Contains(named, "Maud Ferris") {
		t.Error("the files with names have none")
	}
}

// TestRuns: every line of every run comes back, its value as it was written.
func TestRuns(t *testing.T) {
	st, _ := theDemo(t)
	got := rows(t, file(t, "runs.csv", true))
	i := 0
	for _, r := range st.Runs {
		for _, l := range r.Lines {
			row := got[i]
			i++
			back := quantity.Written{Text: Original(row["value as written"]), To: Original(row["value as written, upper of two"]), Unit: row["value unit as written"], Is: row["value is"]}
			if row["entry"] != string(l.ID) || back != valueOf(&l) || row["engine"] != l.Of.Asm || Original(row["words"]) != l.Words || Original(row["station"]) != l.Station {
				t.Errorf("%s, %d ms came back as %v", l.ID, l.MS, row)
			}
		}
	}
	if i != len(got) || i < 80 {
		t.Errorf("%d lines of runs, %d rows", i, len(got))
	}
}

// TestSamples: every figure that a gauge gave by itself comes back at its own time.
func TestSamples(t *testing.T) {
	st, _ := theDemo(t)
	got := rows(t, file(t, "samples.csv", true))
	i := 0
	for _, r := range st.Runs {
		for _, l := range r.Lines {
			if l.Block == nil {
				continue
			}
			for k, figure := range strings.Fields(l.Block.Columns[0].Values) {
				row, since := got[i], strconv.Itoa(60*k) // the demo's recorder: one a minute from the start
				i++
				if row["entry"] != string(l.ID) || Original(row["value as written"]) != figure || row["since the start / s"] != since || row["gauge"] != "coolant" || row["engine"] != "2123" {
					t.Errorf("row %d: %v", i, row)
				}
			}
		}
	}
	if i != len(got) || i != 66 {
		t.Errorf("%d figures, %d rows", i, len(got))
	}
	if got[1]["value, temperature / K"] == "" {
		t.Errorf("no value in SI: %v", got[1])
	}
}

// TestReadingsComeBack: the table that goes out can be listed in again. Every reading of it is found to stand already, at
// its own place, in its own words, by its own taker; the struck ones are left out.
func TestReadingsComeBack(t *testing.T) {
	st, rs := theDemo(t)
	v, err := view.View(st, rs, "lines", jcs.Obj(jcs.M("text", jcs.Str(string(file(t, "readings.csv", true))))))
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, p := range st.Places {
		n += len(p.Readings)
	}
	for _, it := range v.Get("items").Items() {
		if it.Get("state").Text() != "there" {
			t.Errorf("%s", it)
		}
	}
	if got := int(v.Get("there").Int64()); got != n || n < 100 {
		t.Errorf("%d of %d readings were found to be there", got, n)
	}
}

// TestSnags: each snag, and each step of it, comes back.
func TestSnags(t *testing.T) {
	st, rs := theDemo(t)
	st.Snags = []record.Snag{{ID: "s1", Of: record.Of{Asm: "2117", Side: "left", At: "cyl.5.liner"}, What: "=leak at the union", Rate: "1/2 cup a minute", Stop: true, By: "corrie", At: "2027-04-03T11:04:00+01:00", State: record.SnagProven,
		Steps: []record.SnagStep{{ID: "s2", State: record.SnagCured, Did: "new washer", Twin: "looked at too", By: "pell", At: "2027-04-04T09:00:00+01:00"}, {ID: "s3", State: record.SnagProven, SeenBy: "idris", Test: "t1", By: "maud", At: "2027-04-10T15:00:00+01:00"}}}}
	body, err := Write("snags.csv", st, rs, true)
	if err != nil {
		t.Fatal(err)
	}
	var got [][]string
	for _, r := range rows(t, body) {
		got = append(got, []string{r["snag's entry"], r["engine"], r["place in words"], Original(r["what"]), r["how much"], r["not run until seen dry"], r["state now"], r["step"], r["what was done"], r["seen dry by"], r["on the test"], r["by"], r["entry"]})
	}
	head := []string{"s1", "2117", "cylinder 5 · liner bore", "=leak at the union", "1/2 cup a minute", "yes", "seen dry"}
	want := [][]string{slices.Concat(head, []string{"raised", "", "", "", "Corrie Dunn", "s1"}), slices.Concat(head, []string{"cured", "new washer", "", "", "Pell Oakes", "s2"}),
		slices.Concat(head, []string{"proven", "", "Idris Cole", "t1", "Maud Ferris", "s3"})}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}
