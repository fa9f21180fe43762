// Package numbers writes what a job holds as files for other programs: tables as CSV (RFC 4180, UTF-8, the unit in the head of
// each column, values as written beside SI and lengths beside mm), the record and the results as JSON, the maps and charts as
// SVG.
//
// A text cell has an apostrophe before it where a spreadsheet might run it (it begins with =, +, -, @, a tab or a line's end),
// or take it for something else (a figure as written, 1/2, 0117, May 2019), or where it begins with an apostrophe itself. To
// have the original back, take one leading apostrophe away. Numbers are numbers: −0.04 in a column of SI is left as it is. The
// same entries give the same bytes.
package numbers

import (
	"errors"
	"slices"

	"witnessmark/server/names"
	"witnessmark/sync/draw"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
	"witnessmark/sync/view"
)

// ErrNoFile is for a name that is none of Files.
var ErrNoFile = errors.New("there is no such file of numbers")

// job is a job on its way out.
type job struct {
	st    *record.State
	rs    []result.Res
	who   *names.Names
	print view.Print
}

// tables are the files that every job has, in the order of Files.
var tables = []struct {
	name  string
	write func(*job) []byte
}{
	{"readings.csv", (*job).readings}, {"results.csv", (*job).results}, {"tightening.csv", (*job).tightening},
	{"parts.csv", (*job).parts}, {"runs.csv", (*job).runs}, {"samples.csv", (*job).samples}, {"snags.csv", (*job).snags}, {"notes.csv", (*job).notes}, {"record.json", (*job).record}, {"results.json", (*job).resultsJSON},
}

// Tables names the files that every job has; the drawings come beside them.
func Tables() []string {
	out := make([]string, 0, len(tables))
	for _, t := range tables {
		out = append(out, t.name)
	}
	return out
}

// Files names every file of a job: the tables, then its drawings. The names are plain and can stand in any folder.
func Files(st *record.State, rs []result.Res) []string {
	out := Tables()
	for _, d := range (&job{st: st, rs: rs, print: view.ForPrint(st, rs)}).drawings() {
		out = append(out, d.name)
	}
	return out
}

// Write writes one file of a job. Without names, people stand as "person 1". Errors: ErrNoFile.
func Write(name string, st *record.State, rs []result.Res, show bool) ([]byte, error) {
	j := &job{st: st, rs: rs, who: names.Of(st, show), print: view.ForPrint(st, rs)}
	for _, t := range tables {
		if t.name == name {
			return t.write(j), nil
		}
	}
	drawings := j.drawings()
	i := slices.IndexFunc(drawings, func(d drawing) bool { return d.name == name })
	if i < 0 {
		return nil, ErrNoFile
	}
	return []byte(draw.File(drawings[i].svg(), "")), nil
}

// Type is the media type of a file by its name.
func Type(name string) string {
	switch {
	case len(name) > 4 && name[len(name)-4:] == ".csv":
		return "text/csv; charset=utf-8"
	case len(name) > 4 && name[len(name)-4:] == ".svg":
		return "image/svg+xml"
	}
	return "application/json"
}

func (j *job) record() []byte { return append(j.who.Value(j.st.JSON()).Append(nil), '\n') }

func (j *job) resultsJSON() []byte {
	items := make([]jcs.Value, 0, len(j.rs))
	for _, r := range j.rs {
		items = append(items, j.who.Value(r.JSON()))
	}
	out := jcs.Obj(jcs.M("core", jcs.Str(result.CoreVersion)), jcs.M("digest", jcs.Str(result.Digest(j.rs))), jcs.M("results", jcs.Arr(items...)))
	return append(out.Append(nil), '\n')
}
