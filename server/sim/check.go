package sim

import (
	"bytes"
	"fmt"
	"slices"

	wire "witnessmark/server/phone"
	"witnessmark/sync/entry"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// watchSettled looks, after a phone took a reply over, at what a phone alone cannot see.
func (h *history) watchSettled(p *phone, l *letter, head wire.ReplyHead, done bool) {
	if l.era != h.office.generation {
		p.disk.overtaken = true
		return
	}
	if done && p.digest() == head.Digest {
		h.claimed(p)
		p.disk.overtaken = false
		clear(p.disk.passed)
	}
	if head.Status == wire.StartAgain {
		return
	}
	h.skipped(p, l, head)
	if !l.stale {
		p.watched.met++
		h.oneLogTwice(p)
	}
}

// claimed: the screen says that the office has everything of this phone.
func (h *history) claimed(p *phone) {
	missing := 0
	for _, id := range p.disk.order {
		if !h.office.has(id) {
			missing++
		}
	}
	h.broken(Lost, missing, "%s says that the office has everything, and it lacks %d", p.name, missing)
}

// skipped: a cursor says that the phone holds everything up to it.
func (h *history) skipped(p *phone, l *letter, head wire.ReplyHead) {
	w := &p.watched
	if w.generation != h.office.generation {
		w.generation, w.checked = h.office.generation, 0
	}
	to := min(int(head.Cursor.Pos), len(h.office.twin))
	for _, id := range h.office.twin[min(w.checked, to):to] {
		if p.disk.overtaken && h.branch(l, id) {
			p.disk.passed[id] = true
		}
		if !p.disk.has(id) && !p.disk.passed[id] {
			h.broken(Diverged, 1, "the cursor of %s is at %d, and it lacks %s before it", p.name, head.Cursor.Pos, id)
		}
	}
	w.checked = max(w.checked, to)
}

// branch says whether an entry stands where the phone said that it holds its own log.
func (h *history) branch(l *letter, id entry.ID) bool {
	for _, q := range h.phones {
		if r, ok := q.disk.rows[id]; ok {
			return r.Log == l.head.Log && r.Seq <= l.head.Holds[r.Log]
		}
	}
	return false
}

// oneLogTwice: of two phones with one log, each has exchanged twice, and both go on with it (T11).
func (h *history) oneLogTwice(p *phone) {
	for _, q := range h.phones {
		if q == p || p.disk.log.seq == 0 || q.disk.log.seq == 0 || q.disk.log.log != p.disk.log.log {
			continue
		}
		if p.watched.met >= 2 && q.watched.met >= 2 {
			h.broken(Doubled, 1, "%s and %s both write the log %s", p.name, q.name, p.disk.log.log)
		}
	}
}

// Healing gives up when so many rounds, or so many requests of one phone in a round, do not bring rest.
const (
	mostRounds   = 12
	mostRequests = 1000
	// A phone that reads entry by entry has done so long enough.
	healingPage = 100
)

// heal lets every phone exchange over a network without faults until a whole round brings nothing new.
func (h *history) heal() error {
	h.letters, h.late, h.office.store.next = nil, nil, noBlow
	for _, p := range h.phones {
		p.kill()
		p.start()
		p.limit = max(p.limit, healingPage)
	}
	for range mostRounds {
		before := len(h.office.twin)
		quiet := true
		for _, p := range h.phones {
			calm, err := h.settle(p)
			if err != nil || h.trouble != "" {
				return err
			}
			quiet = quiet && calm
		}
		if quiet && len(h.office.twin) == before {
			return nil
		}
	}
	h.broken(Stuck, 1, "after %d rounds there is no rest", mostRounds)
	return nil
}

// settle runs a phone's exchange to its end and reports whether both sides then hold the same.
func (h *history) settle(p *phone) (calm bool, err error) {
	held := len(p.disk.order)
	for range mostRequests {
		if err := h.sendFrom(p); err != nil {
			return false, err
		}
		l := p.sent
		if err := h.serve(l); err != nil {
			return false, err
		}
		if err := h.hand(l, response(l.reply, bytes.NewReader(l.body)), nil); err != nil || h.trouble != "" {
			return false, err
		}
		if p.run == nil && p.token != "" {
			return len(p.disk.order) == held, nil
		}
	}
	h.broken(Stuck, 1, "%s does not come to an end: %d still wait", p.name, len(p.disk.waiting()))
	return false, nil
}

// check compares everything when all is quiet.
func (h *history) check() error {
	ids, raws, err := h.office.timeline()
	if err != nil {
		return err
	}
	h.office.compare(ids)
	set := reconcile.New()
	for _, raw := range raws {
		if _, err := set.Add(raw); err != nil {
			return fmt.Errorf("the office's store: %w", err)
		}
	}
	h.nothingLost("the office", set)
	want := record.Build(set.Resolve())
	results := result.Digest(result.All(want))
	for _, p := range h.phones {
		h.phoneAgrees(p, set, want, results)
	}
	h.chains(set)
	digest, err := h.office.results()
	if digest != results {
		h.broken(Diverged, 1, "the office's results, worked out step by step, are %s, from nothing %s", digest, results)
	}
	h.note("all hold %d entries, %x, results %s", set.Len(), set.Digest(), results)
	return err
}

// nothingLost: everything that a screen showed as saved is there, byte for byte.
func (h *history) nothingLost(where string, set *reconcile.Set) {
	lost, changed := 0, 0
	for _, id := range h.saved.order {
		if e, ok := set.Get(id); !ok {
			lost++
		} else if !bytes.Equal(e.Raw, h.saved.raw[id]) {
			changed++
		}
	}
	h.broken(Lost, lost, "%s lacks %d entries that a screen showed as saved", where, lost)
	h.broken(Diverged, changed, "%s holds %d entries with other bytes than were saved", where, changed)
}

// phoneAgrees: the phone holds the same, nothing twice, nothing waits, and it makes the same of it, step by step and from
// nothing.
func (h *history) phoneAgrees(p *phone, set *reconcile.Set, want *record.State, results string) {
	h.broken(Doubled, len(p.disk.order)-len(p.disk.rows), "%s holds entries twice", p.name)
	h.broken(Stuck, len(p.disk.waiting()), "%s still has entries waiting", p.name)
	h.nothingLost(p.name, p.work.Set)
	if p.work.Set.Digest() != set.Digest() {
		h.broken(Diverged, 1, "%s holds %d entries, the office %d, and they are not the same", p.name, p.work.Set.Len(), set.Len())
	}
	digest := p.work.Digest()
	state, _ := p.work.Now()
	if !bytes.Equal(state.Bytes(), want.Bytes()) {
		h.broken(Diverged, 1, "the record on %s, worked out step by step, is not the office's", p.name)
	}
	if fresh := record.Build(p.fresh().Resolve()); !bytes.Equal(fresh.Bytes(), want.Bytes()) {
		h.broken(Diverged, 1, "the record on %s, from nothing, is not the office's", p.name)
	}
	if digest != results {
		h.broken(Diverged, 1, "%s comes to the results %s, the office to %s", p.name, digest, results)
	}
	for _, q := range h.phones {
		if q != p && p.disk.log.seq > 0 && q.disk.log.seq > 0 && q.disk.log.log == p.disk.log.log {
			h.broken(Doubled, 1, "%s and %s still write one log", p.name, q.name)
		}
	}
}

// fresh is the phone's set in an order that it did not come in.
func (p *phone) fresh() *reconcile.Set {
	set := reconcile.New()
	for _, i := range p.h.rng.Perm(len(p.disk.order)) {
		set.AddEntry(p.disk.rows[p.disk.order[i]].Entry)
	}
	return set
}

// chains: every entry but the first of a log follows one that is there (I2).
func (h *history) chains(set *reconcile.Set) {
	for _, it := range set.Resolve().Ordered {
		before, ok := set.Get(it.Prev)
		if it.Seq > 1 && (!ok || before.Log != it.Log || before.Seq != it.Seq-1) {
			h.broken(Lost, 1, "entry %s, number %d of its log, follows nothing", it.ID, it.Seq)
		}
	}
	for _, p := range h.phones {
		own := p.disk.log
		if own.seq > 0 && slices.ContainsFunc(set.Forks(), func(f reconcile.Fork) bool { return f.Log == own.log }) {
			h.broken(Doubled, 1, "%s goes on with its log, which is forked, and not with a new one", p.name)
		}
		if e, ok := set.Get(own.prev); own.seq > 0 && (!ok || e.Seq != own.seq || e.Log != own.log) {
			h.broken(Lost, 1, "%s goes on with its log at %d, which is not there", p.name, own.seq)
		}
	}
}
