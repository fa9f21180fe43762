package book

import (
	"encoding/json"
	"os"
	"regexp"
	"strings"
	"testing"

	"witnessmark/server/demo"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// TestPageIsStatic: under the strict policy nothing inline runs, and nothing comes from elsewhere (T56).
func TestPageIsStatic(t *testing.T) {
	var b Book
	page := string(b.Page())
	for what, pattern := range map[string]string{
		"an inline script": `<script[^>]*>[^<]`, "an inline style": `\sstyle=|<style`, "a handler": `\son\w+=`, "another host": `https?://|//[a-z]`,
	} {
		if m := regexp.MustCompile(pattern).FindString(page); m != "" {
			t.Errorf("the page has %s: %q", what, m)
		}
	}
	if !strings.Contains(page, `lang="en"`) || !strings.Contains(page, "viewport") || !strings.Contains(page, "<main") {
		t.Error("the page lacks language, viewport or main")
	}
	for _, m := range regexp.MustCompile(`(?:src|href)="/book/([^"]+)"`).FindAllStringSubmatch(page, -1) {
		if _, _, ok := b.Asset(m[1]); !ok {
			t.Errorf("the page asks for %s, which is not there", m[1])
		}
	}
}

func TestAsset(t *testing.T) {
	var b Book
	for name, want := range map[string]string{
		"page.css": "text/css; charset=utf-8", "page.js": "text/javascript; charset=utf-8", "show.js": "text/javascript; charset=utf-8",
	} {
		body, typ, ok := b.Asset(name)
		if !ok || typ != want || len(body) == 0 {
			t.Errorf("Asset(%s) = %d bytes, %q, %v, want %q", name, len(body), typ, ok, want)
		}
	}
	for _, name := range []string{"page.html", "../book.go", "", "none.js", "book_test.go"} {
		if _, _, ok := b.Asset(name); ok {
			t.Errorf("Asset(%q) is there", name)
		}
	}
}

// TestData: a job that nobody has written to is a page too.
func TestData(t *testing.T) {
	st := record.Build(reconcile.New().Resolve())
	body, err := Book{}.Data(st, result.All(st), "Friends", "", false)
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Link string
		View map[string]any
	}
	if err := json.Unmarshal(body, &got); err != nil || got.Link != "Friends" || got.View == nil {
		t.Errorf("Data = %.200s, %v", body, err)
	}
	if (Book{}).Shows(st, strings.Repeat("0", 64)) {
		t.Error("a photo that is not there is shown")
	}
}

// TestNames is T54: names of people, and the notes they wrote, are not on the page; names only when the link says so.
func TestNames(t *testing.T) {
	story, err := demo.Load(os.DirFS("../../testdata/demo"))
	if err != nil {
		t.Fatal(err)
	}
	set := reconcile.New()
	for _, l := range story.Logs {
		for _, e := range l.Entries {
			set.AddEntry(e)
		}
	}
	st := record.Build(set.Resolve())
	for _, people := range []bool{false, true} {
		body, err := Book{}.Data(st, result.All(st), "Friends", "2027-03-01", people)
		if err != nil {
			t.Fatal(err)
		}
		named := false
		for _, p := range st.People {
			named = named || strings.Contains(string(body), p.Name) || strings.Contains(string(body), strings.Fields(p.Name)[0])
		}
		if named != people {
			t.Errorf("people %v: names are there: %v", people, named)
		}
		for _, n := range st.Notes {
			if strings.Contains(string(body), n.Text) {
				t.Errorf("people %v: the page holds the note %q", people, n.Text)
			}
		}
	}
	for sha := range story.Photos {
		if !(Book{}).Shows(st, sha) {
			t.Errorf("the photo %s is in the record and not on the page", sha)
		}
	}
}
