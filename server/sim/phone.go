package sim

import (
	"encoding/hex"
	"fmt"
	"net/http"
	"time"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/result"
)

// phone is the app on one telephone.
type phone struct {
	h    *history
	name string
	of   string // whose it is
	disk *disk
	old  *disk // a copy made earlier, as a phone's own backup is; nil: none
	who  identity

	skew  time.Duration // its clock minus the right time
	newer bool          // it runs a later version, which writes kinds and fields that the others do not know
	batch int           // entries of one request at most
	limit int           // entries of one page

	// The rest is memory: a kill takes it.
	up      bool
	work    *result.Work
	run     *run
	sent    *letter // on its way, or nil
	token   string
	next    fate // of the next transaction
	watched watch
}

// identity is what pairing gave the phone; it is on the disk and in the cookie jar.
type identity struct {
	device, workspace, server string
	cookie                    *http.Cookie
}

// watch is what the simulation, which sees everything, knows of a phone.
type watch struct {
	checked    int // how far it is known to hold the office's timeline
	generation int // of the office's timeline then
	met        int // exchanges since it was copied
	twin       *phone
}

// start is the app's: the copy in memory is made from the disk.
func (p *phone) start() {
	p.up, p.work = true, result.NewWork()
	for _, id := range p.disk.order {
		p.work.Set.AddEntry(p.disk.rows[id].Entry)
	}
}

// kill takes everything but the disk.
func (p *phone) kill() {
	p.up, p.work, p.run, p.sent, p.token, p.next = false, nil, nil, nil, "", completes
	if p.h.without(keepingUnsent) {
		p.disk = p.disk.acknowledged()
	}
}

// commit carries a transaction out, or not.
func (p *phone) commit(tx transaction) error {
	fate := p.next
	p.next = completes
	if fate == runsFull {
		return errFull
	}
	if fate != diesBefore {
		tx.apply(p.disk)
	}
	if fate != completes {
		p.kill()
		return errKilled
	}
	return nil
}

func (t transaction) apply(d *disk) {
	for _, change := range t {
		change(d)
	}
}

// draft is what somebody wants to write.
type draft struct {
	kind        string
	over, after []entry.ID
	body        jcs.Value
	newer       bool // of a later version of the app
}

// keep writes an entry down, as DeviceLog.keep does: it counts as saved when the transaction is complete, and not before.
func (p *phone) keep(d draft) error {
	before := p.disk.log
	if before.log == "" {
		before.log = entry.LogID(p.h.draw())
	}
	var made []entry.Entry
	now := before
	if now.seq == 0 {
		first, err := p.compose(&now, p.opening(now))
		if err != nil {
			return err
		}
		made = append(made, first)
	}
	e, err := p.compose(&now, d)
	if err != nil {
		return err
	}
	made = append(made, e)
	var tx transaction
	for _, e := range made {
		tx.put(row{Entry: e, waits: true})
	}
	tx.setLog(now)
	err = p.commit(tx)
	if err != nil && !p.h.without(savedWhenComplete) {
		return err
	}
	p.h.saved.show(made)
	for _, e := range made {
		if p.up {
			p.work.Set.AddEntry(e)
		}
	}
	return err
}

func (p *phone) opening(now head) draft {
	return draft{kind: "log", body: jcs.Obj(jcs.M("device", jcs.Str("own")), jcs.M("name", jcs.Str(p.name)),
		jcs.M("of", jcs.Str(p.of)), jcs.M("continues", jcs.Opt(string(now.continues))))}
}

// compose makes the next entry of the log and moves its head.
func (p *phone) compose(now *head, d draft) (entry.Entry, error) {
	e := entry.Entry{
		Job: p.h.job, Log: now.log, Seq: now.seq + 1, Prev: now.prev, At: p.clock().Format(time.RFC3339), By: p.of,
		Kind: d.kind, Over: d.over, After: d.after, Body: d.body,
	}
	made, err := entry.Compose(e)
	if d.newer {
		made, err = later(e)
	}
	if err != nil {
		return made, fmt.Errorf("compose %s: %w", d.kind, err)
	}
	*now = head{log: now.log, seq: made.Seq, prev: made.ID}
	return made, nil
}

// later is an entry as a later version writes it: a further field in the envelope, and perhaps a kind that is not known.
func later(e entry.Entry) (entry.Entry, error) {
	raw := jcs.Obj(
		jcs.M("v", jcs.Int(2)), jcs.M("job", jcs.Str(string(e.Job))), jcs.M("log", jcs.Str(string(e.Log))),
		jcs.M("seq", jcs.Int(e.Seq)), jcs.M("prev", jcs.Opt(string(e.Prev))), jcs.M("at", jcs.Str(e.At)),
		jcs.M("by", jcs.Str(e.By)), jcs.M("kind", jcs.Str(e.Kind)), jcs.M("over", jcs.Strs(e.Over)),
		jcs.M("body", e.Body), jcs.M("weather", jcs.Str("frost")),
	).Append(nil)
	return entry.Read(raw)
}

func (p *phone) clock() time.Time { return p.h.now.Add(p.skew) }

// digest is of what the phone holds, as it says it to the office.
func (p *phone) digest() string {
	sum := p.work.Set.Digest()
	return hex.EncodeToString(sum[:])
}

// copied is a second phone with the same on it: a restored backup on a new telephone while the old one goes on.
func (p *phone) copied(name string) *phone {
	c := *p
	c.name, c.disk, c.old = name, p.disk.copied(), nil
	c.up, c.work, c.run, c.sent, c.token, c.next = false, nil, nil, nil, "", completes
	c.watched = watch{twin: p}
	p.watched.met, p.watched.twin = 0, &c
	return &c
}

// goBack puts the phone's own backup in place of what it has.
func (p *phone) goBack() {
	p.kill()
	p.disk, p.old = p.old, nil
	p.watched.checked = 0
}
