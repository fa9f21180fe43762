package archive

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"witnessmark/server/demo"
	"witnessmark/server/numbers"
	"witnessmark/server/store"
	"witnessmark/sync/entry"
	files "witnessmark/testdata/demo"
)

// demoSource is the invented workshop as a job to be written.
func demoSource(t testing.TB) Source {
	t.Helper()
	story, err := demo.Load(files.Files)
	if err != nil {
		t.Fatal(err)
	}
	src := Source{Job: story.Job, Photo: func(sha string) ([]byte, string, error) {
		data, ok := story.Photos[sha]
		if !ok {
			return nil, "", store.ErrNotFound
		}
		return data, "image/jpeg", nil
	}}
	for _, l := range story.Logs {
		for _, e := range l.Entries {
			src.Entries = append(src.Entries, e.Raw)
		}
	}
	return src
}

// small is a job of a few entries, two of them in forms that no phone of ours writes.
func small() Source {
	const job = "0123456789abcdef0123456789abcdef"
	one := `{"at":"2031-04-12T10:22:31+01:00","body":{"text":"drained"},"by":"idris","job":"` + job + `","kind":"note","log":"abcdefabcdefabcdefabcdefabcdefab","seq":1,"v":1}`
	odd := ` {"v":1, "seq":1,"log":"00000000000000000000000000000001","kind":"hologram", "job":"` + job + `","body":{"x":1.50}} ` + "\r"
	return Source{Job: job, Entries: [][]byte{[]byte(one), []byte(odd)}, Photo: func(string) ([]byte, string, error) { return nil, "", store.ErrNotFound }}
}

func wrote(t testing.TB, src Source) []byte {
	t.Helper()
	var out bytes.Buffer
	if _, err := Write(&out, src); err != nil {
		t.Fatalf("Write: %v", err)
	}
	return out.Bytes()
}

func open(b []byte) (*Archive, error) { return Open(bytes.NewReader(b), int64(len(b))) }

func unpacked(t testing.TB, b []byte) map[string][]byte {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]byte{}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if out[f.Name], err = io.ReadAll(r); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// TestWrite: the same job gives the same bytes; every line is as it was; photos are whole; a spreadsheet reads the tables.
func TestWrite(t *testing.T) {
	src := demoSource(t)
	b := wrote(t, src)
	if again := wrote(t, src); !bytes.Equal(b, again) {
		t.Error("the same job gave other bytes")
	}
	a, err := open(b)
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Entries) != len(src.Entries) || len(a.Photos()) != 2 || a.Manifest.Title != "Railcar No. 4, the Heron" || len(a.Manifest.Missing) != 0 {
		t.Fatalf("%d entries, photos %v, %+v", len(a.Entries), a.Photos(), a.Manifest)
	}
	for i, e := range a.Entries {
		if !bytes.Equal(e.Raw, src.Entries[i]) {
			t.Fatalf("entry %d is other bytes", i)
		}
	}
	in := unpacked(t, b)
	if sum := sha256.Sum256(in[recordName]); hex.EncodeToString(sum[:]) != a.Manifest.Record.Digest {
		t.Error("record.json is not what its digest names")
	}
	for name, text := range in {
		if strings.HasPrefix(name, tablesFolder) {
			least := 2
			if name == tablesFolder+"snags.csv" {
				least = 1 // the demo has no snag: only the head
			}
			if rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll(); err != nil || len(rows) < least || !bytes.Contains(text, []byte("\r\n")) {
				t.Errorf("%s: %d rows, %v", name, len(rows), err)
			}
		}
	}
}

// TestTables: a value stands as it was written beside its SI value, and nothing is lost by a comma or a quote.
func TestTables(t *testing.T) {
	in := unpacked(t, wrote(t, demoSource(t)))
	rows, err := csv.NewReader(bytes.NewReader(in["csv/readings.csv"])).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := func(head string) int {
		i := slices.Index(rows[0], head)
		if i < 0 {
			t.Fatalf("no column %q in %q", head, rows[0])
		}
		return i
	}
	found := false
	for _, r := range rows[1:] {
		if numbers.Original(r[at("value as written")]) == "307.10" {
			found = true
			got := []string{r[at("engine")], r[at("value unit as written")], r[at("least, length / m")], r[at("read by")]}
			if diff := cmp.Diff([]string{"2117", "mm", "0.3071", "Maud Ferris"}, got); diff != "" {
				t.Error(diff)
			}
		}
	}
	if !found {
		t.Error("the chain's length is not in the table as it was written")
	}
}

// TestNoNames: people are left out of the tables and nowhere else.
func TestNoNames(t *testing.T) {
	src := demoSource(t)
	with := unpacked(t, wrote(t, src))
	src.NoNames = true
	without := unpacked(t, wrote(t, src))
	for name, text := range without {
		if strings.HasPrefix(name, tablesFolder) {
			if bytes.Contains(text, []byte("maud")) || bytes.Contains(text, []byte("Maud Ferris")) {
				t.Errorf("%s names people", name)
			}
		}
	}
	if !bytes.Contains(with["csv/readings.csv"], []byte("Maud Ferris")) {
		t.Error("the tables with names name nobody")
	}
	if !bytes.Equal(with[entriesName], without[entriesName]) || !bytes.Equal(with[recordName], without[recordName]) {
		t.Error("the entries or the record are others without names")
	}
}

// TestOddEntries: what is not canonical, of an unknown kind, or ends with a return, is kept byte for byte (T43).
func TestOddEntries(t *testing.T) {
	src := small()
	a, err := open(wrote(t, src))
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range a.Entries {
		if !bytes.Equal(e.Raw, src.Entries[i]) {
			t.Errorf("entry %d = %q, want %q", i, e.Raw, src.Entries[i])
		}
	}
}

// TestMissingPhotos: a photo that has not arrived or that the disk has spoiled does not keep the rest in.
func TestMissingPhotos(t *testing.T) {
	src := demoSource(t)
	whole := src.Photo
	n := 0
	src.Photo = func(sha string) ([]byte, string, error) {
		if n++; n == 1 {
			return nil, "", store.ErrNotFound
		}
		data, typ, err := whole(sha)
		return append([]byte("x"), data...), typ, err
	}
	a, err := open(wrote(t, src))
	if err != nil || len(a.Manifest.Missing) != 2 || len(a.Photos()) != 0 {
		t.Errorf("%v, missing %v", err, a.Manifest.Missing)
	}
}

// TestDescribed: schema/archive.md lists the members that are written, and every field of the manifest.
func TestDescribed(t *testing.T) {
	page, err := os.ReadFile("../../schema/archive.md")
	if err != nil {
		t.Fatal(err)
	}
	members, _, _ := strings.Cut(string(page), "## manifest.json")
	var described []string
	for _, m := range regexp.MustCompile("(?m)^\\| `([^`]+)` \\|").FindAllStringSubmatch(members, -1) {
		described = append(described, m[1])
	}
	var got []string
	for name := range unpacked(t, wrote(t, demoSource(t))) {
		if _, ok := photoSHA(name); ok {
			name = "photos/<sha256>.<ext>"
		}
		got = append(got, name)
	}
	slices.Sort(got)
	if diff := cmp.Diff(described, slices.Compact(got)); diff != "" {
		t.Errorf("the page (-) and the writer (+):\n%s", diff)
	}
	text, err := json.Marshal(Manifest{Missing: []Lack{{}}, Files: []FileLine{{}}})
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range regexp.MustCompile(`"([a-z0-9_]+)":`).FindAllStringSubmatch(string(text), -1) {
		if !strings.Contains(string(page), "`"+key[1]+"`") {
			t.Errorf("the page does not name %s", key[1])
		}
	}
	for typ, ext := range extensions {
		if !strings.Contains(string(page), strings.TrimPrefix(ext, ".")) {
			t.Errorf("the page does not name the ending of %s", typ)
		}
	}
}

// repacked is an archive packed again with other members, as somebody else's zip program might.
func repacked(t testing.TB, in map[string][]byte, method uint16) []byte {
	t.Helper()
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.BestCompression) })
	names := make([]string, 0, len(in))
	for name := range in {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		w, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: method})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(in[name]); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// signed writes the manifest anew for what is in it, as somebody would who wants to pass something off.
func signed(t *testing.T, in map[string][]byte, change func(*Manifest)) {
	t.Helper()
	var m Manifest
	if err := json.Unmarshal(in[manifestName], &m); err != nil {
		t.Fatal(err)
	}
	m.Files = nil
	for name, data := range in {
		if name != manifestName {
			m.Files = append(m.Files, FileLine{name, int64(len(data)), hashOf(data)})
		}
	}
	change(&m)
	text, err := json.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	in[manifestName] = text
}

// TestPackedAgain: another program may compress the members and add folders.
func TestPackedAgain(t *testing.T) {
	src := small()
	in := unpacked(t, wrote(t, src))
	in["photos/"], in["csv/"] = nil, nil
	a, err := open(repacked(t, in, zip.Deflate))
	if err != nil || len(a.Entries) != len(src.Entries) {
		t.Fatalf("packed again: %v", err)
	}
}

// TestBroken: each fault is found before anything is used, and said in words.
func TestBroken(t *testing.T) {
	none := func(*Manifest) {}
	sha := strings.Repeat("ab", 32)
	cases := []struct {
		name   string
		damage func(t *testing.T, in map[string][]byte)
		says   string
	}{
		{"no manifest", func(_ *testing.T, in map[string][]byte) { delete(in, manifestName) }, "manifest.json is missing"},
		{"no entries", func(t *testing.T, in map[string][]byte) { delete(in, entriesName); signed(t, in, none) }, "entries.ndjson is missing"},
		{"a file is gone", func(_ *testing.T, in map[string][]byte) { delete(in, recordName) }, "record.json is missing"},
		{"a file too many", func(_ *testing.T, in map[string][]byte) { in["csv/more.csv"] = nil }, "csv/more.csv is not in its manifest"},
		{"other bytes", func(_ *testing.T, in map[string][]byte) { in[recordName][5] ^= 1 }, "record.json is not the file"},
		{"path outside", func(_ *testing.T, in map[string][]byte) { in["../evil"] = nil }, "does not belong"},
		{"path from the root", func(_ *testing.T, in map[string][]byte) { in["/etc/passwd"] = nil }, "does not belong"},
		{"backslashes", func(_ *testing.T, in map[string][]byte) { in[`photos\..\x`] = nil }, "does not belong"},
		{"a photo with a path", func(_ *testing.T, in map[string][]byte) { in["photos/../"+sha+".jpg"] = nil }, "does not belong"},
		{"a program", func(_ *testing.T, in map[string][]byte) { in["photos/"+sha+".exe"] = nil }, "does not belong"},
		{"another tool's", func(t *testing.T, in map[string][]byte) { signed(t, in, func(m *Manifest) { m.Format = "x" }) }, "not one of this tool"},
		{"newer", func(t *testing.T, in map[string][]byte) { signed(t, in, func(m *Manifest) { m.Version = 2 }) }, "newer version"},
		{"no version", func(t *testing.T, in map[string][]byte) { signed(t, in, func(m *Manifest) { m.Version = 0 }) }, "no version"},
		{"named twice", func(t *testing.T, in map[string][]byte) {
			signed(t, in, func(m *Manifest) { m.Files = append(m.Files, m.Files[0]) })
		}, "twice"},
		{"a photo of other bytes", func(t *testing.T, in map[string][]byte) { in["photos/"+sha+".jpg"] = []byte("x"); signed(t, in, none) }, "is not the file"},
		{"a line is gone", func(t *testing.T, in map[string][]byte) {
			_, in[entriesName], _ = bytes.Cut(in[entriesName], []byte("\n"))
			signed(t, in, none)
		}, "not the ones that the manifest counts"},
		{"a line twice", func(t *testing.T, in map[string][]byte) {
			in[entriesName] = append(in[entriesName], in[entriesName]...)
			signed(t, in, none)
		}, "not the ones that the manifest counts"},
		{"cut off", func(t *testing.T, in map[string][]byte) {
			in[entriesName] = in[entriesName][:len(in[entriesName])-1]
			signed(t, in, none)
		}, "cut off"},
		{"not an entry", func(t *testing.T, in map[string][]byte) { in[entriesName] = []byte("<html>\n"); signed(t, in, none) }, "line 1"},
		{"another job's", func(t *testing.T, in map[string][]byte) {
			signed(t, in, func(m *Manifest) { m.Job = entry.JobID(strings.Repeat("f", 32)) })
		}, "of another job"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			in := unpacked(t, wrote(t, small()))
			c.damage(t, in)
			_, err := open(repacked(t, in, zip.Store))
			var broken Broken
			if !errors.As(err, &broken) || !strings.Contains(err.Error(), c.says) || !strings.Contains(err.Error(), "nothing was changed") {
				t.Errorf("= %v, want words with %q", err, c.says)
			}
		})
	}
	for _, b := range [][]byte{nil, []byte("PK"), wrote(t, small())[:500]} {
		if _, err := open(b); !errors.As(err, new(Broken)) {
			t.Errorf("%d bytes: %v", len(b), err)
		}
	}
}

// TestTwice: two members of one name.
func TestTwice(t *testing.T) {
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for range 2 {
		if _, err := z.Create(recordName); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := open(out.Bytes()); err == nil || !strings.Contains(err.Error(), "twice") {
		t.Errorf("= %v", err)
	}
}

// TestBomb: a few kilobytes that unfold to more than a photo may have are given up at the limit.
func TestBomb(t *testing.T) {
	in := unpacked(t, wrote(t, small()))
	huge := make([]byte, maxPhoto+1)
	name := photoName(hashOf(huge), "image/jpeg")
	in[name] = huge
	signed(t, in, func(*Manifest) {})
	b := repacked(t, in, zip.Deflate)
	if len(b) > 1<<20 {
		t.Fatalf("the bomb has %d bytes", len(b))
	}
	if _, err := open(b); err == nil || !strings.Contains(err.Error(), "larger than anything") {
		t.Errorf("= %v", err)
	}
}

// TestTotal: many files within their own limits still have one limit together.
func TestTotal(t *testing.T) {
	b := wrote(t, small())
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	o := &opening{left: 100, files: map[string]*zip.File{}}
	if err := o.list(z.File); err != nil {
		t.Fatal(err)
	}
	if _, err := o.read(readmeName, io.Discard, MaxText); err == nil || o.left > 0 {
		t.Errorf("= %v with %d bytes left", err, o.left)
	}
}

func FuzzOpen(f *testing.F) {
	b := wrote(f, small())
	in := unpacked(f, b)
	f.Add(b)
	f.Add(repacked(f, in, zip.Deflate))
	f.Add(b[:len(b)/2])
	in["../evil"] = []byte("x")
	f.Add(repacked(f, in, zip.Store))
	f.Fuzz(func(t *testing.T, b []byte) {
		a, err := open(b)
		if err != nil {
			if !errors.As(err, new(Broken)) {
				t.Fatalf("not said in words: %v", err)
			}
			return
		}
		// What is taken to be whole can be written again, and says the same.
		src := Source{Job: a.Manifest.Job, Photo: func(string) ([]byte, string, error) { return nil, "", store.ErrNotFound }}
		for _, e := range a.Entries {
			src.Entries = append(src.Entries, e.Raw)
		}
		again, err := open(wrote(t, src))
		if err != nil || again.Manifest.Entries != a.Manifest.Entries {
			t.Fatalf("written again: %v", err)
		}
	})
}
