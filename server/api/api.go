// Package api answers HTTP. A request goes one way: route, who is it (rule.go), read and check, one call of the store, reply.
// Every route stands in the table of routes.go with its rule; errors.go turns errors into the wire's closed list of codes.
//
// Device routes accept only an access token, view routes only the cookie of their own link, and neither ever the other's.
// What belongs to another workspace looks exactly like what does not exist.
package api

import (
	"io/fs"
	"log/slog"
	"net/http"
	"time"

	"witnessmark/server/access"
	"witnessmark/server/live"
	"witnessmark/server/office"
	"witnessmark/server/photos"
	"witnessmark/server/store"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// Book renders what a view link shows.
type Book interface {
	// Page is the static page of every link, the same for all of them.
	Page() []byte
	// Asset is a script, style or font of the page, by its plain name under /book/.
	Asset(name string) (body []byte, contentType string, ok bool)
	// Data is what the page shows, as JSON, with what happened since a day. people says whether names of people are shown.
	Data(st *record.State, rs []result.Res, linkName, since string, people bool) ([]byte, error)
	// Shows says whether the page shows the photo with that hash.
	Shows(st *record.State, sha string) bool
}

// Config is what the handlers work with.
type Config struct {
	Store      store.Store
	Server     store.Server
	Access     *access.Access
	Hub        *live.Hub
	Office     *office.Office
	Photos     *photos.Photos
	Book       Book
	App        fs.FS    // the built phone app
	Origins    []string // exact origins; none = the host that the request names
	TrustProxy bool     // believe X-Forwarded-For and -Proto
	Now        func() time.Time
	Log        *slog.Logger
	// CertificateEnds says when the certificate in use ends, the zero time for none; nil: something else speaks HTTPS.
	CertificateEnds func() time.Time
}

type server struct {
	Config
	app     *app
	limits  limits
	metrics metrics
	// printing holds a token while a browser prints.
	printing chan struct{}
}

// New returns the handler of every route.
func New(cfg Config) http.Handler {
	s := &server{Config: cfg, app: newApp(cfg.App), limits: newLimits(cfg.Now), printing: make(chan struct{}, 1)}
	s.metrics.requests = map[requestKey]int64{}
	mux := http.NewServeMux()
	for _, r := range s.routes() {
		pattern := r.method + " " + r.path
		if r.path == "/" {
			pattern = r.path // the rest of every method: the mux wants the most general pattern to have none
		}
		mux.Handle(pattern, s.handle(r))
	}
	// A wrong method or path under /api/ and /v/ is answered like everything else there, not with the app.
	for _, rest := range []string{"/api/", "/v/", "/book/"} {
		mux.Handle(rest, s.handle(route{path: rest, rule: open, do: noSuchRoute}))
	}
	return mux
}

func noSuchRoute(http.ResponseWriter, *http.Request, who) error { return store.ErrNotFound }
