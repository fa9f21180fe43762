package archive

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// Archive is an archive that has been checked whole.
type Archive struct {
	Manifest Manifest
	Entries  []entry.Entry // in timeline order
	photos   []*zip.File   // by name
}

// Photos are the hashes of the photos, in order.
func (a *Archive) Photos() []string {
	out := make([]string, len(a.photos))
	for i, f := range a.photos {
		out[i], _ = photoSHA(f.Name) // Open let only photos in here
	}
	return out
}

// Open reads an archive and checks all of it: the list of files, every check sum, every entry and the digests over them. It
// holds the entries in memory and leaves the photos where they are. Errors: Broken.
func Open(r io.ReaderAt, size int64) (*Archive, error) {
	z, err := zip.NewReader(r, size)
	if err != nil {
		return nil, Broken{"it is not a zip file, or its end is missing"}
	}
	in := &opening{left: MaxTotal, files: map[string]*zip.File{}}
	if err := in.list(z.File); err != nil {
		return nil, err
	}
	a := &Archive{}
	if a.Manifest, err = in.manifest(); err != nil {
		return nil, err
	}
	if err := in.compare(a); err != nil {
		return nil, err
	}
	return a, in.entries(a)
}

// opening is an archive half checked.
type opening struct {
	files map[string]*zip.File
	lines []byte // entries.ndjson
	left  int64  // bytes that may still come out
}

// list takes the names in. Folders count for nothing; any other name that is not on the closed list is refused.
func (o *opening) list(files []*zip.File) error {
	if len(files) > MaxMembers {
		return Broken{"it holds more files than any archive of this tool"}
	}
	for _, f := range files {
		if strings.HasSuffix(f.Name, "/") && f.UncompressedSize64 == 0 && (f.Name == photosFolder || f.Name == tablesFolder) {
			continue
		}
		if !belongs(f.Name) {
			return Broken{fmt.Sprintf("it holds a file that does not belong in it, %q", short(f.Name))}
		}
		if o.files[f.Name] != nil {
			return Broken{fmt.Sprintf("%s is in it twice", f.Name)}
		}
		o.files[f.Name] = f
	}
	return nil
}

// short keeps a foreign name from filling a screen.
func short(name string) string {
	const most = 80
	if len(name) > most {
		return name[:most] + "…"
	}
	return name
}

// read unpacks one file and gives its bytes to w. What comes out is counted, not what the index claims.
func (o *opening) read(name string, w io.Writer, most int64) (int64, error) {
	f, ok := o.files[name]
	if !ok {
		return 0, Broken{name + " is missing"}
	}
	r, err := f.Open()
	if err != nil {
		return 0, Broken{name + " cannot be unpacked"}
	}
	defer func() { _ = r.Close() }() // only read
	most = min(most, o.left)
	n, err := io.Copy(w, io.LimitReader(r, most+1))
	o.left -= n
	if n > most {
		return n, Broken{name + " is larger than anything that this tool writes"}
	}
	if err != nil {
		return n, Broken{name + " is damaged"}
	}
	return n, nil
}

func (o *opening) manifest() (Manifest, error) {
	var text bytes.Buffer
	if _, err := o.read(manifestName, &text, MaxManifest); err != nil {
		return Manifest{}, err
	}
	var m Manifest
	if err := json.Unmarshal(text.Bytes(), &m); err != nil || m.Format != Format {
		return m, Broken{"its manifest is not one of this tool"}
	}
	if m.Version > Version {
		return m, Broken{"it was written by a newer version of this tool: take it in with that one"}
	}
	if m.Version < 1 {
		return m, Broken{"its manifest names no version"}
	}
	return m, nil
}

// compare reads every file and compares it with its line in the manifest; there is no file without a line and no line
// without a file.
func (o *opening) compare(a *Archive) error {
	seen := map[string]bool{manifestName: true}
	for _, line := range a.Manifest.Files {
		if seen[line.Name] {
			return Broken{fmt.Sprintf("its manifest names %q twice", short(line.Name))}
		}
		seen[line.Name] = true
		if err := o.compareOne(line, a); err != nil {
			return err
		}
	}
	for name := range o.files {
		if !seen[name] {
			return Broken{name + " is not in its manifest"}
		}
	}
	return nil
}

func (o *opening) compareOne(line FileLine, a *Archive) error {
	sum := sha256.New()
	var to io.Writer = sum
	var text bytes.Buffer
	most := int64(MaxText)
	sha, isPhoto := photoSHA(line.Name)
	switch {
	case isPhoto:
		most = maxPhoto
	case line.Name == entriesName:
		to = io.MultiWriter(sum, &text)
	}
	n, err := o.read(line.Name, to, most)
	if err != nil {
		return err
	}
	got := hex.EncodeToString(sum.Sum(nil))
	if n != line.Size || got != line.SHA || isPhoto && got != sha {
		return Broken{line.Name + " is not the file that the manifest names: it was changed or damaged"}
	}
	if isPhoto {
		a.photos = append(a.photos, o.files[line.Name])
	}
	if line.Name == entriesName {
		o.lines = text.Bytes()
	}
	return nil
}

// entries reads every line as an exchange would, and compares what they come to with the manifest.
func (o *opening) entries(a *Archive) error {
	if o.files[entriesName] == nil {
		return Broken{entriesName + " is missing"}
	}
	var ids []store.Digest
	rest := o.lines
	for n := 1; len(rest) > 0; n++ {
		line, more, whole := bytes.Cut(rest, []byte("\n"))
		if !whole {
			return Broken{entriesName + " is cut off in its last line"}
		}
		rest = more
		e, err := entry.Read(line)
		if err != nil {
			return Broken{fmt.Sprintf("line %d of %s: %v", n, entriesName, err)}
		}
		if e.Job != a.Manifest.Job {
			return Broken{fmt.Sprintf("line %d of %s is of another job", n, entriesName)}
		}
		id, err := store.IDBytes(e.ID)
		if err != nil {
			return err
		}
		a.Entries, ids = append(a.Entries, e), append(ids, id)
	}
	sum, running := digests(ids)
	want := a.Manifest.Entries
	if len(ids) != want.Count || sum.String() != want.Sum || running.String() != want.Running {
		return Broken{"its entries are not the ones that the manifest counts"}
	}
	return nil
}
