// Package book is the page that a view link opens: the job as it stands, for people without a phone of the workshop. It is
// read only and carries no names of people unless the link says so. Page, style and script are static and the same for every
// link; what they show comes as JSON from the core's view 'public'.
package book

import (
	"embed"
	"path"
	"slices"

	"witnessmark/server/names"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
	"witnessmark/sync/view"
)

//go:embed page
var files embed.FS

// Book is the volunteers' page. Its files are part of the program, so the zero Book is ready.
type Book struct{}

// Page is the static page of every link, the same for all of them.
func (Book) Page() []byte {
	body, err := files.ReadFile("page/page.html")
	if err != nil {
		panic("bug: embedded page: " + err.Error())
	}
	return body
}

// types are the kinds of file that the page has.
var types = map[string]string{
	".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".woff2": "font/woff2",
}

// Asset is a script, style or font of the page, by its plain name.
func (Book) Asset(name string) (body []byte, contentType string, ok bool) {
	typ, ok := types[path.Ext(name)]
	if !ok {
		return nil, "", false
	}
	body, err := files.ReadFile("page/" + name)
	return body, typ, err == nil
}

// Data is what the page shows, as JSON: the link's name and the core's public view of the job. People says whether the names
// of people are in it; without, each that stands in a sentence is masked as in the record book. since is the day from which what
// happened is told, as in 2031-04-12.
func (Book) Data(st *record.State, rs []result.Res, linkName, since string, people bool) ([]byte, error) {
	public, err := view.View(st, rs, "public", jcs.Obj(jcs.M("people", jcs.Flag(people)), jcs.M("since", jcs.Str(since))))
	if err != nil {
		return nil, err
	}
	shown := jcs.Obj(jcs.M("link", jcs.Str(linkName)), jcs.M("view", public))
	return names.Of(st, people).Value(shown).Append(nil), nil
}

// Shows says whether the page shows the photo with that hash.
func (Book) Shows(st *record.State, sha string) bool {
	return slices.ContainsFunc(st.Photos, func(p *record.Photo) bool { return p.SHA == sha })
}
