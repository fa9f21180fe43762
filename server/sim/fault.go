package sim

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"

	wire "witnessmark/server/phone"
)

// protection is one of the things that keep data safe. A history can be lived without one, to prove that the simulation
// would see its loss. The hooks are in the simulated phone, its network and the wrapper around the store, never in the
// product.
type protection string

const (
	none protection = ""
	// What waits is on the disk, not in memory (T2).
	keepingUnsent protection = "keeping unsent entries"
	// 'Saved' is said when the transaction is complete (T1).
	savedWhenComplete protection = "saying saved when it is"
	// A page, its cursor and what it acknowledges are one transaction (T20).
	oneTransaction protection = "page and cursor in one transaction"
	// A reply counts only when it is the office's (T17).
	officeOnly protection = "taking only the office's replies"
	// A reply counts only when it is whole (T17).
	wholeReplies protection = "taking only whole replies"
	// A lease tells a copied phone from a lost reply (T11).
	leases protection = "leases"
	// Before the copy is replaced what the office lacks is offered, and the swap is a union (T21).
	union protection = "offering before reading anew"
	// Both sides compare what they hold (T22).
	comparing protection = "comparing digests"
	// An entry that is held already is not taken a second time (I2).
	duplicates protection = "ignoring duplicates"
	// What is not understood is kept (T43).
	unknownKinds protection = "keeping unknown kinds"
	// The office says that it has something when it is on its disk (T13, T58).
	commitFirst protection = "committing before acknowledging"
	// A cursor is recognised by its digest (T21).
	cursorDigest protection = "the cursor's digest"
)

// without says whether the history is lived without a protection.
func (h *history) without(p protection) bool { return h.missing == p }

// acknowledged is a disk without what waits.
func (d *disk) acknowledged() *disk {
	rest := newDisk()
	rest.log, rest.lease, rest.cursor = d.log, d.lease, d.cursor
	for _, id := range d.order {
		if r := d.rows[id]; !r.waits {
			rest.rows[id], rest.order = r, append(rest.order, id)
		}
	}
	return rest
}

// forget drops the copy, to be replaced by the office's.
func (t *transaction) forget() {
	*t = append(*t, func(d *disk) { d.rows, d.order = newDisk().rows, nil })
}

// believe takes any answer for the office's: all is handed in.
func (p *phone) believe(l *letter) error {
	var tx transaction
	for _, r := range l.batch {
		r.waits = false
		tx.put(r)
	}
	p.run = nil
	if err := p.commit(tx); err != nil || len(p.disk.waiting()) > 0 {
		return err
	}
	p.h.claimed(p)
	return nil
}

// anyPart reads as much of a reply as there is and asks no further.
func anyPart(res *http.Response) (head wire.ReplyHead, page [][]byte, err error) {
	if res.StatusCode != http.StatusOK {
		return head, nil, wire.ErrNotOffice
	}
	body, _ := io.ReadAll(res.Body) // what there is
	lines := bytes.Split(body, []byte("\n"))
	if json.Unmarshal(lines[0], &head) != nil {
		return head, nil, wire.ErrNotOffice
	}
	return head, lines[1 : len(lines)-1], nil
}
