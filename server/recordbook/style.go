package recordbook

import (
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"strings"

	"witnessmark/sync/draw"
)

//go:embed book.css
var css string

//go:embed fonts/*.woff2
var fonts embed.FS

// latinExt are the characters of the second file of each typeface, as its makers cut it.
const latinExt = "U+0100-02BA,U+02BD-02C5,U+02C7-02CC,U+02CE-02D7,U+02DD-02FF,U+1D00-1DBF,U+1E00-1E9F,U+1EF2-1EFF,U+2020,U+20A0-20AB,U+20AD-20C0,U+2113,U+2C60-2C7F,U+A720-A7FF"

// latin are those of the first.
const latin = "U+0000-00FF,U+0131,U+0152-0153,U+02BB-02BC,U+02C6,U+02DA,U+02DC,U+0304,U+0308,U+0329,U+2000-206F,U+20AC,U+2122,U+2191,U+2193,U+2212,U+2215,U+FEFF,U+FFFD"

// style is the book's own policy and style sheet: no script, nothing from outside, and no style but this one.
func (m *maker) style(b *whole) template.HTML {
	var engines []string
	for _, e := range b.Engines {
		engines = append(engines, e.Serial+" "+e.Name+", "+e.Where)
	}
	sheet := faces() + draw.Ink + css + m.page(b.Title, strings.Join(engines, "  |  "))
	sum := sha256.Sum256([]byte(sheet))
	policy := "default-src 'none'; img-src data:; font-src data:; base-uri 'none'; form-action 'none'; style-src 'sha256-" +
		base64.StdEncoding.EncodeToString(sum[:]) + "'"
	return template.HTML(`<meta http-equiv="Content-Security-Policy" content="` + policy + `">` + "\n<style>" + sheet + "</style>")
}

// faces are the typefaces, inside the style sheet.
func faces() string {
	var b strings.Builder
	for _, f := range []struct{ family, file, chars string }{
		{"Book", "next-latin", latin}, {"Book", "next-latin-ext", latinExt}, {"Book Mono", "mono-latin", latin}, {"Book Mono", "mono-latin-ext", latinExt},
	} {
		data, err := fonts.ReadFile("fonts/" + f.file + ".woff2")
		if err != nil {
			panic("bug: embedded font: " + err.Error())
		}
		fmt.Fprintf(&b, "@font-face{font-family:'%s';font-weight:200 800;src:url(data:font/woff2;base64,%s) format('woff2');unicode-range:%s}\n",
			f.family, base64.StdEncoding.EncodeToString(data), f.chars)
	}
	return b.String()
}

// page is what stands on every printed page: the job, the engines with their sides, the number of the page.
func (m *maker) page(title, engines string) string {
	size := ""
	if m.Paper != "" {
		size = "size: " + m.Paper + "; "
	}
	boxes := ""
	for _, box := range [][2]string{
		{"top-left", quoted(title)}, {"top-right", quoted(engines)},
		{"bottom-left", quoted("Record book, " + m.stands())}, {"bottom-right", "counter(page) ' of ' counter(pages)"},
	} {
		boxes += " @" + box[0] + " { font: 8pt Book, sans-serif; content: " + box[1] + "; }"
	}
	return "\n@page { " + size + "margin: 20mm 15mm 18mm;" + boxes + " }\n"
}

// stands says at what time the job stood as the book has it.
func (m *maker) stands() string {
	if m.Until != "" {
		return "as it stood on the evening of " + day(m.Until)
	}
	return "as of " + m.asOf()
}

// quoted is a text as a string of a style sheet: every letter that might end it, or the sheet, by its number.
func quoted(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		if r < ' ' || strings.ContainsRune(`"\<>&`, r) {
			fmt.Fprintf(&b, `\%06x`, r)
			continue
		}
		b.WriteRune(r)
	}
	b.WriteByte('"')
	return b.String()
}
