package recordbook

import (
	"fmt"
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/testdata/demo"
)

// TestDecideAndGoOn: snags with why a proof does not count, a goods-inward card,
// and whose consent there was, are in the book; a price is not, and without
// names nobody's is.
func TestDecideAndGoOn(t *testing.T) {
	set := demoSet(t)
	first, err := entry.Read(demo.Lines()[0])
	if err != nil {
		t.Fatal(err)
	}
	last := entry.Entry{}
	write := func(kind, body string, after ...entry.ID) entry.ID {
		v, err := jcs.Parse([]byte(body))
		if err != nil {
			t.Fatal(err, body)
		}
		last, err = entry.Compose(entry.Entry{Job: first.Job, Log: entry.LogID(strings.Repeat("7", 32)), Seq: last.Seq + 1, Prev: last.ID, At: "2027-05-01T09:00:00+00:00", By: "idris", Kind: kind, Body: v, After: after})
		if err != nil {
			t.Fatal(err, body)
		}
		set.AddEntry(last)
		return last.ID
	}
	leak := write("snag", `{"state":"raised","of":{"asm":"2117","at":"cyl.5.liner"},"what":"fuel drips at the return union","rate":"20 drops a minute"}`)
	test := write("hold-test", `{"of":{"asm":"2117"},"test":"fuel","pressure":{"t":"0.50","u":"bar"}}`)
	write("hold-test", fmt.Sprintf(`{"of":{"asm":"2117"},"start":%q,"pressure":{"t":"0.50","u":"bar"},"elapsed":{"t":"900","u":"s"}}`, test))
	fix := write("snag", fmt.Sprintf(`{"state":"cured","snag":%q,"did":"washers renewed","twin":"the same there"}`, leak), leak)
	write("snag", fmt.Sprintf(`{"state":"proven","snag":%q,"test":%q,"seen_by":"bram"}`, leak, test), leak, fix, test)
	write("part", `{"part":"L-9","state":"ordered","supplier":"Orsett","price":{"t":"98.76","u":"EUR"}}`)
	write("part", `{"part":"L-9","state":"accepted","asm":"2117","inward":[{"what":"flange","want":"8.00","got":"8.02","answer":"no"}],"note":"faced here"}`)
	write("decision", `{"decide":"bore cyl.3","asm":["2117"],"chosen":{"choice":"bore it oversize"},"rests":[],"inputs":[],"why":"scored","original":true,"alternatives":"a new liner","consent":"the trustees in May"}`)
	src := source(set)
	words := strings.Join(strings.Fields(tree(t, written(t, src)).words()), " ")
	for _, want := range []string{"2117 · cylinder 5 · liner bore: fuel drips at the return union", "cured, not seen dry", "Not proven: the test was begun before it was cured.", "seen dry by Bram Hale",
		"the other engine: the same there", "flange, ordered 8.00, found 8.02: will not do.", "Thought of besides: a new liner. Agreed by the trustees in May."} {
		if !strings.Contains(words, want) {
			t.Errorf("the book lacks %q", want)
		}
	}
	if strings.Contains(words, "98.76") {
		t.Error("the book tells the price")
	}
	src.Names = false
	bare := tree(t, written(t, src)).words()
	for _, name := range []string{"Bram", "bram", "Idris", "idris"} {
		if strings.Contains(bare, name) {
			t.Errorf("the book without names has %s", name)
		}
	}
}
