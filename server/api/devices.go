package api

import (
	"net/http"

	"witnessmark/server/store"
)

// deviceLine is a paired phone and how it stood when it last exchanged.
type deviceLine struct {
	Device  store.DeviceID `json:"device"`
	Name    string         `json:"name"`
	Role    store.Role     `json:"role"`
	Paired  string         `json:"paired"`
	Revoked string         `json:"revoked,omitempty"`
	State   *stateLine     `json:"state,omitempty"`
}

type stateLine struct {
	Seen     string `json:"seen"`
	App      string `json:"app"`
	Core     string `json:"core"`
	Unsent   int64  `json:"unsent"`
	Photos   int64  `json:"photos"`
	OffsetMs int64  `json:"offset_ms"`
}

func (s *server) listDevices(w http.ResponseWriter, r *http.Request, c who) error {
	devices, err := s.Store.Devices(r.Context(), c.device.Workspace)
	if err != nil {
		return err
	}
	states, err := s.Store.PhoneStates(r.Context(), c.device.Workspace)
	if err != nil {
		return err
	}
	lines := make([]deviceLine, 0, len(devices))
	for _, d := range devices {
		line := deviceLine{Device: d.ID, Name: d.Name, Role: d.Role, Paired: stamp(d.Paired), Revoked: stamp(d.Revoked)}
		if p, ok := states[d.ID]; ok {
			line.State = &stateLine{
				Seen: stamp(p.Seen), App: p.App, Core: p.Core, Unsent: p.Unsent, Photos: p.Photos, OffsetMs: p.Offset.Milliseconds(),
			}
		}
		lines = append(lines, line)
	}
	return writeJSON(w, http.StatusOK, map[string]any{"devices": lines, "own": c.device.ID})
}

// changeDevice changes what a phone may do.
func (s *server) changeDevice(w http.ResponseWriter, r *http.Request, c who) error {
	var in struct{ Role store.Role }
	if err := readJSON(r, &in); err != nil {
		return err
	}
	id := store.DeviceID(r.PathValue("device"))
	if err := s.Access.SetRole(r.Context(), c.device, id, in.Role); err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, map[string]any{"device": id, "role": in.Role})
}

// renewDevice has a phone given a fresh secret when it next asks for a token.
func (s *server) renewDevice(w http.ResponseWriter, r *http.Request, c who) error {
	id := store.DeviceID(r.PathValue("device"))
	if err := s.Access.Renew(r.Context(), c.device, id); err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, map[string]any{"renewed": id})
}

// revokeDevice ends a phone: the lead's call for any, each phone's for itself.
func (s *server) revokeDevice(w http.ResponseWriter, r *http.Request, c who) error {
	id := store.DeviceID(r.PathValue("device"))
	if id != c.device.ID && c.device.Role != store.RoleLead {
		return errRole
	}
	if err := s.Access.Revoke(r.Context(), c.device, id); err != nil {
		return err
	}
	return writeJSON(w, http.StatusOK, map[string]any{"revoked": id})
}
