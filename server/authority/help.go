package authority

import (
	"bytes"
	_ "embed"
	"html/template"
	"net"
	"net/http"
)

//go:embed page/help.html
var helpText string

//go:embed page/help.css
var helpStyle []byte

//go:embed page/check.js
var checkScript []byte

var helpPage = template.Must(template.New("help").Parse(helpText))

// Help answers on plain HTTP: the root, its fingerprint, the steps for each phone, and a check that says which step is
// missing. Every other path is a 404: nothing of the workshop's is ever sent in the clear (T47). port is HTTPS's, "443" for
// the usual one.
func Help(a *Authority, port string) (http.Handler, error) {
	host := a.Name
	if port != "443" {
		host = net.JoinHostPort(a.Name, port)
	}
	var page bytes.Buffer
	err := helpPage.Execute(&page, map[string]any{"Name": a.Name, "Origin": "https://" + host, "Fingerprint": a.Fingerprint()})
	if err != nil {
		return nil, err
	}
	files := map[string]struct {
		typ  string
		body []byte
	}{
		"/":             {"text/html; charset=utf-8", page.Bytes()},
		"/help.css":     {"text/css; charset=utf-8", helpStyle},
		"/check.js":     {"text/javascript; charset=utf-8", checkScript},
		"/here":         {"text/plain; charset=utf-8", []byte("here\n")},
		"/workshop.crt": {"application/x-x509-ca-cert", a.Root()},
	}
	policy := "default-src 'none'; script-src 'self'; style-src 'self'; connect-src http://" + a.Name + ":* https://" + host +
		"; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		f, ok := files[r.URL.Path]
		if !ok || (r.Method != http.MethodGet && r.Method != http.MethodHead) {
			http.NotFound(w, r)
			return
		}
		h := w.Header()
		h.Set("Content-Type", f.typ)
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cache-Control", "no-store")
		_, _ = w.Write(f.body) // a client that went away cannot be told
	}), nil
}
