package recordbook

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// element is a piece of the book as a reader's browser would have it. There is no HTML validator among the dependencies; this
// reads what the pages write and refuses what a validator would.
type element struct {
	tag    string
	attrs  map[string]string
	kids   []*element
	parent *element
	text   string // of a text: tag is ""
}

var (
	void     = []string{"meta", "img", "br", "hr", "link", "input"}
	foreign  = []string{"path", "rect", "line", "circle", "polyline"} // closed by themselves inside a drawing
	tagForm  = regexp.MustCompile(`<(/?)([a-zA-Z][a-zA-Z0-9]*)((?:\s+[a-zA-Z][a-zA-Z0-9:-]*(?:="[^"<]*")?)*)\s*(/?)>`)
	attrForm = regexp.MustCompile(`([a-zA-Z][a-zA-Z0-9:-]*)(?:="([^"<]*)")?`)
)

// parse reads a page and returns its root with every fault that it found.
func parse(page string) (*element, []string) {
	root := &element{tag: "#root"}
	at, faults := root, []string(nil)
	page = strings.TrimPrefix(page, "<!DOCTYPE html>")
	last := 0
	for _, m := range tagForm.FindAllStringSubmatchIndex(page, -1) {
		if at.tag == "style" && page[m[2]:m[3]] == "" {
			continue // a style sheet is text up to its end
		}
		between := page[last:m[0]]
		last = m[1]
		if at.tag != "style" && strings.ContainsAny(between, "<>") {
			faults = append(faults, fmt.Sprintf("a bare < or > in %.80q", between))
		}
		at.kids = append(at.kids, &element{text: between, parent: at})
		tag := page[m[4]:m[5]]
		if page[m[2]:m[3]] == "/" {
			if at.tag != tag {
				faults = append(faults, fmt.Sprintf("</%s> ends <%s id=%q>", tag, at.tag, at.attrs["id"]))
				return root, faults
			}
			at = at.parent
			continue
		}
		e := &element{tag: tag, attrs: map[string]string{}, parent: at}
		for _, a := range attrForm.FindAllStringSubmatch(page[m[6]:m[7]], -1) {
			if _, twice := e.attrs[a[1]]; twice {
				faults = append(faults, fmt.Sprintf("<%s> has %s twice", tag, a[1]))
			}
			e.attrs[a[1]] = a[2]
		}
		at.kids = append(at.kids, e)
		closed := m[8] < m[9]
		if closed != slices.Contains(foreign, tag) {
			faults = append(faults, fmt.Sprintf("<%s> is closed the wrong way", tag))
		}
		if !closed && !slices.Contains(void, tag) {
			at = e
		}
	}
	if at != root {
		faults = append(faults, "<"+at.tag+"> is never ended")
	}
	return root, faults
}

// each calls do for every element below, in order.
func (e *element) each(do func(*element)) {
	for _, k := range e.kids {
		if k.tag != "" {
			do(k)
			k.each(do)
		}
	}
}

// all are the elements of a tag below.
func (e *element) all(tag string) []*element {
	var out []*element
	e.each(func(k *element) {
		if k.tag == tag {
			out = append(out, k)
		}
	})
	return out
}

// words is the text inside, blanks drawn together.
func (e *element) words() string {
	var b strings.Builder
	var walk func(*element)
	walk = func(x *element) {
		b.WriteString(x.text)
		for _, k := range x.kids {
			if k.tag != "style" {
				walk(k)
			}
		}
	}
	walk(e)
	return strings.Join(strings.Fields(b.String()), " ")
}

func (e *element) under(tag string) *element {
	for p := e.parent; p != nil; p = p.parent {
		if p.tag == tag {
			return p
		}
	}
	return nil
}

// allowed says where an element may stand, for those that the pages use and that a browser would move elsewhere.
var allowed = map[string][]string{
	"tr": {"thead", "tbody"}, "td": {"tr"}, "th": {"tr"}, "thead": {"table"}, "tbody": {"table"}, "caption": {"table"},
	"li": {"ul", "ol"}, "dt": {"dl"}, "dd": {"dl"}, "figcaption": {"figure"},
}

// noBlock are elements that must not hold a block.
var noBlock = []string{"p", "h1", "h2", "h3", "h4", "span", "b", "a", "s", "dt"}

var blocks = []string{"p", "ul", "ol", "table", "div", "section", "article", "figure", "h1", "h2", "h3", "h4", "dl", "nav"}

// faultsOf says what is wrong with a page beyond its nesting.
func faultsOf(root *element) []string {
	var faults []string
	say := func(format string, args ...any) { faults = append(faults, fmt.Sprintf(format, args...)) }
	ids := map[string]bool{}
	level := 0
	root.each(func(e *element) {
		if id := e.attrs["id"]; id != "" {
			if ids[id] {
				say("the id %s stands twice", id)
			}
			ids[id] = true
		}
		for name := range e.attrs {
			if strings.HasPrefix(name, "on") || name == "style" {
				say("<%s> has %s", e.tag, name)
			}
		}
		if where, ok := allowed[e.tag]; ok && !slices.Contains(where, e.parent.tag) {
			say("<%s> stands in <%s>", e.tag, e.parent.tag)
		}
		if slices.Contains(blocks, e.tag) && slices.Contains(noBlock, e.parent.tag) {
			say("<%s> stands in <%s>", e.tag, e.parent.tag)
		}
		switch e.tag {
		case "script", "iframe", "object", "embed", "base":
			say("there is a <%s>", e.tag)
		case "img":
			if strings.TrimSpace(e.attrs["alt"]) == "" {
				say("an image has no alternative text")
			}
		case "th":
			if e.attrs["scope"] == "" {
				say("a table head has no scope: %s", e.words())
			}
		case "h1", "h2", "h3", "h4":
			n := int(e.tag[1] - '0')
			if n > level+1 {
				say("%s follows a heading of level %d: %s", e.tag, level, e.words())
			}
			if e.words() == "" {
				say("an empty %s", e.tag)
			}
			level = n
		case "ul", "ol", "tbody", "table":
			if len(slices.DeleteFunc(slices.Clone(e.kids), func(k *element) bool { return k.tag == "" })) == 0 {
				say("an empty <%s>", e.tag)
			}
		}
	})
	root.each(func(e *element) {
		for _, name := range []string{"aria-labelledby", "for"} {
			if id := e.attrs[name]; id != "" && !ids[id] {
				say("%s names %s, which is not there", name, id)
			}
		}
		if href, ok := e.attrs["href"]; ok && !ids[strings.TrimPrefix(href, "#")] {
			say("a link leads to %s, which is not there", href)
		}
	})
	return faults
}

// TestFaultsAreFound: the checks see what they are for.
func TestFaultsAreFound(t *testing.T) {
	for page, want := range map[string]string{
		`<p>a<b>c</p></b>`:                                  "</p> ends <b",
		`<div><p>a</p>`:                                     "never ended",
		`<p id="a">x</p><p id="a">y</p>`:                    "stands twice",
		`<img src="data:,"><p>x</p>`:                        "no alternative text",
		`<h1>a</h1><h3>b</h3>`:                              "follows a heading",
		`<p><a href="#no">x</a></p>`:                        "not there",
		`<table><tr><td>x</td></tr></table>`:                "<tr> stands in <table>",
		`<p>a < b</p>`:                                      "bare <",
		`<p onclick="x">y</p>`:                              "has onclick",
		`<p><ul><li>a</li></ul></p>`:                        "<ul> stands in <p>",
		`<table><tbody><tr><th>x</th></tr></tbody></table>`: "no scope",
		`<ul></ul>`:                                         "empty <ul>",
	} {
		root, faults := parse(page)
		faults = append(faults, faultsOf(root)...)
		if !strings.Contains(strings.Join(faults, "\n"), want) {
			t.Errorf("%s: found %q, want %q", page, faults, want)
		}
	}
}
