package archive

import (
	"archive/zip"
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash/crc32"
	"io"
	"slices"
	"strings"

	"witnessmark/server/numbers"
	"witnessmark/server/store"
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// stamp is the date of every file as zip writes it, 1 January 1980, where its calendar begins: so it says nothing. plainZip
// is the version of the format that a reader needs, 2.0.
const (
	stamp    = 1<<5 | 1
	plainZip = 20
)

// Source is a job to be written.
type Source struct {
	Job     entry.JobID
	Entries [][]byte // as sent, in timeline order
	NoNames bool     // leave people out of the tables
	// Photo returns a photo's bytes and type. An error with store.ErrNotFound inside means that it has not arrived.
	Photo func(sha string) (data []byte, typ string, err error)
}

// member is a file on its way into the archive: its bytes, or where to get them again.
type member struct {
	FileLine
	data func() ([]byte, error)
}

// Write writes the archive of a job and returns its manifest. A photo that has not arrived or that the disk has spoiled is
// left out and named in the manifest: the rest must still be able to leave.
func Write(w io.Writer, src Source) (Manifest, error) {
	m, members, err := compose(src)
	if err != nil {
		return m, fmt.Errorf("compose archive: %w", err)
	}
	z := zip.NewWriter(w)
	for _, f := range members {
		if err := put(z, f); err != nil {
			return m, fmt.Errorf("write %s: %w", f.Name, err)
		}
	}
	if err := z.Close(); err != nil {
		return m, fmt.Errorf("end archive: %w", err)
	}
	return m, nil
}

// compose gathers every member, the manifest too, by name.
func compose(src Source) (Manifest, []member, error) {
	work := result.NewWork()
	var ids []store.Digest
	for _, raw := range src.Entries {
		e, err := entry.Read(raw)
		if err != nil {
			return Manifest{}, nil, fmt.Errorf("stored entry: %w", err)
		}
		id, err := store.IDBytes(e.ID)
		if err != nil {
			return Manifest{}, nil, err
		}
		ids = append(ids, id)
		if _, err := work.Set.Add(raw); err != nil {
			return Manifest{}, nil, fmt.Errorf("stored entry: %w", err)
		}
	}
	state, results := work.Now()
	sum, running := digests(ids)
	m := Manifest{
		Format: Format, Version: Version, Job: src.Job, Title: state.Job.Title, Names: !src.NoNames,
		Entries: Counted{Count: len(src.Entries), Sum: sum.String(), Running: running.String()},
		Record:  Made{Core: result.CoreVersion, Digest: state.Digest()},
		Results: Made{Core: result.CoreVersion, Digest: work.Digest()},
		Missing: []Lack{},
	}
	members, lacks := photoMembers(src)
	m.Missing = append(m.Missing, lacks...)
	members = append(members, made(entriesName, lines(src.Entries)), made(recordName, state.Bytes()),
		made(resultsName, resultsJSON(results, m.Results)))
	tables, err := tableMembers(state, results, !src.NoNames)
	if err != nil {
		return m, nil, err
	}
	members = append(members, tables...)
	members = append(members, made(readmeName, []byte(readme)))
	sortByName(members)
	for _, f := range members {
		m.Files = append(m.Files, f.FileLine)
	}
	text, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return m, nil, err
	}
	members = append(members, made(manifestName, append(text, '\n')))
	sortByName(members)
	return m, members, nil
}

// tableMembers are the tables that the numbers verb writes too.
func tableMembers(state *record.State, results []result.Res, names bool) ([]member, error) {
	var out []member
	for _, name := range numbers.Tables() {
		if !strings.HasSuffix(name, ".csv") {
			continue // record and results stand in the archive whole
		}
		text, err := numbers.Write(name, state, results, names)
		if err != nil {
			return nil, err
		}
		out = append(out, made(tablesFolder+name, text))
	}
	return out, nil
}

func sortByName(members []member) {
	slices.SortFunc(members, func(a, b member) int { return cmp.Compare(a.Name, b.Name) })
}

func made(name string, data []byte) member {
	return member{FileLine{name, int64(len(data)), hashOf(data)}, func() ([]byte, error) { return data, nil }}
}

func hashOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// lines is one entry a line. No entry holds a line feed (entry.Read), so none needs to be written otherwise than it came.
func lines(entries [][]byte) []byte {
	var out bytes.Buffer
	for _, raw := range entries {
		out.Write(raw)
		out.WriteByte('\n')
	}
	return out.Bytes()
}

func resultsJSON(results []result.Res, made Made) []byte {
	all := make([]jcs.Value, len(results))
	for i, r := range results {
		all[i] = r.JSON()
	}
	return jcs.Obj(jcs.M("core", jcs.Str(made.Core)), jcs.M("digest", jcs.Str(made.Digest)), jcs.M("results", jcs.Arr(all...))).Append(nil)
}

// photoMembers are the photos that any entry names, struck or not. Their bytes are looked at here and read again when they
// are written, so that one at a time is in memory.
func photoMembers(src Source) (members []member, lacks []Lack) {
	for _, sha := range named(src.Entries) {
		data, typ, err := src.Photo(sha)
		switch {
		case err != nil:
			lacks = append(lacks, Lack{sha, "it has not arrived, or it cannot be read from the disk"})
		case hashOf(data) != sha || extensions[typ] == "":
			lacks = append(lacks, Lack{sha, "its bytes on the disk are no longer the ones that were taken in"})
		default:
			again := func() ([]byte, error) {
				data, _, err := src.Photo(sha)
				return data, err
			}
			members = append(members, member{FileLine{photoName(sha, typ), int64(len(data)), sha}, again})
		}
	}
	return members, lacks
}

// named are the hashes of files that entries name, each once, in order.
func named(entries [][]byte) []string {
	var out []string
	for _, raw := range entries {
		e, err := entry.Read(raw)
		if err != nil {
			continue // compose has read them all; nothing is named by what cannot be read
		}
		sha := e.Body.Get("sha").Text()
		if d, err := store.ParseDigest(sha); err == nil && d.String() == sha {
			out = append(out, sha)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// put stores one file. Nothing is compressed: the same bytes come out whatever version writes it, and what is left of a
// damaged archive can be read with any editor.
func put(z *zip.Writer, f member) error {
	data, err := f.data()
	if err != nil {
		return err
	}
	if hashOf(data) != f.SHA {
		return fmt.Errorf("its bytes changed while the archive was written: write it again")
	}
	//lint:ignore SA1019 Modified would add a field to the zip; this alone gives the same bytes whatever the zone
	h := &zip.FileHeader{
		Name: f.Name, Method: zip.Store, ModifiedDate: stamp, ReaderVersion: plainZip, CreatorVersion: plainZip,
		CRC32:            crc32.ChecksumIEEE(data),
		CompressedSize64: uint64(len(data)), UncompressedSize64: uint64(len(data)),
	}
	out, err := z.CreateRaw(h)
	if err != nil {
		return err
	}
	_, err = out.Write(data)
	return err
}
