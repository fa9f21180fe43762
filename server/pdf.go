package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"

	"witnessmark/server/recordbook"
)

// browsers are the names that an installed Chromium goes by.
var browsers = []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge"}

// errNoBrowser says what to do without one.
var errNoBrowser = errors.New("no Chromium was found to print with: install it, or open the HTML file in any browser and print it there")

func findBrowser() (string, error) {
	for _, name := range browsers {
		if path, err := exec.LookPath(name); err == nil {
			return path, nil
		}
	}
	return "", errNoBrowser
}

// printPDF prints the book with a browser that shows nothing and reaches no network: the book has everything inside.
func printPDF(ctx context.Context, path string, src recordbook.Source) (err error) {
	browser, err := findBrowser()
	if err != nil {
		return err
	}
	tmp, err := os.MkdirTemp("", "witnessmark-pdf-")
	if err != nil {
		return fmt.Errorf("make a folder: %w", err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(tmp)) }()
	html, made := filepath.Join(tmp, "book.html"), filepath.Join(tmp, "book.pdf")
	if err := writeWhole(html, func(w io.Writer) error { return recordbook.Write(w, src) }); err != nil {
		return err
	}
	args := []string{"--headless", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--host-resolver-rules=MAP * ~NOTFOUND",
		"--no-pdf-header-footer", "--generate-pdf-document-outline", "--user-data-dir=" + filepath.Join(tmp, "profile"), "--print-to-pdf=" + made}
	if os.Geteuid() == 0 {
		args = append(args, "--no-sandbox") // its sandbox refuses root; the page has no script
	}
	args = append(args, (&url.URL{Scheme: "file", Path: html}).String())
	if said, err := exec.CommandContext(ctx, browser, args...).CombinedOutput(); err != nil {
		return fmt.Errorf("print with %s: %w: %.400s", browser, err, said)
	}
	body, err := os.ReadFile(made)
	if err != nil {
		return fmt.Errorf("%s printed nothing: %w", browser, err)
	}
	return writeWhole(path, func(w io.Writer) error { _, err := w.Write(body); return err })
}
