package recordbook

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io/fs"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
	"witnessmark/sync/view"
	"witnessmark/testdata/demo"
)

// demoSet is the invented workshop's entries.
func demoSet(t testing.TB) *reconcile.Set {
	set := reconcile.New()
	for _, raw := range demo.Lines() {
		if _, err := set.Add(raw); err != nil {
			t.Fatal(err)
		}
	}
	return set
}

// source is a book of a set, with a small picture for each photo.
func source(set *reconcile.Set) Source {
	st := record.Build(set.Resolve())
	return Source{State: st, Results: result.All(st), Names: true, Picture: func(sha string) ([]byte, error) { return grey(sha), nil }}
}

func grey(sha string) []byte {
	img := image.NewGray(image.Rect(0, 0, 8, 6))
	img.SetGray(1, 1, color.Gray{sha[0]})
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		panic(err)
	}
	return b.Bytes()
}

func written(t testing.TB, src Source) string {
	var b bytes.Buffer
	if err := Write(&b, src); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// tree is the book as a browser would have it; a fault ends the test.
func tree(t testing.TB, page string) *element {
	root, faults := parse(page)
	if faults = append(faults, faultsOf(root)...); len(faults) > 0 {
		t.Fatalf("%d faults:\n%s", len(faults), strings.Join(faults[:min(len(faults), 10)], "\n"))
	}
	return root
}

func TestValid(t *testing.T) {
	for name, change := range map[string]func(*Source){
		"whole": func(*Source) {}, "no names": func(s *Source) { s.Names = false }, "one engine": func(s *Source) { s.Asm = "2123" },
		"no pictures": func(s *Source) { s.Picture = nil }, "letter": func(s *Source) { s.Paper = "letter" },
		"nothing in it": func(s *Source) { *s = source(reconcile.New()) },
	} {
		t.Run(name, func(t *testing.T) {
			src := source(demoSet(t))
			change(&src)
			root := tree(t, written(t, src))
			for tag, n := range map[string]int{"h1": 1, "main": 1, "header": 1, "footer": 1, "nav": 1, "title": 1, "style": 1} {
				drawn := func(e *element) bool { return e.under("svg") != nil } // a drawing has titles of its own
				if got := len(slices.DeleteFunc(root.all(tag), drawn)); got != n {
					t.Errorf("%d <%s>, want %d", got, tag, n)
				}
			}
			for _, img := range root.all("img") {
				body, ok := strings.CutPrefix(img.attrs["src"], "data:image/jpeg;base64,")
				data, err := base64.StdEncoding.DecodeString(body)
				if err != nil || !ok {
					t.Fatalf("a picture is not inside: %.60s", img.attrs["src"])
				}
				if _, _, err := image.DecodeConfig(bytes.NewReader(data)); err != nil {
					t.Errorf("a picture cannot be read: %v", err)
				}
			}
		})
	}
}

// TestSameBytes: the same entries give the same bytes, in whatever order they came.
func TestSameBytes(t *testing.T) {
	first := written(t, source(demoSet(t)))
	lines := demo.Lines()
	slices.Reverse(lines)
	set := reconcile.New()
	for _, raw := range lines {
		if _, err := set.Add(raw); err != nil {
			t.Fatal(err)
		}
	}
	if again := written(t, source(set)); again != first {
		t.Error("two books of the same entries differ")
	}
	if !strings.Contains(first, "17 April 2027, 16:00 (the newest of "+strconv.Itoa(len(demo.Lines()))+" entries)") {
		t.Error("the book is not dated by its newest entry")
	}
}

// TestFromOutsideNothing: the book asks for nothing, and its policy lets in only its own style.
func TestFromOutsideNothing(t *testing.T) {
	page := written(t, source(demoSet(t)))
	for _, bad := range []string{"http://", "https://", "@import", "<script", "javascript:"} {
		if strings.Contains(strings.ReplaceAll(page, "http://www.w3.org/2000/svg", ""), bad) {
			t.Errorf("the book has %q", bad)
		}
	}
	if !strings.Contains(page, `content="default-src 'none'; img-src data:; font-src data:; base-uri 'none'; form-action 'none'; style-src 'sha256-`) {
		t.Error("the book has no policy")
	}
	if n := strings.Count(page, "data:font/woff2;base64,"); n != 4 {
		t.Errorf("%d fonts inside, want 4", n)
	}
}

// figures are the measured figures of the scenario, section 8.4, as far as the demo has them: engine, place, point, value.
var figures = map[string]map[string]string{ // place to "point value, point value"
	"2123 big-end pin %s · journal": {
		"1": "a.V 61.958, a.H 61.969, b.V 61.956, b.H 61.968, c.V 61.961, c.H 61.970", "2": "a.V 61.951, a.H 61.966, b.V 61.949, b.H 61.966, c.V 61.954, c.H 61.968",
		"3": "a.V 61.944, a.H 61.962, b.V 61.941, b.H 61.961, c.V 61.946, c.H 61.964", "4": "a.V 61.781, a.H 61.852, b.V 61.768, b.H 61.849, c.V 61.790, c.H 61.857",
		"5": "a.V 61.947, a.H 61.963, b.V 61.945, b.H 61.963, c.V 61.951, c.H 61.966", "6": "a.V 61.955, a.H 61.968, b.V 61.953, b.H 61.967, c.V 61.959, c.H 61.969",
	},
	"2123 main bearing %s · journal": {
		"1": "b.V 74.984, b.H 74.989", "2": "b.V 74.982, b.H 74.987", "3": "b.V 74.981, b.H 74.985", "4": "b.V 74.980, b.H 74.986",
		"5": "b.V 74.981, b.H 74.987", "6": "b.V 74.983, b.H 74.988", "7": "b.V 74.986, b.H 74.990",
	},
	"2123 main bearing %s · bore, shells in": {"1": "b.V 75.079", "2": "b.V 75.080", "3": "b.V 75.079", "4": "b.V 75.081", "5": "b.V 75.080", "6": "b.V 75.078", "7": "b.V 75.077"},
	"2123 big-end pin %s · bore, shells in":  {"1": "b.V 61.551", "2": "b.V 61.549", "3": "b.V 61.552", "4": "b.V 61.550", "5": "b.V 61.547", "6": "b.V 61.550"},
	"2117 cylinder %s · piston protrusion":   {"1": " 0.33", "2": " 0.36", "3": " 0.35", "4": " 0.31", "5": " 0.35", "6": " 0.37"},
	"2117 cylinder %s · cranking compression": {
		"1": " 24.4,  26.7", "2": " 24.7,  27.0", "3": " 24.8,  26.9", "4": " 24.3,  26.5", "5": " 24.6,  26.8", "6": " 24.8,  26.9",
	},
	"2117 coupling to the gearbox · dial at the rim%s":  {"": "top 0.00, right 0.14, bottom 0.36, left 0.22"},
	"2117 coupling to the gearbox · dial at the face%s": {"": "top 0.00, right 0.05, bottom 0.11, left 0.06"},
}

// worked are figures of 8.4 that are worked out: the words of a working and the value in it.
var worked = [][3]string{
	{"2123", "big-end pin 1 · journal size · as found", "0.012"}, {"2123", "big-end pin 4 · journal size · as found", "0.081"}, {"2123", "big-end pin 4 · journal size · as found", "61.768"},
	{"2123", "big-end pin 5 · journal size · as found", "0.018"}, {"2123", "main bearing 3 · journal size · as found", "74.979"},
	{"2123", "main bearing 1 · running clearance · as found", "0.095"}, {"2123", "main bearing 2 · running clearance · as found", "0.098"},
	{"2123", "main bearing 3 · running clearance · as found", "0.100"}, {"2123", "main bearing 4 · running clearance · as found", "0.101"},
	{"2123", "main bearing 5 · running clearance · as found", "0.099"}, {"2123", "main bearing 7 · running clearance · as found", "0.091"},
	{"2123", "big-end pin 1 · running clearance · after machining", "0.057"}, {"2123", "big-end pin 2 · running clearance · after machining", "0.056"},
	{"2123", "big-end pin 4 · running clearance · after machining", "0.058"}, {"2123", "big-end pin 5 · running clearance · after machining", "0.069"},
	{"2117", "head gasket · compression ratio · on trial with GK-7", "15.00"}, {"2117", "head gasket · compression ratio · on trial with GK-9", "16.12"},
	{"2117", "head gasket · bump clearance · on trial with GK-7", "1.49"}, {"2117", "head gasket · bump clearance · on trial with GK-9", "0.93"},
	{"2117", "cranking compression", "24.60"}, {"2117", "cranking compression", "26.80"},
}

// TestFigures: every figure of the scenario that the demo has stands in the book, under its engine and place.
func TestFigures(t *testing.T) {
	src := source(demoSet(t))
	root := tree(t, written(t, src))
	have := measuredBy(src.State, root)
	for place, numbers := range figures {
		for n, list := range numbers {
			for _, pair := range strings.Split(list, ", ") {
				point, value, _ := strings.Cut(pair, " ")
				want := fmt.Sprintf(place, n) + "/" + point + "/" + value
				if !have[want] {
					t.Errorf("the book lacks %s", want)
				}
			}
		}
	}
	for _, w := range worked {
		if !slices.ContainsFunc(root.all("article"), func(a *element) bool {
			words := a.words()
			return strings.Contains(words, w[0]) && strings.Contains(words, w[1]) && strings.Contains(words, w[2])
		}) {
			t.Errorf("no working has %s", w)
		}
	}
}

// measuredBy reads the measured tables: "2123 main bearing 3 · journal/b.V/74.979" for each value that stands in the column
// under that engine's name. The point is the entry's own, so that a value in another row is not taken for it.
func measuredBy(st *record.State, root *element) map[string]bool {
	out := map[string]bool{}
	byEntry := map[string][2]string{}
	for _, p := range st.Places {
		e := &st.Engines[0]
		for _, r := range p.Readings {
			byEntry[string(r.ID)] = [2]string{e.Pattern.Words(p.At), p.Point}
		}
	}
	lines := st.Lines()
	eachCell(root, func(serial string, td *element) {
		for _, p := range td.all("p") {
			id := string(lines[entryOf(p)-1].ID)
			value := p.all("span")[0].words()
			out[serial+" "+byEntry[id][0]+"/"+byEntry[id][1]+"/"+value] = true
		}
	})
	return out
}

// eachCell goes through the cells of all tables whose heads are engines.
func eachCell(root *element, do func(serial string, td *element)) {
	for _, table := range root.all("table") {
		var serials []string
		for _, th := range table.all("thead")[0].all("th") {
			if names := th.all("span"); len(names) > 0 && names[0].attrs["class"] == "engine-name" {
				serials = append(serials, strings.Fields(names[0].words())[0])
			}
		}
		if len(serials) == 0 {
			continue
		}
		for _, tr := range table.all("tr") {
			for i, td := range tr.all("td") {
				do(serials[i], td)
			}
		}
	}
}

// entryOf is the number of the entry that a reading names.
func entryOf(p *element) int {
	for _, a := range p.all("a") {
		if n, err := strconv.Atoi(strings.TrimPrefix(a.attrs["href"], "#e")); err == nil {
			return n
		}
	}
	return 0
}

// TestStruck: the bore taken with finger-tight caps is there, struck through, with its reason.
func TestStruck(t *testing.T) {
	root := tree(t, written(t, source(demoSet(t))))
	for _, s := range root.all("s") {
		if s.words() == "61.587" {
			if said := s.under("p").words(); !strings.Contains(said, "finger-tight") || !strings.Contains(said, "Bram Hale") {
				t.Errorf("it says %q", said)
			}
			return
		}
	}
	t.Error("61.587 does not stand struck through")
}

// TestEveryReading: what the record holds stands in the book, once.
func TestEveryReading(t *testing.T) {
	src := source(demoSet(t))
	root := tree(t, written(t, src))
	count := map[int]int{}
	for _, td := range root.all("td") {
		for _, p := range td.all("p") {
			if len(p.all("span")) > 0 && p.all("span")[0].attrs["class"] == "v" {
				count[entryOf(p)]++
			}
		}
	}
	lines := src.State.Lines()
	n := 0
	for _, l := range lines {
		if l.Kind == "reading" {
			n++
		}
	}
	for i, l := range lines {
		if want := map[bool]int{true: 1}[l.Kind == "reading"]; count[i+1] != want {
			t.Errorf("E%d, a %s, stands %d times in the tables, want %d", i+1, l.Kind, count[i+1], want)
		}
	}
	if n < 200 {
		t.Errorf("only %d readings looked at", n)
	}
}

// TestNoNames: no name of anybody is in it, nor anybody's key; every name is in the one with names.
func TestNoNames(t *testing.T) {
	src := source(demoSet(t))
	named := written(t, src)
	src.Names = false
	bare := tree(t, written(t, src)).words()
	for _, p := range src.State.People {
		if !strings.Contains(named, p.Name) {
			t.Errorf("the book with names lacks %s", p.Name)
		}
		for _, part := range append(strings.Fields(p.Name), p.Key) {
			if at := regexp.MustCompile(`\b` + part + `\b`).FindStringIndex(bare); at != nil {
				t.Errorf("the book without names has %q: …%s…", part, bare[max(0, at[0]-40):min(len(bare), at[1]+40)])
			}
		}
	}
	if strings.Contains(bare, "Lunt") {
		t.Error("the machinist is named")
	}
	if !strings.Contains(bare, "person 1") {
		t.Error("nobody stands as person 1")
	}
}

// TestColumns: however the engines are moved, the left one's column is left, and no value ever stands in the other's. Every
// row of up to three moves of both engines is tried.
func TestColumns(t *testing.T) {
	base := source(demoSet(t)).State
	for _, way := range []string{"k", "s", "kk", "ks", "sk", "ss", "kks", "ksk", "sks", "sss"} { // k: as they are, s: swapped
		t.Run(way, func(t *testing.T) {
			set := demoSet(t)
			last := slices.Compact(append(lastFitting(base, "2117"), lastFitting(base, "2123")...))
			left, right := "2117", "2123"
			for i, step := range way {
				if step == 's' {
					left, right = right, left
				}
				last = []entry.ID{moveBoth(t, set, i, left, right, last)}
			}
			checkColumns(t, source(set), left, right)
		})
	}
}

func lastFitting(st *record.State, serial string) []entry.ID {
	e, _ := st.Engine(serial)
	return []entry.ID{e.Fit.ID}
}

// moveBoth writes one entry that puts both engines on their sides.
func moveBoth(t *testing.T, set *reconcile.Set, n int, left, right string, after []entry.ID) entry.ID {
	side := func(asm, side string) jcs.Value {
		return jcs.Obj(jcs.M("asm", jcs.Str(asm)), jcs.M("side", jcs.Str(side)))
	}
	first, err := entry.Read(demo.Lines()[0])
	if err != nil {
		t.Fatal(err)
	}
	log := entry.LogID(fmt.Sprintf("%032x", 1000+n))
	e, err := entry.Compose(entry.Entry{V: 1, Job: first.Job, Log: log, Seq: 1, At: fmt.Sprintf("2027-05-%02dT09:00:00+00:00", n+1), By: "maud", Kind: "fitting", After: after,
		Body: jcs.Obj(jcs.M("moves", jcs.Arr(side(left, "left"), side(right, "right"))), jcs.M("day", jcs.Str(fmt.Sprintf("2027-05-%02d", n+1))))})
	if err != nil {
		t.Fatal(err)
	}
	if e.Bad != "" {
		t.Fatal(e.Bad)
	}
	set.AddEntry(e)
	return e.ID
}

func checkColumns(t *testing.T, src Source, left, right string) {
	root := tree(t, written(t, src))
	lines := src.State.Lines()
	asm := map[entry.ID]string{}
	for _, p := range src.State.Places {
		for _, r := range p.Readings {
			asm[r.ID] = r.Asm
		}
	}
	tables, cells := 0, 0
	for _, table := range root.all("table") {
		var heads []string
		for _, th := range table.all("thead")[0].all("th") {
			if names := th.all("span"); len(names) > 0 && names[0].attrs["class"] == "engine-name" {
				heads = append(heads, th.words())
			}
		}
		if len(heads) == 2 {
			tables++
			if !strings.HasPrefix(heads[0], left) || !strings.Contains(heads[0], "left") || !strings.HasPrefix(heads[1], right) || !strings.Contains(heads[1], "right") {
				t.Fatalf("columns are %q; %s is left, %s right", heads, left, right)
			}
		}
	}
	eachCell(root, func(serial string, td *element) {
		for _, p := range td.all("p") {
			cells++
			if of := asm[lines[entryOf(p)-1].ID]; of != serial {
				t.Fatalf("E%d of %s stands under %s", entryOf(p), of, serial)
			}
		}
	})
	if tables < 20 || cells < 200 {
		t.Fatalf("only %d tables and %d readings looked at", tables, cells)
	}
}

// TestOneEngine: a book of one engine has nothing measured of the other.
func TestOneEngine(t *testing.T) {
	src := source(demoSet(t))
	src.Asm = "2123"
	root := tree(t, written(t, src))
	eachCell(root, func(serial string, _ *element) {
		if serial != "2123" {
			t.Fatalf("there is a column of %s", serial)
		}
	})
	src.Asm = "2999"
	if err := Write(&bytes.Buffer{}, src); err != ErrNoEngine {
		t.Errorf("a book of no engine: %v", err)
	}
}

// TestHostile: what somebody types cannot become part of the page or its style sheet.
func TestHostile(t *testing.T) {
	const evil = `</style><script>alert(1)</script><img src=x onerror=alert(1)>"}'; @import url(http://x)`
	src := source(demoSet(t))
	src.State.Job.Title, src.State.Job.Vehicle = evil, evil
	src.State.Notes[0].Text, src.State.Photos[0].Caption = evil, evil
	src.State.Numbering.End1 = evil
	for i := range src.State.Engines {
		src.State.Engines[i].Name = evil
	}
	page := written(t, src)
	root := tree(t, page)
	if len(root.all("script")) > 0 || strings.Contains(page, "<script") || strings.Contains(page, "<img src=x") {
		t.Error("what was typed became part of the page")
	}
	for _, style := range root.all("style") {
		if strings.Contains(style.words(), `"}'`) {
			t.Error("what was typed ends a string of the style sheet")
		}
	}
	if quoted("a\"\\\n<") != `"a\000022\00005c\00000a\00003c"` {
		t.Errorf("quoted = %s", quoted("a\"\\\n<"))
	}
}

// TestPictureFails: a picture that cannot be read makes no book, rather than one that looks whole.
func TestPictureFails(t *testing.T) {
	src := source(demoSet(t))
	src.Picture = func(string) ([]byte, error) { return nil, fs.ErrPermission }
	if err := Write(&bytes.Buffer{}, src); err == nil || !strings.Contains(err.Error(), "picture") {
		t.Errorf("Write = %v", err)
	}
	src.Picture = func(string) ([]byte, error) { return nil, nil }
	if page := written(t, src); !strings.Contains(page, "The picture has not arrived.") {
		t.Error("a picture that is not here is not spoken of")
	}
}

// TestOrder: what is open comes before everything measured, the appendices last; the contents follow the sections.
func TestOrder(t *testing.T) {
	root := tree(t, written(t, source(demoSet(t))))
	var sections, contents []string
	for _, s := range root.all("section") {
		sections = append(sections, s.attrs["id"])
	}
	for _, li := range root.all("nav")[0].all("li") {
		if li.under("li") == nil {
			contents = append(contents, strings.TrimPrefix(li.all("a")[0].attrs["href"], "#"))
		}
	}
	if !slices.Equal(sections, contents) {
		t.Errorf("sections %v, contents %v", sections, contents)
	}
	if sections[1] != "open" || sections[len(sections)-2] != "working" || sections[len(sections)-1] != "entries" {
		t.Errorf("sections in this order: %v", sections)
	}
}

func TestNatural(t *testing.T) {
	want := []string{"cyl 1", "cyl 2", "cyl 10", "cyl 10 a", "valve E2", "valve E10"}
	got := slices.Clone(want)
	slices.Reverse(got)
	slices.SortFunc(got, natural)
	if !slices.Equal(got, want) {
		t.Errorf("natural order %v", got)
	}
}

// TestOpenIsToday: what is open in the book is what Today shows, line by line; with every sheet begun and nothing else to do,
// the group is not called empty.
func TestOpenIsToday(t *testing.T) {
	src := source(demoSet(t))
	for i := range src.State.Asks {
		src.State.Asks[i].Answered = true
	}
	lead, err := view.View(src.State, src.Results, "lead", jcs.Null())
	if err != nil {
		t.Fatal(err)
	}
	var open *element
	for _, s := range tree(t, written(t, src)).all("section") {
		if s.attrs["id"] == "open" {
			open = s
		}
	}
	var want, got []string
	for _, g := range lead.Get("groups").Items() {
		for _, l := range g.Get("lines").Items() {
			want = append(want, l.Get("title").Text()+": "+l.Get("word").Text())
		}
	}
	for _, li := range open.all("li") {
		title, rest, _ := strings.Cut(li.words(), ": ")
		word, _, _ := strings.Cut(rest, ".")
		got = append(got, title+": "+word)
	}
	if len(want) < 10 || len(got) < len(want) {
		t.Fatalf("Today has %d lines, the book %d", len(want), len(got))
	}
	for i, w := range want {
		if !strings.HasPrefix(w, got[i]) && !strings.HasPrefix(got[i], w) {
			t.Errorf("line %d is %q on the screen and %q in the book", i, w, got[i])
		}
	}
	if now := open.words(); strings.Contains(now, "Can be done nowNothing") || strings.Contains(now, "Can be done now Nothing") {
		t.Error("the book says that nothing can be done now")
	}
}

// TestLimitByPhoto: a limit that stands on a photo of the printed page names it, beside its words.
func TestLimitByPhoto(t *testing.T) {
	src := source(demoSet(t))
	photo := src.State.Photos[0].ID
	src.State.Limits[0].Photos = []entry.ID{photo}
	at := slices.IndexFunc(src.State.Lines(), func(l record.Line) bool { return l.ID == photo }) + 1
	root := tree(t, written(t, src))
	for _, td := range root.all("td") {
		if strings.Contains(td.words(), "photo of the page") && entryOf(td) == at {
			return
		}
	}
	t.Error("no limit names the photo of its page")
}
