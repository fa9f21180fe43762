package entry

import (
	"os"
	"strings"
	"testing"
)

// TestPages holds schema/entries against the code: every kind has its page,
// which names every field, and whose example is a good body.
func TestPages(t *testing.T) {
	for _, name := range Kinds() {
		t.Run(name, func(t *testing.T) {
			page, err := os.ReadFile("../../schema/entries/" + name + ".md")
			if err != nil {
				t.Fatal(err)
			}
			text := string(page)
			for _, f := range kinds[name].fields {
				if !strings.Contains(text, "| `"+f.name+"` | "+f.want+" |") {
					t.Errorf("the page does not say that %s is %s", f.name, f.want)
				}
			}
			if n := strings.Count(text, "\n| `"); n != len(kinds[name].fields) {
				t.Errorf("the page has %d fields, the kind %d", n, len(kinds[name].fields))
			}
			_, example, _ := strings.Cut(text, "```json\n")
			example, _, _ = strings.Cut(example, "\n```")
			e := draft(t, name, example)
			if name == "log" {
				e.Seq, e.Prev = 1, ""
			}
			if name == "withdraw" || name == "restore" {
				e.Over = []ID{anID}
			}
			if _, err := Compose(e); err != nil {
				t.Errorf("the example: %v", err)
			}
		})
	}
}
