package storetest

import (
	"errors"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"witnessmark/server/store"
	"witnessmark/sync/entry"
)

func (b *bench) line(action string) store.Line {
	return store.Line{At: noon, Workspace: b.ws, Action: action}
}

func (b *bench) addCode(t *testing.T, hash string, role store.Role) {
	t.Helper()
	c := store.Code{Hash: hash, Workspace: b.ws, Role: role, Created: noon, Expires: noon.Add(10 * time.Minute)}
	if err := b.AddCode(ctx(t), c, b.line("draw code")); err != nil {
		t.Fatalf("AddCode: %v", err)
	}
}

func (b *bench) redeem(t *testing.T, code, device, address string, at time.Time) (store.Device, error) {
	return b.RedeemCode(ctx(t), store.Redeem{
		CodeHash: code, Address: address, Device: store.DeviceID(device), Name: "phone " + device, SecretHash: "secret-" + device,
		At: at, Window: 10 * time.Minute, MaxTries: 5, MaxWrong: 50,
	}, b.line("pair"))
}

// tag makes names that are this test's own: PostgreSQL is shared by the tests of a run.
func tag(t *testing.T, name string) string { return t.Name() + "/" + name }

func testCodes(t *testing.T, b *bench) {
	code, address := tag(t, "code"), tag(t, "here")
	b.addCode(t, code, store.RoleFitter)
	dev, err := b.redeem(t, code, tag(t, "d1"), address, noon)
	want(t, "error", err, nil)
	want(t, "role", dev.Role, store.RoleFitter)
	want(t, "workspace", dev.Workspace, b.ws)
	_, err = b.redeem(t, code, tag(t, "d2"), address, noon)
	want(t, "a code is good once", errors.Is(err, store.ErrUsed), true)

	late := tag(t, "late")
	b.addCode(t, late, store.RoleLead)
	_, err = b.redeem(t, late, tag(t, "d3"), address, noon.Add(10*time.Minute))
	want(t, "expired", errors.Is(err, store.ErrExpired), true)

	devices, err := b.Devices(ctx(t), b.ws)
	want(t, "error", err, nil)
	want(t, "devices", len(devices), 1)
	got, err := b.Device(ctx(t), b.ws, dev.ID)
	want(t, "error", err, nil)
	want(t, "device", got, dev)
	_, err = b.Device(ctx(t), "nobody", dev.ID)
	want(t, "foreign device", errors.Is(err, store.ErrNotFound), true)
}

// testCodeRace: of many at once, one gets the device (T49).
func testCodeRace(t *testing.T, b *bench) {
	code := tag(t, "code")
	b.addCode(t, code, store.RoleFitter)
	var won atomic.Int64
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			_, err := b.redeem(t, code, tag(t, string(rune('a'+i))), tag(t, "here"), noon)
			if err == nil {
				won.Add(1)
			} else if !errors.Is(err, store.ErrUsed) {
				t.Errorf("redeem: %v", err)
			}
		})
	}
	wg.Wait()
	want(t, "winners", won.Load(), int64(1))
}

func testWrongTries(t *testing.T, b *bench) {
	code, here := tag(t, "code"), tag(t, "here")
	b.addCode(t, code, store.RoleFitter)
	for range 5 {
		_, err := b.redeem(t, tag(t, "wrong"), tag(t, "d"), here, noon)
		want(t, "wrong code", errors.Is(err, store.ErrNotFound), true)
	}
	_, err := b.redeem(t, code, tag(t, "d"), here, noon)
	want(t, "the sixth try with the right code", errors.Is(err, store.ErrTries), true)
	_, err = b.redeem(t, code, tag(t, "d"), tag(t, "elsewhere"), noon)
	want(t, "from elsewhere it is good", err, nil)

	second := tag(t, "second")
	b.addCode(t, second, store.RoleFitter)
	_, err = b.redeem(t, second, tag(t, "e"), here, noon.Add(9*time.Minute+59*time.Second))
	want(t, "within the window", errors.Is(err, store.ErrTries), true)
	_, err = b.redeem(t, second, tag(t, "e"), here, noon.Add(10*time.Minute-time.Millisecond))
	want(t, "still within it", errors.Is(err, store.ErrTries), true)
}

// testSecrets is T51: the old secret is good until the new one is first used.
func testSecrets(t *testing.T, b *bench) {
	b.addCode(t, tag(t, "code"), store.RoleLead)
	dev, err := b.redeem(t, tag(t, "code"), tag(t, "d"), tag(t, "here"), noon)
	want(t, "error", err, nil)
	first, second := "secret-"+tag(t, "d"), tag(t, "second")
	found, err := b.BySecret(ctx(t), first, noon)
	want(t, "error", err, nil)
	want(t, "device", found.Device, dev)

	want(t, "error", b.AddSecret(ctx(t), b.ws, dev.ID, second, noon.Add(time.Hour)), nil)
	_, err = b.BySecret(ctx(t), first, noon)
	want(t, "the old one is still good", err, nil)
	_, err = b.BySecret(ctx(t), second, noon)
	want(t, "the new one", err, nil)
	_, err = b.BySecret(ctx(t), first, noon)
	want(t, "now the old one is not", errors.Is(err, store.ErrNotFound), true)

	want(t, "foreign", errors.Is(b.Revoke(ctx(t), "nobody", dev.ID, b.line("revoke")), store.ErrNotFound), true)
	want(t, "error", b.Revoke(ctx(t), b.ws, dev.ID, b.line("revoke")), nil)
	want(t, "twice is fine", b.Revoke(ctx(t), b.ws, dev.ID, b.line("revoke")), nil)
	_, err = b.BySecret(ctx(t), second, noon)
	want(t, "revoked", errors.Is(err, store.ErrRevoked), true)
	want(t, "no secret for a revoked phone", errors.Is(b.AddSecret(ctx(t), b.ws, dev.ID, tag(t, "third"), noon), store.ErrNotFound), true)
	want(t, "one line for it", b.count(t, "revoke"), 1)
}

func (b *bench) count(t *testing.T, action string) int {
	t.Helper()
	lines, err := b.AuditLines(ctx(t), b.ws, 1000)
	want(t, "error", err, nil)
	n := 0
	for _, l := range lines {
		if l.Action == action {
			n++
		}
	}
	return n
}

func testLinks(t *testing.T, b *bench) {
	l := store.Link{
		ID: store.LinkID(id32(t.Name())), Workspace: b.ws, Job: b.job, Name: "friends", Hash: "h", People: true,
		Created: noon, Expires: noon.Add(time.Hour),
	}
	want(t, "no link without a job", errors.Is(b.AddLink(ctx(t), l, b.line("share")), store.ErrNotFound), true)
	log := b.chain("a", entry.Entry{}, 1, "x")
	b.append(t, store.Handin{Log: log[0].Log, Entries: log})
	want(t, "error", b.AddLink(ctx(t), l, b.line("share")), nil)
	got, err := b.Link(ctx(t), l.ID)
	want(t, "error", err, nil)
	want(t, "link", got, l)
	want(t, "alive", got.Alive(noon), true)
	want(t, "over", got.Alive(noon.Add(time.Hour)), false)
	list, err := b.Links(ctx(t), b.ws, b.job)
	want(t, "error", err, nil)
	want(t, "list", len(list), 1)
	want(t, "foreign", errors.Is(b.RevokeLink(ctx(t), "nobody", b.job, l.ID, b.line("unshare")), store.ErrNotFound), true)
	want(t, "error", b.RevokeLink(ctx(t), b.ws, b.job, l.ID, b.line("unshare")), nil)
	got, err = b.Link(ctx(t), l.ID)
	want(t, "error", err, nil)
	want(t, "dead", got.Alive(noon), false)
	want(t, "one line for each", b.count(t, "share")+b.count(t, "unshare"), 2)
}

// testAudit is T57: one action is one line, whatever is in it.
func testAudit(t *testing.T, b *bench) {
	l := b.line("pair")
	l.Detail = "Idris\n2031-04-12 forged line\x1b[31m\u2028" + strings.Repeat("x", 1000)
	want(t, "error", b.Audit(ctx(t), l), nil)
	want(t, "error", b.Audit(ctx(t), b.line("later")), nil)
	lines, err := b.AuditLines(ctx(t), b.ws, 10)
	want(t, "error", err, nil)
	want(t, "lines", len(lines), 2)
	want(t, "newest first", lines[0].Action, "later")
	want(t, "no control characters", strings.ContainsAny(lines[1].Detail, "\n\x1b\u2028"), false)
	want(t, "not without end", len(lines[1].Detail) <= 500, true)
	foreign, err := b.AuditLines(ctx(t), "nobody", 10)
	want(t, "error", err, nil)
	want(t, "foreign lines", len(foreign), 0)
}

func testBlobs(t *testing.T, b *bench) {
	sha := idOf("photo").String()
	_, err := b.Blob(ctx(t), b.ws, sha)
	want(t, "missing", errors.Is(err, store.ErrNotFound), true)
	whole := store.Blob{
		Workspace: b.ws, SHA: sha, Size: 9, Type: "image/jpeg", Device: b.dev, ViewSHA: idOf("view").String(), ViewSize: 4,
		State: store.BlobWhole, Created: noon,
	}
	refused := whole
	refused.State, refused.Refused = store.BlobRefused, "the picture is cut off"
	want(t, "error", b.PutBlob(ctx(t), refused), nil)
	want(t, "error", b.PutBlob(ctx(t), whole), nil)
	want(t, "error", b.PutBlob(ctx(t), refused), nil)
	got, err := b.Blob(ctx(t), b.ws, sha)
	want(t, "error", err, nil)
	want(t, "whole stays whole", got, whole)
	_, err = b.Blob(ctx(t), "nobody", sha)
	want(t, "foreign", errors.Is(err, store.ErrNotFound), true)
}

func testNotes(t *testing.T, b *bench) {
	heard := make(chan store.Note, 10)
	want(t, "error", b.Listen(ctx(t), func(n store.Note) { heard <- n }), nil)
	n := store.Note{Workspace: b.ws, Job: b.job, Pos: 7}
	want(t, "error", b.Publish(ctx(t), n), nil)
	want(t, "note", <-heard, n)
}

func testServer(t *testing.T, b *bench) {
	one, err := b.Server(ctx(t))
	want(t, "error", err, nil)
	two, err := b.Server(ctx(t))
	want(t, "error", err, nil)
	want(t, "the same each time", one.ID, two.ID)
	want(t, "key", len(one.Key), 32)
	want(t, "ids", len(one.ID) == 32 && len(one.Epoch) == 32, true)
	want(t, "ping", b.Ping(ctx(t)), nil)
}
