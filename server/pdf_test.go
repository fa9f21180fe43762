package main

import (
	"bytes"
	"fmt"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestBookPDF: a browser prints the book, and every page of it, turned into a picture and into text by a program that shares
// nothing with the browser, has something on it, all of it inside the margins, under its head. Without a browser it is said
// what to do.
func TestBookPDF(t *testing.T) {
	data := demoData(t)
	path := filepath.Join(t.TempDir(), "book.pdf")
	says(t, 0, "book", "-data", data, "-pdf", path, "-paper", "letter")
	texts := strings.Split(strings.TrimSuffix(poppler(t, "pdftotext", "-layout", path, "-"), "\f"), "\f")
	if len(texts) < 20 {
		t.Fatalf("the book has %d pages", len(texts))
	}
	for i, text := range texts {
		for _, want := range []string{"Railcar No. 4, the Heron", "2117 seventeen, left", "2123 twenty-three, right", "Record book, as of 17 April 2027", fmt.Sprintf("%d of %d", i+1, len(texts))} {
			if !strings.Contains(text, want) {
				t.Errorf("page %d lacks %q", i+1, want)
			}
		}
	}
	if info := poppler(t, "pdfinfo", path); !regexp.MustCompile(`Page size:\s+612 x 792 pts`).MatchString(info) || !strings.Contains(info, "Tagged:          yes") {
		t.Errorf("the pages are not letter, or cannot be read aloud:\n%s", info)
	}
	pages := picturesOf(t, path)
	if len(pages) != len(texts) {
		t.Errorf("%d pictures of %d pages", len(pages), len(texts))
	}
	for i, p := range pages {
		p.check(t, i+1)
	}
	t.Setenv("PATH", t.TempDir())
	if _, e := says(t, 1, "book", "-data", data, "-pdf", path); !strings.Contains(e, "no Chromium was found") || !strings.Contains(e, "any browser") {
		t.Errorf("without a browser: %q", e)
	}
}

// poppler runs a program of Debian's package poppler-utils; .ci/deps installs it.
func poppler(t *testing.T, name string, args ...string) string {
	t.Helper()
	said, err := exec.Command(name, args...).Output()
	if err != nil {
		t.Fatalf("%s: %v (Debian's poppler-utils, .ci/deps)", name, err)
	}
	return string(said)
}

// perInch is how finely a page is turned into a picture: a hairline still shows.
const perInch = 36

// grey is a page as a picture.
type grey struct {
	wide, high int
	pix        []byte
}

// picturesOf reads the pages one after another as PGM (netpbm's plain header, then a byte for each point).
func picturesOf(t *testing.T, path string) []grey {
	t.Helper()
	rest := []byte(poppler(t, "pdftoppm", "-gray", "-r", fmt.Sprint(perInch), path))
	var out []grey
	for len(rest) > 0 {
		var p grey
		var most int
		if _, err := fmt.Sscanf(string(rest[:min(len(rest), 40)]), "P5\n%d %d\n%d", &p.wide, &p.high, &most); err != nil || most != 255 {
			t.Fatalf("no picture: %v, %.20q", err, rest)
		}
		_, rest, _ = bytes.Cut(rest, []byte("\n255\n"))
		p.pix, rest = rest[:p.wide*p.high], rest[p.wide*p.high:]
		out = append(out, p)
	}
	return out
}

// ink counts the points that are not white within a part of the page, in mm from its upper left.
func (p grey) ink(left, top, right, bottom float64) int {
	at := func(mm float64) int { return int(mm / 25.4 * perInch) }
	n := 0
	for y := max(0, at(top)); y < min(p.high, at(bottom)); y++ {
		for x := max(0, at(left)); x < min(p.wide, at(right)); x++ {
			if p.pix[y*p.wide+x] < 0xf0 {
				n++
			}
		}
	}
	return n
}

// leastInk is what one short line of words leaves at the least.
const leastInk = 40

// check holds a page of letter size, 215.9 by 279.4 mm, with the margins of the book's style: 20 above, 18 below, 15 beside.
func (p grey) check(t *testing.T, n int) {
	const wide, high = 215.9, 279.4
	if got := p.ink(15, 20, wide-15, high-18); got < leastInk {
		t.Errorf("page %d is empty: %d points of ink", n, got)
	}
	if got := p.ink(0, 0, 13, high) + p.ink(wide-13, 0, wide, high) + p.ink(0, 0, wide, 5) + p.ink(0, high-5, wide, high); got > 0 {
		t.Errorf("page %d: %d points of ink in the margins: something is cut", n, got)
	}
}
