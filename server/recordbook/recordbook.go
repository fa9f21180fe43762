// Package recordbook prints a job as one book for whoever comes after: the trustees, and the next team in thirty years. It is
// one HTML file that needs no server, no network and no script; fonts, drawings and photos are inside it. It prints on A4 and
// Letter.
//
// What stands in it is the record's, the results' and the screens' own (sync/record, sync/result, sync/view); here is only
// the order. Every figure names its entry (E12, in the last appendix) and every result its working (W7), so that each can be
// traced. It knows no clock: "as of" is the newest entry. The same entries, photos and program give the same bytes.
package recordbook

import (
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io"

	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// Source is what a book is made of.
type Source struct {
	State   *record.State
	Results []result.Res
	Asm     string // only what concerns the engine of this serial; "" is everything
	Until   string // the day on whose evening the job stood so, when only what was written by then is in State; "" is now
	Names   bool   // names of people stand; otherwise "person 1"
	Paper   string // a4 or letter, for a print that cannot ask; "" leaves it to the printer
	// Picture returns a photo as JPEG, small enough for print; nil bytes when it has not arrived, or is no picture.
	Picture func(sha string) ([]byte, error)
}

//go:embed pages
var pages embed.FS

var book = template.Must(template.New("book.html").ParseFS(pages, "pages/*.html"))

// ErrNoEngine is for an Asm that the job has no engine of.
var ErrNoEngine = errors.New("the job has no engine of that serial")

// Write writes the book. Pictures are asked for one at a time, as they come. After an error what was written is no whole book.
// Errors: ErrNoEngine, ErrPaper, and those of Picture and w.
func Write(w io.Writer, src Source) error {
	if _, ok := src.State.Engine(src.Asm); !ok && src.Asm != "" {
		return ErrNoEngine
	}
	if src.Paper != "" && src.Paper != "a4" && src.Paper != "letter" {
		return ErrPaper
	}
	if err := book.Execute(w, newMaker(src).book()); err != nil {
		return fmt.Errorf("write record book: %w", err)
	}
	return nil
}
