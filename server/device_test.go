package main

import (
	"encoding/json"
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
