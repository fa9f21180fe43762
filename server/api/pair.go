package api

import (
	"net/http"
	"time"

	"witnessmark/server/access"
	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// cookieLife is how long a browser keeps a device secret; the server renews it every month.
const cookieLife = 400 * 24 * time.Hour

// deviceCookie is the cookie's name: with the __Host- prefix a browser takes it only over HTTPS and for this host alone.
func (s *server) deviceCookie(r *http.Request) string {
	if s.secure(r) {
		return "__Host-wm_device"
	}
	return "wm_device"
}

func (s *server) setDeviceCookie(w http.ResponseWriter, r *http.Request, secret string) {
	http.SetCookie(w, &http.Cookie{
		Name: s.deviceCookie(r), Value: secret, Path: "/", MaxAge: int(cookieLife.Seconds()),
		Secure: s.secure(r), HttpOnly: true, SameSite: http.SameSiteStrictMode,
	})
}

type jobName struct {
	Job   entry.JobID `json:"job"`
	Title string      `json:"title"`
}

// pair trades a code for a device: its secret goes into a cookie and nowhere else.
func (s *server) pair(w http.ResponseWriter, r *http.Request, _ who) error {
	var in struct{ Code, Name string }
	if err := readJSON(r, &in); err != nil {
		return err
	}
	dev, secret, err := s.Access.Redeem(r.Context(), in.Code, in.Name, s.address(r))
	if err != nil {
		return err
	}
	names, err := s.jobNames(r, dev.Workspace)
	if err != nil {
		return err
	}
	s.setDeviceCookie(w, r, secret)
	return writeJSON(w, http.StatusOK, map[string]any{
		"device": dev.ID, "workspace": dev.Workspace, "server": s.Server.ID, "jobs": names, "role": dev.Role,
	})
}

// token sells an access token for the device's secret, and replaces the secret when it is old.
func (s *server) token(w http.ResponseWriter, r *http.Request, c who) error {
	token, err := s.Access.Token(c.device)
	if err != nil {
		return err
	}
	if c.fresh != "" {
		s.setDeviceCookie(w, r, c.fresh)
	}
	return writeJSON(w, http.StatusOK, map[string]any{
		"token": token, "expires_in": int(access.TokenLife.Seconds()), "device": c.device.ID, "role": c.device.Role,
	})
}

// drawCode draws a pairing code for the lead.
func (s *server) drawCode(w http.ResponseWriter, r *http.Request, c who) error {
	var in struct{ Role store.Role }
	if err := readJSON(r, &in); err != nil {
		return err
	}
	code, err := s.Access.DrawCode(r.Context(), c.device.Workspace, in.Role, c.device.ID)
	if err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, map[string]any{"code": code, "role": in.Role, "expires_in": int(access.CodeLife.Seconds())})
}

type auditLine struct {
	At      string         `json:"at"`
	Device  store.DeviceID `json:"device,omitempty"`
	Action  string         `json:"action"`
	Subject string         `json:"subject,omitempty"`
	Detail  string         `json:"detail,omitempty"`
}

// maxAudit is how many of the newest audit lines are shown.
const maxAudit = 500

func (s *server) auditLines(w http.ResponseWriter, r *http.Request, c who) error {
	lines, err := s.Store.AuditLines(r.Context(), c.device.Workspace, maxAudit)
	if err != nil {
		return err
	}
	out := make([]auditLine, 0, len(lines))
	for _, l := range lines {
		out = append(out, auditLine{At: stamp(l.At), Device: l.Device, Action: l.Action, Subject: l.Subject, Detail: l.Detail})
	}
	return writeJSON(w, http.StatusOK, map[string]any{"lines": out})
}

// stamp is a time for the wire, RFC 3339 in UTC; "" for none.
func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339)
}
