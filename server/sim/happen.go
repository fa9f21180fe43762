package sim

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"witnessmark/sync/entry"
)

// people write under these names; a copied phone keeps its owner.
var people = []string{"maud", "idris", "pell", "bram", "tamsin", "orla"}

// join pairs a new phone.
func (h *history) join() error {
	p := &phone{
		h: h, name: fmt.Sprintf("P%d", h.named), of: people[h.named%len(people)], disk: newDisk(), newer: h.chance(250),
		batch: pick(h, []int{2, 9, entry.MaxBatchEntries}), limit: pick(h, []int{1, 5, 20, 2000}),
	}
	h.named++
	if h.chance(300) {
		p.skew = h.anyClock()
	}
	p.start()
	if err := h.office.pair(p); err != nil {
		return fmt.Errorf("pair %s: %w", p.name, err)
	}
	h.phones = append(h.phones, p)
	h.note("%s joins", p.name)
	return nil
}

// running picks a phone that is switched on, switching one on if need be.
func (h *history) running() *phone {
	p := pick(h, h.phones)
	if !p.up {
		p.start()
		h.note("%s starts with %d entries", p.name, len(p.disk.order))
	}
	return p
}

func (h *history) write() error {
	p := h.running()
	d := h.anything(p)
	err := p.keep(d)
	h.note("%s writes %s, seq %d: %v", p.name, d.kind, p.disk.log.seq, err)
	if errors.Is(err, errFull) || errors.Is(err, errKilled) {
		return nil // not shown as saved
	}
	return err
}

func (h *history) send() error {
	p := h.running()
	if p.sent != nil {
		return nil
	}
	return h.sendFrom(p)
}

// sendFrom begins the next request of a phone.
func (h *history) sendFrom(p *phone) error {
	if p.token == "" {
		if err := h.office.buyToken(p); err != nil {
			return fmt.Errorf("token for %s: %w", p.name, err)
		}
	}
	l, err := p.request()
	if errors.Is(err, errFull) || errors.Is(err, errKilled) {
		h.note("%s cannot send: %v", p.name, err)
		p.run = nil
		return nil
	}
	if err != nil {
		return err
	}
	h.numbers++
	l.number, p.sent = h.numbers, l
	h.letters = append(h.letters, l)
	h.note("%s sends %d: %d entries", p.name, l.number, len(l.batch))
	return nil
}

func (h *history) killPhone() error {
	p := h.running()
	p.kill()
	h.note("%s is killed", p.name)
	return nil
}

// armPhone says what becomes of the phone's next transaction.
func (h *history) armPhone() error {
	p := h.running()
	p.next = pick(h, []fate{runsFull, diesBefore, diesBefore, diesAfter})
	h.note("%s: next write %d", p.name, p.next)
	return nil
}

// giveUp is a request's deadline.
func (h *history) giveUp() error {
	p := h.running()
	if p.sent == nil {
		return nil
	}
	h.note("%s gives %d up", p.name, p.sent.number)
	p.sent, p.run = nil, nil
	return nil
}

// look makes a phone or the office work out where the job stands, so that later they go on from there.
func (h *history) look() error {
	if h.chance(300) {
		digest, err := h.office.results()
		h.note("the office looks: %s", digest)
		return err
	}
	p := h.running()
	h.note("%s looks: %s", p.name, p.work.Digest())
	return nil
}

func (h *history) setClock() error {
	p := pick(h, h.phones)
	p.skew = h.anyClock()
	h.note("%s: clock off by %s", p.name, p.skew)
	return nil
}

// anyClock is a clock as phones have them: right, minutes off, years off, in 1970.
func (h *history) anyClock() time.Duration {
	const year = 365 * 24 * time.Hour
	return pick(h, []time.Duration{0, 7 * time.Minute, -9 * time.Hour, 3 * year, -5 * year, time.Unix(0, 0).Sub(h.now).Round(time.Hour)})
}

func (h *history) backUpPhone() error {
	p := pick(h, h.phones)
	p.old = p.disk.copied()
	h.note("%s is backed up", p.name)
	return nil
}

// restorePhone puts a phone's backup back, unless it has something since then that nobody else has: that would be gone
// whatever anybody did.
func (h *history) restorePhone() error {
	p := pick(h, h.phones)
	if p.old == nil || len(h.onlyOn(p, p.old)) > 0 {
		return nil
	}
	p.goBack()
	h.note("%s is put back to %d entries", p.name, len(p.disk.order))
	return nil
}

func (h *history) copyPhone() error {
	if len(h.phones) >= most {
		return nil
	}
	p := pick(h, h.phones)
	c := p.copied(fmt.Sprintf("P%d", h.named))
	h.named++
	h.phones = append(h.phones, c)
	h.note("%s is a copy of %s", c.name, p.name)
	return nil
}

// losePhone drops a phone in the canal, unless something would be gone with it.
func (h *history) losePhone() error {
	p := pick(h, h.phones)
	if len(h.phones) < fewest || len(h.onlyOn(p, nil)) > 0 {
		return nil
	}
	p.kill()
	h.phones = slices.DeleteFunc(h.phones, func(q *phone) bool { return q == p })
	h.note("%s is lost", p.name)
	return nil
}

func (h *history) newPhone() error {
	if len(h.phones) >= most {
		return nil
	}
	return h.join()
}

func (h *history) backUpOffice() error {
	h.note("the office is backed up at %d", len(h.office.twin))
	return h.office.backUp()
}

// restoreOffice puts the office's backup back, unless something would be gone with it. Now and then the new epoch is
// forgotten: then the cursors' digests must tell.
func (h *history) restoreOffice() error {
	if !h.office.backedUp || len(h.gone(h.office.kept)) > 0 {
		return nil
	}
	fresh := !h.chance(400)
	h.note("the office is put back from %d to %d, new epoch %v", len(h.office.twin), len(h.office.kept), fresh)
	return h.office.restore(fresh)
}

func (h *history) killOffice() error {
	h.note("the office is killed at %d", len(h.office.twin))
	return h.office.kill()
}

// onlyOn lists what would be gone with a phone's disk when instead stays.
func (h *history) onlyOn(p *phone, instead *disk) (out []entry.ID) {
	for _, id := range p.disk.order {
		if h.office.has(id) || (instead != nil && instead.has(id)) || h.heldBeside(p, id) {
			continue
		}
		out = append(out, id)
	}
	return out
}

func (h *history) heldBeside(p *phone, id entry.ID) bool {
	return slices.ContainsFunc(h.phones, func(q *phone) bool { return q != p && q.disk.has(id) })
}

// gone lists what the office has beyond a backup that no phone holds.
func (h *history) gone(kept []entry.ID) (out []entry.ID) {
	was := map[entry.ID]bool{}
	for _, id := range kept {
		was[id] = true
	}
	for _, id := range h.office.twin {
		if !was[id] && !h.heldBeside(nil, id) {
			out = append(out, id)
		}
	}
	return out
}

func (d *disk) has(id entry.ID) bool {
	_, ok := d.rows[id]
	return ok
}
