package access

import (
	"context"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"time"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

// NewLink says what a view link is for.
type NewLink struct {
	Workspace store.WorkspaceID
	Job       entry.JobID
	Name      string         // whom it is for; 1 to 80 letters
	People    bool           // show names of people
	By        store.DeviceID // "" at the server
}

// DrawLink makes a view link and its secret of 256 bits, good for LinkLife. The secret is returned once and kept nowhere.
// Errors: ErrName, store.ErrNotFound for a job that is not the workspace's.
func (a *Access) DrawLink(ctx context.Context, n NewLink) (store.Link, string, error) {
	name, err := checkName(n.Name)
	if err != nil {
		return store.Link{}, "", err
	}
	now, secret := a.now(), newSecret()
	l := store.Link{
		ID: store.LinkID(base64.RawURLEncoding.EncodeToString(random(16))), Workspace: n.Workspace, Job: n.Job, Name: name,
		Hash: hash(secret), People: n.People, Created: now, Expires: now.Add(LinkLife),
	}
	line := store.Line{At: now, Workspace: n.Workspace, Device: n.By, Action: ActionShare, Subject: string(l.ID), Detail: name}
	if err := a.store.AddLink(ctx, l, line); err != nil {
		return store.Link{}, "", fmt.Errorf("make view link: %w", err)
	}
	return l, secret, nil
}

// OpenLink trades a link's secret for a view cookie. Errors: ErrDenied, the same for a link that never was.
func (a *Access) OpenLink(ctx context.Context, id store.LinkID, secret string) (cookie string, l store.Link, err error) {
	l, err = a.living(ctx, id)
	if err != nil {
		return "", store.Link{}, err
	}
	if subtle.ConstantTimeCompare([]byte(l.Hash), []byte(hash(secret))) != 1 {
		return "", store.Link{}, ErrDenied
	}
	cookie, err = a.issue(a.viewKind(), string(id), "")
	return cookie, l, err
}

// View returns the link of a view cookie and when the cookie ends. The cookie of one link never opens another, and a
// revoked or expired link is dead at once. Errors: ErrDenied.
func (a *Access) View(ctx context.Context, id store.LinkID, cookie string) (store.Link, time.Time, error) {
	c, err := a.check(a.viewKind(), cookie)
	if err != nil {
		return store.Link{}, time.Time{}, err
	}
	if c.Subject != string(id) {
		return store.Link{}, time.Time{}, ErrDenied
	}
	l, err := a.living(ctx, id)
	if err != nil {
		return store.Link{}, time.Time{}, err
	}
	end := c.ExpiresAt.Time
	if l.Expires.Before(end) {
		end = l.Expires
	}
	return l, end, nil
}

func (a *Access) living(ctx context.Context, id store.LinkID) (store.Link, error) {
	l, err := a.store.Link(ctx, id)
	if errors.Is(err, store.ErrNotFound) || (err == nil && !l.Alive(a.now())) {
		return store.Link{}, ErrDenied
	}
	if err != nil {
		return store.Link{}, fmt.Errorf("read view link: %w", err)
	}
	return l, nil
}

// RevokeLink ends a view link of by's workspace; what it has open goes dead. Errors: store.ErrNotFound.
func (a *Access) RevokeLink(ctx context.Context, by store.Device, job entry.JobID, id store.LinkID) error {
	err := a.store.RevokeLink(ctx, by.Workspace, job, id, store.Line{
		At: a.now(), Workspace: by.Workspace, Device: by.ID, Action: ActionUnshare, Subject: string(id),
	})
	if err != nil {
		return fmt.Errorf("revoke view link: %w", err)
	}
	return a.store.Publish(ctx, store.Note{Workspace: by.Workspace, Link: id})
}
