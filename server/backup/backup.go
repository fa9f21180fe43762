// Package backup packs a data folder into one file and unpacks it again.
//
// The model: a backup is a plain .zip, not compressed, of the database as one moment saw it and of the photo folder, with a
// list of check sums. The database comes as a file of its own that nobody uses: a copy of a database in use is not a backup.
// Photos come after it; they are only ever added, so every photo that the database knows is there. A backup is read back
// and compared before it gets its name, and compared again before anything of it is unpacked.
//
// It is for this server's own kin: the database holds hashes of secrets and the key that signs tokens. What leaves for good
// and for anybody is an archive (package archive).
package backup

import (
	"archive/zip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// Format and Version stand in every list.
const (
	Format  = "witnessmark backup"
	Version = 1
)

const (
	listName     = "backup.json"
	databaseName = "witnessmark.db"
	photosFolder = "photos"
)

// Limits on what is unpacked. Files are stored as they are, so none can unfold to more than the backup's own size.
const (
	maxList    = 256 << 20 // bytes of backup.json
	maxMembers = 10_000_000
)

// Database says where the database is.
const (
	Inside    = "inside"     // witnessmark.db in this file
	Elsewhere = "postgresql" // a server of its own, copied by its own tools
)

// Broken is why a backup cannot be used, in words for whoever looks after the server.
type Broken struct{ Why string }

func (b Broken) Error() string {
	return "this backup cannot be used: " + b.Why + "; nothing was changed"
}

// List is backup.json.
type List struct {
	Format   string     `json:"format"`
	Version  int        `json:"version"`
	Made     string     `json:"made"` // RFC 3339, UTC
	Database string     `json:"database"`
	Jobs     []Job      `json:"jobs"`
	Files    []FileLine `json:"files"`
}

// Job is what the copied database holds of a job.
type Job struct {
	Workspace store.WorkspaceID `json:"workspace"`
	Job       entry.JobID       `json:"job"`
	Title     string            `json:"title"`
	Entries   int64             `json:"entries"`
	Sum       string            `json:"sum"`
	Running   string            `json:"running"`
}

// FileLine is one file of the backup.
type FileLine struct {
	Name string `json:"name"`
	Size int64  `json:"size"`
	SHA  string `json:"sha256"`
}

// photo is the name of a file of the photo folder: <workspace>/<first two>/<hash>, with .view for the derivative.
var photo = regexp.MustCompile(`^photos/[0-9a-f]{32}/[0-9a-f]{2}/([0-9a-f]{64})(\.view)?$`)

// Photo is where a photo of the folder stands in a backup.
func Photo(ws store.WorkspaceID, sha string, view bool) string {
	name := path.Join(photosFolder, string(ws), sha[:2], sha)
	if view {
		name += ".view"
	}
	return name
}

// Source is what is packed.
type Source struct {
	Database string // file of the copied database; "" = it is elsewhere
	Data     string // data folder, for its photos
	Jobs     []Job
	At       time.Time
}

// Write packs a source. Spoiled are the photos whose bytes on the disk are no longer what their name says; they are packed
// as they are.
func Write(w io.Writer, src Source) (list List, spoiled []string, err error) {
	list = List{Format: Format, Version: Version, Made: src.At.UTC().Format(time.RFC3339), Database: Elsewhere, Jobs: src.Jobs, Files: []FileLine{}}
	z := zip.NewWriter(w)
	if src.Database != "" {
		list.Database = Inside
		line, err := pack(z, src.Database, databaseName, src.At)
		if err != nil {
			return list, nil, err
		}
		list.Files = append(list.Files, line)
	}
	names, err := photoFiles(src.Data)
	if err != nil {
		return list, nil, err
	}
	for _, name := range names {
		line, err := pack(z, filepath.Join(src.Data, filepath.FromSlash(name)), name, src.At)
		if err != nil {
			return list, nil, err
		}
		if m := photo.FindStringSubmatch(name); m[2] == "" && m[1] != line.SHA {
			spoiled = append(spoiled, name)
		}
		list.Files = append(list.Files, line)
	}
	return list, spoiled, finish(z, list, src.At)
}

// finish writes the list last: a file that was cut has none.
func finish(z *zip.Writer, list List, at time.Time) error {
	text, err := json.MarshalIndent(list, "", "  ")
	if err != nil {
		return err
	}
	out, err := z.CreateHeader(&zip.FileHeader{Name: listName, Method: zip.Store, Modified: at})
	if err != nil {
		return err
	}
	if _, err := out.Write(append(text, '\n')); err != nil {
		return err
	}
	return z.Close()
}

func pack(z *zip.Writer, file, name string, at time.Time) (FileLine, error) {
	f, err := os.Open(file)
	if err != nil {
		return FileLine{}, fmt.Errorf("pack %s: %w", name, err)
	}
	sum := sha256.New()
	out, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store, Modified: at})
	var n int64
	if err == nil {
		n, err = io.Copy(io.MultiWriter(out, sum), f)
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return FileLine{}, fmt.Errorf("pack %s: %w", name, err)
	}
	return FileLine{name, n, hex.EncodeToString(sum.Sum(nil))}, nil
}

// photoFiles are the whole files of the photo folder, in order; what is still arriving the phone sends again.
func photoFiles(data string) ([]string, error) {
	var names []string
	err := filepath.WalkDir(filepath.Join(data, photosFolder), func(file string, d fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil // no photo yet, or one that has just got its name
		}
		if err != nil || d.IsDir() {
			return err
		}
		rel, err := filepath.Rel(data, file)
		if name := filepath.ToSlash(rel); err == nil && photo.MatchString(name) {
			names = append(names, name)
		}
		return err
	})
	slices.Sort(names)
	return names, err
}

// Backup is a backup that has been compared with its list.
type Backup struct {
	List  List
	files map[string]*zip.File
}

// Open reads a backup and compares every file with the list. Errors: Broken.
func Open(r io.ReaderAt, size int64) (*Backup, error) {
	z, err := zip.NewReader(r, size)
	if err != nil || len(z.File) > maxMembers {
		return nil, Broken{"it is not a backup, or its end is missing"}
	}
	b := &Backup{files: map[string]*zip.File{}}
	for _, f := range z.File {
		if f.Name != listName && f.Name != databaseName && !photo.MatchString(f.Name) || f.Method != zip.Store || b.files[f.Name] != nil {
			return nil, Broken{fmt.Sprintf("it holds a file that does not belong in it, %q", f.Name[:min(len(f.Name), 80)])}
		}
		b.files[f.Name] = f
	}
	if err := b.readList(); err != nil {
		return nil, err
	}
	return b, b.compare()
}

func (b *Backup) readList() error {
	var text strings.Builder
	if _, err := b.copy(listName, io.Discard, &text, maxList); err != nil {
		return err
	}
	if err := json.Unmarshal([]byte(text.String()), &b.List); err != nil || b.List.Format != Format {
		return Broken{"its list is not one of this tool"}
	}
	if b.List.Version != Version {
		return Broken{"it was written by another version of this tool: use that one"}
	}
	return nil
}

// compare reads every file once.
func (b *Backup) compare() error {
	for _, line := range b.List.Files {
		sum := sha256.New()
		n, err := b.copy(line.Name, sum, io.Discard, line.Size)
		if err != nil {
			return err
		}
		if n != line.Size || hex.EncodeToString(sum.Sum(nil)) != line.SHA {
			return Broken{line.Name + " is not the file that the list names: it was changed or damaged"}
		}
	}
	if len(b.files) != len(b.List.Files)+1 {
		return Broken{"it holds files that are not in its list"}
	}
	if _, ok := b.files[databaseName]; ok != (b.List.Database == Inside) {
		return Broken{"its list does not say where the database is"}
	}
	return nil
}

// copy gives a file's bytes to two writers, of at most so many bytes.
func (b *Backup) copy(name string, to, also io.Writer, most int64) (int64, error) {
	f, ok := b.files[name]
	if !ok {
		return 0, Broken{fmt.Sprintf("%q is missing", name)}
	}
	r, err := f.Open()
	if err != nil {
		return 0, Broken{name + " cannot be unpacked"}
	}
	defer func() { _ = r.Close() }() // only read
	n, err := io.Copy(io.MultiWriter(to, also), io.LimitReader(r, most+1))
	if errors.Is(err, zip.ErrChecksum) || errors.Is(err, zip.ErrFormat) || errors.Is(err, io.ErrUnexpectedEOF) || n > most {
		return n, Broken{name + " is damaged"}
	}
	return n, err
}

// Unpack puts the files into a folder that must be empty or missing, photos first: a folder without a database is one that
// was not finished. On an error it takes away what it wrote.
func (b *Backup) Unpack(data string) (err error) {
	if err := empty(data); err != nil {
		return err
	}
	if err := os.MkdirAll(data, 0o700); err != nil {
		return fmt.Errorf("unpack backup: %w", err)
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, Clear(data))
		}
	}()
	names := make([]string, 0, len(b.files))
	for name := range b.files {
		if name != listName && name != databaseName {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	if b.List.Database == Inside {
		names = append(names, databaseName)
	}
	for _, name := range names {
		if err := b.unpackOne(name, filepath.Join(data, filepath.FromSlash(name))); err != nil {
			return fmt.Errorf("unpack %s: %w", name, err)
		}
	}
	return nil
}

func (b *Backup) unpackOne(name, file string) error {
	if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
		return err
	}
	f, err := os.OpenFile(file, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = b.copy(name, f, io.Discard, int64(b.files[name].UncompressedSize64))
	return errors.Join(err, f.Sync(), f.Close())
}

// empty says whether a folder is missing or has nothing in it.
func empty(data string) error {
	there, err := os.ReadDir(data)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("look into the folder: %w", err)
	}
	if len(there) > 0 {
		return fmt.Errorf("%s is not empty: a backup goes only into an empty folder, so that nothing is ever overwritten", data)
	}
	return nil
}

// Clear empties a folder that Unpack filled.
func Clear(data string) error {
	there, err := os.ReadDir(data)
	for _, d := range there {
		err = errors.Join(err, os.RemoveAll(filepath.Join(data, d.Name())))
	}
	return err
}
