// Package archive writes a whole job as one plain .zip and takes one in again.
//
// The model: an archive is what schema/archive.md says it is: the entries as their bytes were sent, the photos as they were
// taken, and beside them, for people and other programs, what the core makes of them. Only entries and photos come back in;
// record, results and tables are worked out again, so nothing that an archive claims is believed. Nothing in it depends on
// when, where or by which version of Go it was written: the same job gives the same bytes.
//
// An archive is checked whole before anything of it is used. Broken says in plain words what is wrong with it.
package archive

import (
	"strings"

	"witnessmark/server/photos"
	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// Format and Version stand in every manifest. A version is only raised when an older program would misread the archive.
const (
	Format  = "witnessmark job archive"
	Version = 1
)

// The members that are always there. Photos follow as photos/<sha256>.<ext>, tables as csv/<name>.csv.
const (
	readmeName   = "README.txt"
	manifestName = "manifest.json"
	entriesName  = "entries.ndjson"
	recordName   = "record.json"
	resultsName  = "results.json"
	photosFolder = "photos/"
	tablesFolder = "csv/"
)

// Limits on what is read. They count bytes that really come out, whatever the archive's own index claims.
const (
	MaxMembers  = 100_000   // files
	MaxTotal    = 64 << 30  // bytes of all files, unpacked
	MaxText     = 512 << 20 // bytes of one file that is no photo
	MaxManifest = 32 << 20  // bytes of manifest.json
	maxPhoto    = photos.MaxSize
)

// Broken is why an archive cannot be taken in, in words for the person who holds the file.
type Broken struct{ Why string }

func (b Broken) Error() string {
	return "this archive cannot be taken in: " + b.Why + "; nothing was changed"
}

// Manifest is manifest.json.
type Manifest struct {
	Format  string      `json:"format"`
	Version int         `json:"version"`
	Job     entry.JobID `json:"job"`
	Title   string      `json:"title"`
	Entries Counted     `json:"entries"`
	Record  Made        `json:"record"`
	Results Made        `json:"results"`
	Names   bool        `json:"names_in_csv"`
	Missing []Lack      `json:"photos_missing"`
	Files   []FileLine  `json:"files"`
}

// Counted is how many entries there are and the two digests of their ids (schema/openapi.yaml, exchange).
type Counted struct {
	Count   int    `json:"count"`
	Sum     string `json:"sum"`     // the order does not matter
	Running string `json:"running"` // in timeline order
}

// Made is what a core made of the entries.
type Made struct {
	Core   string `json:"core"`
	Digest string `json:"digest"`
}

// Lack is a photo that an entry names and the archive does not hold.
type Lack struct {
	SHA string `json:"sha256"`
	Why string `json:"why"`
}

// FileLine is one file of the archive.
type FileLine struct {
	Name string `json:"name"`
	Size int64  `json:"size"`
	SHA  string `json:"sha256"`
}

// extensions are the types that the photo folder keeps, with the ending of a file of each.
var extensions = map[string]string{
	"image/jpeg": ".jpg", "image/png": ".png", "image/webp": ".webp", "audio/webm": ".webm", "audio/mp4": ".m4a",
}

// photoName is where a photo lies in the archive.
func photoName(sha, typ string) string { return photosFolder + sha + extensions[typ] }

// photoSHA reads a photo's hash from its name; ok is false for any other name.
func photoSHA(name string) (sha string, ok bool) {
	rest, ok := strings.CutPrefix(name, photosFolder)
	if !ok || len(rest) < 64 {
		return "", false
	}
	if _, err := store.ParseDigest(rest[:64]); err != nil || strings.ToLower(rest[:64]) != rest[:64] {
		return "", false
	}
	for _, ext := range extensions {
		if rest[64:] == ext {
			return rest[:64], true
		}
	}
	return "", false
}

// belongs says whether a file of that name may be in an archive. The list is closed: no name can lead out of the folder that
// somebody unpacks it into.
func belongs(name string) bool {
	switch name {
	case readmeName, manifestName, entriesName, recordName, resultsName:
		return true
	}
	if table, ok := strings.CutPrefix(name, tablesFolder); ok {
		return isTable(table)
	}
	_, ok := photoSHA(name)
	return ok
}

// isTable takes tables that this version does not write too: a newer one may add some, and they are not read.
func isTable(name string) bool {
	base, ok := strings.CutSuffix(name, ".csv")
	return ok && base != "" && strings.Trim(base, "abcdefghijklmnopqrstuvwxyz_") == ""
}

// digests are the two digests of ids in timeline order.
func digests(ids []store.Digest) (sum, running store.Digest) {
	for _, id := range ids {
		sum, running = sum.Plus(id), running.Next(id)
	}
	return sum, running
}
