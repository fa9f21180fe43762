package numbers

import (
	"bytes"
	"encoding/csv"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// program is the spreadsheet of Debian's package gnumeric; .ci/deps installs it.
const program = "ssconvert"

// throughSpreadsheet has a table read and written again by a spreadsheet program that shares nothing with us.
func throughSpreadsheet(t *testing.T, body []byte) [][]string {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil {
		t.Fatalf("%s is not here: install Debian's gnumeric, or run .ci/deps", program)
	}
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in.csv"), filepath.Join(dir, "out.csv")
	if err := os.WriteFile(in, body, 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(path, "-I", "Gnumeric_stf:stf_csvtab", "-T", "Gnumeric_stf:stf_csv", in, out)
	cmd.Env = append(os.Environ(), "LC_ALL=C.UTF-8", "HOME="+dir)
	if said, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	back, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	return cells(t, back)
}

func cells(t *testing.T, body []byte) [][]string {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(body)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// same reports whether a cell means after the spreadsheet what it meant before: the same letters without our apostrophe, the
// same float64, or the same day.
func same(head, before, after string) bool {
	if after == Original(before) || after == before {
		return true
	}
	if strings.Contains(head, "as written") || strings.Contains(head, "as shown") {
		return false
	}
	x, err := strconv.ParseFloat(before, 64)
	y, err2 := strconv.ParseFloat(after, 64)
	if err == nil && err2 == nil {
		return x == y
	}
	return isoDay.MatchString(before) && strings.ReplaceAll(after, "/", "-") == before
}

// TestCSVInSpreadsheet: a spreadsheet program has every cell of every table of the demo as it was, figures as written with
// their last nought.
func TestCSVInSpreadsheet(t *testing.T) {
	noughts := 0
	for _, name := range Tables() {
		if !strings.HasSuffix(name, ".csv") {
			continue
		}
		want := cells(t, file(t, name, true))
		got := throughSpreadsheet(t, file(t, name, true))
		if len(got) != len(want) {
			t.Fatalf("%s: %d rows came back of %d", name, len(got), len(want))
		}
		for i, row := range want {
			for k, before := range row {
				after := ""
				if k < len(got[i]) {
					after = got[i][k]
				}
				if !same(want[0][k], before, after) {
					t.Errorf("%s, row %d, %s: %q came back as %q", name, i, want[0][k], before, after)
				}
				if strings.Contains(after, ".") && strings.HasSuffix(after, "0") && strings.HasSuffix(want[0][k], "as written") {
					noughts++
				}
			}
		}
	}
	if noughts < 50 {
		t.Errorf("only %d figures as written end in a nought after the point: the demo has more", noughts)
	}
}

// hostile are texts that a spreadsheet would run, or take for something else.
var hostile = []string{
	"=1+1", "+1-2", "-2+3", "@SUM(1;2)", `=HYPERLINK("http://x";"y")`, "=cmd|' /C calc'!A0", "'=1+1", "＝1+1", "−0.040", "74.980", "-0.04", "+5", "007", "0117", "1/2", "7/8", "2 1/2", "3-1",
	"3 March 2019", "May 2019", "TRUE", "false", "1e5", "10:22", "12%", "$5", "1,000", "1234567890123456789", "none felt", "2117", "2E10", "(5)", ".5", "5.",
}

// TestHostileInSpreadsheet: none of them is run, and each comes back as it was.
func TestHostileInSpreadsheet(t *testing.T) {
	table := header("n", "text", "as written")
	for i, s := range hostile {
		table.row(strconv.Itoa(i), text(s), asWritten(s))
	}
	got := throughSpreadsheet(t, table.bytes())
	if len(got) != len(hostile)+1 {
		t.Fatalf("%d rows came back of %d", len(got), len(hostile)+1)
	}
	for i, s := range hostile {
		// An apostrophe of the text's own stands behind ours, which the program takes away.
		if row := got[i+1]; row[1] != s || row[2] != s {
			t.Errorf("%q came back as %q, and as written %q", s, row[1], row[2])
		}
	}
}
