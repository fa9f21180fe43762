package main

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"witnessmark/server/store"
)

// TestThisDevice is T6 by HTTP: a phone that has lost its store and kept its cookie is told what it was, what the office has
// from it, and since when anything else is gone.
func TestThisDevice(t *testing.T) {
	o := newOffice(t)
	p := o.pairPhone(store.RoleFitter)
	p.send("GET", "/api/v1/device", nil).want(200, `"role":"fitter"`, `"logs":[]`, `"jobs":[]`)
	p.exchange(p.write("one"), p.write("two"), p.write("three"))
	o.later(5 * time.Minute)
	p.exchange()
	o.later(time.Minute)
	var got struct {
		Device, Server, Workspace string
		Jobs                      []struct{ Job string }
		Logs                      []struct {
			Job, Log, ID, At string
			Seq              int
		}
	}
	r := p.send("GET", "/api/v1/device", nil).want(200)
	if err := json.Unmarshal(r.body, &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Logs) != 1 || len(got.Jobs) != 1 || got.Device != string(p.device) || got.Server != o.server.ID {
		t.Fatalf("the reply is %s", r.body)
	}
	l := got.Logs[0]
	if l.Job != p.job || l.Log != p.log || l.Seq != 3 || l.ID != string(p.prev) || l.At != "2031-04-12T09:05:00Z" {
		t.Errorf("log = %+v, want 3 entries up to %s, last seen at 09:05", l, p.prev)
	}
	o.pairPhone(store.RoleFitter).send("GET", "/api/v1/device", nil).want(200, `"logs":[]`)
	o.stranger().send("GET", "/api/v1/device", nil).wantError(401, "unauthorized")
}

// tell exchanges nothing but how the phone stands; its clock says at.
func (p *phone) tell(state string, at time.Time) {
	p.o.t.Helper()
	body := fmt.Appendf(nil, `{"v":1,"holds":{},"count":0,"limit":1,"lines":0,"time":%q,"phone":%s}`+"\n", at.Format(time.RFC3339), state)
	p.raw("POST", "/api/v1/jobs/"+p.job+"/exchange", body, "Content-Type", ndjson).want(200)
}

type listedPhone struct {
	Device, Name, Role, Revoked string
	State                       *struct {
		Seen, App, Core string
		Unsent, Photos  int
		OffsetMs        int64 `json:"offset_ms"`
	}
}

func (p *phone) phones() map[string]listedPhone {
	p.o.t.Helper()
	var got struct {
		Devices []listedPhone
		Own     string
	}
	if err := json.Unmarshal(p.send("GET", "/api/v1/devices", nil).want(200).body, &got); err != nil {
		p.o.t.Fatal(err)
	}
	if got.Own != string(p.device) {
		p.o.t.Errorf("own = %q, want the phone that asks", got.Own)
	}
	list := map[string]listedPhone{}
	for _, d := range got.Devices {
		list[d.Device] = d
	}
	return list
}

// TestPhonesStand: the lead sees how each phone stood when it last exchanged, a viewer's too.
func TestPhonesStand(t *testing.T) {
	o := newOffice(t)
	lead, fitter, viewer := o.pairPhone(store.RoleLead), o.pairPhone(store.RoleFitter), o.pairPhone(store.RoleViewer)
	if s := lead.phones()[string(fitter.device)].State; s != nil {
		t.Fatalf("state before the first exchange = %+v", s)
	}
	fitter.tell(`{"app":"b1","core":"7","unsent":4,"photos":1}`, o.clock().Add(-26*time.Hour))
	o.later(time.Hour)
	lead.buyToken()
	viewer.buyToken()
	viewer.tell(`{"app":"b2","core":"7","unsent":-9,"photos":0}`, o.clock())
	lead.exchange() // an older app says nothing
	list := lead.phones()
	s := list[string(fitter.device)].State
	if s == nil || s.Seen != "2031-04-12T09:00:00Z" || s.App != "b1" || s.Core != "7" || s.Unsent != 4 || s.Photos != 1 || s.OffsetMs != -26*3600*1000 {
		t.Errorf("fitter's = %+v", s)
	}
	if s := list[string(viewer.device)].State; s == nil || s.Seen != "2031-04-12T10:00:00Z" || s.Unsent != 0 || s.OffsetMs != 0 {
		t.Errorf("viewer's = %+v", s)
	}
	if s := list[string(lead.device)].State; s != nil {
		t.Errorf("the lead's said nothing, got %+v", s)
	}
}

// TestRoleChange: a role holds from the next request on, and nobody takes the lead from the phone in hand.
func TestRoleChange(t *testing.T) {
	o := newOffice(t)
	lead, p := o.pairPhone(store.RoleLead), o.pairPhone(store.RoleViewer)
	at := "/api/v1/devices/" + string(p.device)
	p.send("PATCH", at, map[string]string{"role": "lead"}).wantError(403, "unauthorized")
	lead.send("PATCH", at, map[string]string{"role": "owner"}).wantError(400, "invalid")
	lead.send("PATCH", "/api/v1/devices/"+string(lead.device), map[string]string{"role": "fitter"}).wantError(409, "conflict")
	lead.send("PATCH", "/api/v1/devices/nobody", map[string]string{"role": "fitter"}).wantError(404, "not_found")
	lead.send("PATCH", at, map[string]string{"role": "lead"}).want(200, `"role":"lead"`)
	p.send("GET", "/api/v1/devices", nil).want(200)
	p.send("PATCH", "/api/v1/devices/"+string(lead.device), map[string]string{"role": "fitter"}).want(200)
	lead.send("GET", "/api/v1/devices", nil).wantError(403, "unauthorized")
	p.send("GET", "/api/v1/audit", nil).want(200, `"action":"change role"`, `"detail":"fitter"`)
}

// TestRenewKey: a key that may have been copied is replaced without pairing anew.
func TestRenewKey(t *testing.T) {
	o := newOffice(t)
	lead, p := o.pairPhone(store.RoleLead), o.pairPhone(store.RoleFitter)
	jar := p.client.Jar
	p.client.Jar = nil
	copied := cookieHeader(t, p, jar)
	if r := p.send("POST", "/api/v1/token", map[string]string{}, "Cookie", copied).want(200); r.header.Get("Set-Cookie") != "" {
		t.Fatal("a fresh secret before anybody asked for one")
	}
	p.send("POST", "/api/v1/devices/"+string(p.device)+"/key", map[string]string{}).wantError(403, "unauthorized")
	lead.send("POST", "/api/v1/devices/"+string(p.device)+"/key", map[string]string{}).want(200)
	p.client.Jar = jar
	p.buyToken() // brings the fresh one
	p.buyToken() // uses it
	p.client.Jar = nil
	p.send("POST", "/api/v1/token", map[string]string{}, "Cookie", copied).wantError(401, "unauthorized")
	lead.send("GET", "/api/v1/audit", nil).want(200, "renew a phone's key")
}
