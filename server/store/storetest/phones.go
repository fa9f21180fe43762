package storetest

import (
	"errors"
	"testing"
	"time"

	"witnessmark/server/store"
)

// testPhones: what a phone says of itself is kept with the exchange that says it, and the last word counts.
func testPhones(t *testing.T, b *bench) {
	b.addCode(t, tag(t, "code"), store.RoleFitter)
	dev, err := b.redeem(t, tag(t, "code"), tag(t, "d"), tag(t, "here"), noon)
	want(t, "error", err, nil)
	states, err := b.PhoneStates(ctx(t), b.ws)
	want(t, "error", err, nil)
	want(t, "a phone that never exchanged", len(states), 0)

	first := store.PhoneState{Seen: noon, App: "a1", Core: "1", Unsent: 3, Photos: 2, Offset: -26 * time.Hour}
	b.append(t, store.Handin{Device: dev.ID, State: &first}) // it hands in nothing, to a job that nobody has begun
	states, err = b.PhoneStates(ctx(t), b.ws)
	want(t, "error", err, nil)
	want(t, "as it said", states[dev.ID], first)

	later := first
	later.Seen, later.Unsent, later.App = noon.Add(time.Hour), 0, "a2"
	want(t, "error", b.NoteState(ctx(t), dev.ID, later), nil)
	states, err = b.PhoneStates(ctx(t), b.ws)
	want(t, "error", err, nil)
	want(t, "the last word", states[dev.ID], later)
	foreign, err := b.PhoneStates(ctx(t), "nobody")
	want(t, "error", err, nil)
	want(t, "foreign phones", len(foreign), 0)
}

// testRoles: a role is changed for a living phone of this workspace alone, with its line.
func testRoles(t *testing.T, b *bench) {
	b.addCode(t, tag(t, "code"), store.RoleViewer)
	dev, err := b.redeem(t, tag(t, "code"), tag(t, "d"), tag(t, "here"), noon)
	want(t, "error", err, nil)
	want(t, "foreign", errors.Is(b.SetRole(ctx(t), "nobody", dev.ID, store.RoleLead, b.line("role")), store.ErrNotFound), true)
	want(t, "error", b.SetRole(ctx(t), b.ws, dev.ID, store.RoleLead, b.line("role")), nil)
	got, err := b.Device(ctx(t), b.ws, dev.ID)
	want(t, "error", err, nil)
	want(t, "role", got.Role, store.RoleLead)
	want(t, "one line for it", b.count(t, "role"), 1)
	want(t, "error", b.Revoke(ctx(t), b.ws, dev.ID, b.line("revoke")), nil)
	want(t, "revoked", errors.Is(b.SetRole(ctx(t), b.ws, dev.ID, store.RoleFitter, b.line("role")), store.ErrNotFound), true)
}

// testRenew: a renewed secret is good until the fresh one is used.
func testRenew(t *testing.T, b *bench) {
	b.addCode(t, tag(t, "code"), store.RoleFitter)
	dev, err := b.redeem(t, tag(t, "code"), tag(t, "d"), tag(t, "here"), noon)
	want(t, "error", err, nil)
	old, fresh := "secret-"+tag(t, "d"), tag(t, "fresh")
	want(t, "foreign", errors.Is(b.RenewSecret(ctx(t), "nobody", dev.ID, b.line("renew")), store.ErrNotFound), true)
	want(t, "error", b.RenewSecret(ctx(t), b.ws, dev.ID, b.line("renew")), nil)
	found, err := b.BySecret(ctx(t), old, noon)
	want(t, "error", err, nil)
	want(t, "it counts as old", found.Created.IsZero(), true)
	want(t, "error", b.AddSecret(ctx(t), b.ws, dev.ID, fresh, noon), nil)
	_, err = b.BySecret(ctx(t), fresh, noon)
	want(t, "the fresh one", err, nil)
	_, err = b.BySecret(ctx(t), old, noon)
	want(t, "now the old one is not", errors.Is(err, store.ErrNotFound), true)
	want(t, "one line for it", b.count(t, "renew"), 1)
}
