package recordbook

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"time"
)

// browsers are the names that an installed Chromium goes by.
var browsers = []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge"}

// ErrNoBrowser says what to do without one.
var ErrNoBrowser = errors.New("no Chromium was found on the office's computer to print with: install it there, or take the HTML file, open it in any browser and print it")

// ErrPaper is for a Paper that no book is printed on.
var ErrPaper = errors.New("the paper is A4 or letter")

func findBrowser() (string, error) {
	for _, name := range browsers {
		if path, err := exec.LookPath(name); err == nil {
			return path, nil
		}
	}
	return "", ErrNoBrowser
}

// PDF is the book as an installed browser prints it. It shows nothing and reaches no network: the book has everything inside.
// The same entries, photos, program and browser give the same bytes: the PDF's own date is the newest entry's.
//
// Errors: ErrNoBrowser, and those of Write.
func PDF(ctx context.Context, src Source) (body []byte, err error) {
	browser, err := findBrowser()
	if err != nil {
		return nil, err
	}
	tmp, err := os.MkdirTemp("", "witnessmark-pdf-")
	if err != nil {
		return nil, fmt.Errorf("make a folder: %w", err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(tmp)) }()
	html, made := filepath.Join(tmp, "book.html"), filepath.Join(tmp, "book.pdf")
	if err := writeFile(html, src); err != nil {
		return nil, err
	}
	args := []string{"--headless", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--host-resolver-rules=MAP * ~NOTFOUND",
		"--no-pdf-header-footer", "--generate-pdf-document-outline", "--user-data-dir=" + filepath.Join(tmp, "profile"), "--print-to-pdf=" + made}
	if os.Geteuid() == 0 {
		args = append(args, "--no-sandbox") // its sandbox refuses root; the page has no script
	}
	args = append(args, (&url.URL{Scheme: "file", Path: html}).String())
	if said, err := exec.CommandContext(ctx, browser, args...).CombinedOutput(); err != nil {
		return nil, fmt.Errorf("print with %s: %w: %.400s", browser, err, said)
	}
	if body, err = os.ReadFile(made); err != nil {
		return nil, fmt.Errorf("%s printed nothing: %w", browser, err)
	}
	return dated(body, newest(src.State.Lines())), nil
}

// writeFile writes the book to a new file.
func writeFile(path string, src Source) error {
	f, err := os.Create(path)
	if err != nil {
		return fmt.Errorf("make a file for the book: %w", err)
	}
	return errors.Join(Write(f, src), f.Close())
}

// printed is when a PDF was made, as its head says it (ISO 32000-1, 7.9.4): all that differs between two prints of one book.
var printed = regexp.MustCompile(`(/(?:CreationDate|ModDate) \(D:)\d{14}([+-]\d\d'\d\d')`)

// dated puts another time there, of the same length: everything behind stays where the file's own list says it is.
func dated(pdf []byte, at time.Time) []byte {
	head := min(len(pdf), 4096)
	copy(pdf, printed.ReplaceAll(pdf[:head], []byte("${1}"+at.UTC().Format("20060102150405")+"${2}")))
	return pdf
}
