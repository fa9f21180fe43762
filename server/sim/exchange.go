package sim

import (
	"errors"
	"net/http"
	"slices"
	"time"

	wire "witnessmark/server/phone"
	"witnessmark/sync/entry"
)

// run is one run of the exchange: until nothing waits and nothing is left, or something goes wrong.
type run struct{ restarted bool }

// letter is a request on its way. A phone has one at a time.
type letter struct {
	from   *phone
	head   wire.RequestHead
	batch  []row
	token  string
	number int
	reply  *http.Response // nil: not answered yet
	body   []byte         // of the reply
	era    int            // the office's generation when it answered
	stale  bool           // what came was the reply to another
}

// request is Exchange.once up to the sending. The next lease is on the disk before anything is sent.
func (p *phone) request() (*letter, error) {
	if p.run == nil {
		p.run = &run{}
	}
	l := &letter{from: p, token: p.token, batch: p.nextBatch(), head: wire.RequestHead{
		V: 1, Cursor: p.disk.cursor, Holds: map[entry.LogID]int64{}, Count: p.work.Set.Len(), Digest: p.digest(),
		Limit: p.limit, Time: p.clock().UTC().Format(time.RFC3339),
	}}
	// A phone that has written nothing has no log, and so nothing that could be copied.
	own := p.disk.log
	if own.seq == 0 {
		return l, nil
	}
	lease, err := p.lease()
	if err != nil {
		return nil, err
	}
	l.head.Log, l.head.Lease, l.head.Holds[own.log] = own.log, &lease, p.held(own, l.batch)
	if p.h.without(leases) {
		l.head.Lease = nil
	}
	return l, nil
}

// held is how far the office need not send the own log back. What it does not have yet may stand in another branch there.
func (p *phone) held(own head, batch []row) int64 {
	for _, r := range slices.Backward(batch) {
		if r.Log == own.log {
			return r.Seq // a batch is in order
		}
	}
	if len(batch) == len(p.disk.waiting()) {
		return own.seq
	}
	return 0
}

func (p *phone) nextBatch() []row {
	rows := p.disk.waiting()
	rows = rows[:min(len(rows), p.batch)]
	size := 0
	for i, r := range rows {
		if size += len(r.Raw); size > entry.MaxBatchBytes {
			return rows[:max(1, i)]
		}
	}
	return rows
}

func (p *phone) lease() (wire.Lease, error) {
	held := p.disk.lease
	if held.Current == "" {
		held.Current = p.h.draw()
	}
	if held.Next != "" {
		return held, nil
	}
	held.Next = p.h.draw()
	var tx transaction
	tx.setLease(held)
	return held, p.commit(tx)
}

// receive is Exchange.once from the reply on. An error ends the run; what was not acknowledged still waits.
func (p *phone) receive(l *letter, res *http.Response) error {
	head, page, err := p.readReply(res)
	if errors.Is(err, wire.ErrNotOffice) && p.h.without(officeOnly) {
		return p.believe(l)
	}
	if err != nil {
		return err
	}
	done, err := p.settle(l, head, page)
	if err != nil {
		return err
	}
	p.h.watchSettled(p, l, head, done)
	if done {
		p.run = nil
	}
	return nil
}

func (p *phone) readReply(res *http.Response) (wire.ReplyHead, [][]byte, error) {
	if p.h.without(wholeReplies) {
		return anyPart(res)
	}
	return wire.ReadReply(res, wire.Expect{Server: p.who.server, Workspace: p.who.workspace, Job: p.h.job})
}

// settle takes over a reply in one transaction: what was acknowledged, the page, the cursor, the lease.
func (p *phone) settle(l *letter, head wire.ReplyHead, page [][]byte) (done bool, err error) {
	if head.Stored+head.Held+len(head.Bad) != len(l.batch) {
		return false, wire.ErrNotOffice
	}
	if len(head.Bad) > 0 {
		p.h.broken(Lost, len(head.Bad), "%s: the office takes an entry for none: %s", p.name, head.Bad[0].Why)
		return false, wire.ErrNotOffice
	}
	var tx transaction
	for _, r := range l.batch {
		r.waits = false
		tx.put(r)
	}
	again := head.Status == wire.StartAgain
	var fresh []entry.Entry
	if !again {
		if fresh, err = p.read(&tx, page); err != nil {
			return false, err
		}
	}
	if l.head.Lease != nil {
		tx.setLease(wire.Lease{Current: l.head.Lease.Next})
	}
	if head.Status == wire.NewLog {
		tx.setLog(head0(p.h.draw(), p.disk.log.prev))
	}
	if again {
		p.offerAll(&tx, head)
	} else {
		tx.setCursor(&head.Cursor)
	}
	if p.next == diesBefore && p.h.without(oneTransaction) {
		tx[len(tx)/2:].apply(p.disk)
	}
	if err := p.commit(tx); err != nil {
		return false, err
	}
	p.h.note("%s settles: %s", p.name, head.Status)
	for _, e := range fresh {
		p.work.Set.AddEntry(e)
	}
	if again {
		if p.h.without(union) {
			p.start()
		}
		return false, nil
	}
	return p.agrees(head)
}

func head0(log string, continues entry.ID) head {
	return head{log: entry.LogID(log), continues: continues}
}

// read puts what is new of a page into the transaction.
func (p *phone) read(tx *transaction, page [][]byte) (fresh []entry.Entry, err error) {
	for _, raw := range page {
		e, err := entry.Read(raw)
		if err != nil {
			return nil, errors.Join(wire.ErrNotOffice, err)
		}
		_, held := p.disk.rows[e.ID]
		if held && p.h.without(duplicates) {
			p.disk.order = append(p.disk.order, e.ID)
		}
		if held || (!e.Known() && p.h.without(unknownKinds)) {
			continue
		}
		tx.put(row{Entry: e})
		fresh = append(fresh, e)
	}
	return fresh, nil
}

// offerAll: before the copy is read anew every entry that the office may lack is offered, of any log. The epoch stays known.
func (p *phone) offerAll(tx *transaction, head wire.ReplyHead) {
	beginning := wire.Beginning(head.Cursor.Epoch)
	tx.setCursor(&beginning)
	if p.h.without(union) {
		tx.forget()
		return
	}
	there := p.behind(head.Heads)
	for _, id := range p.disk.order {
		if r := p.disk.rows[id]; !there[id] {
			r.waits = true
			tx.put(r)
		}
	}
}

// behind is what the office has for certain: the chain behind each head. The rest of a log may be another branch than the
// one that is there.
func (p *phone) behind(heads map[entry.LogID]wire.LogHead) map[entry.ID]bool {
	there := map[entry.ID]bool{}
	for _, head := range heads {
		r, ok := p.disk.rows[head.ID]
		for ok && !head.Forked {
			there[r.ID] = true
			r, ok = p.disk.rows[r.Prev]
		}
	}
	return there
}

// agrees compares both sides when all is handed in and fetched. A difference is met once in a run by offering and reading
// everything anew.
func (p *phone) agrees(head wire.ReplyHead) (done bool, err error) {
	if head.More || head.Cursor.Pos != head.Count || len(p.disk.waiting()) > 0 {
		return false, nil
	}
	if p.digest() == head.Digest || p.h.without(comparing) {
		return true, nil
	}
	if p.run.restarted {
		return true, nil // told to the user: they still differ
	}
	p.run.restarted = true
	var tx transaction
	p.offerAll(&tx, wire.ReplyHead{Cursor: head.Cursor})
	return false, p.commit(tx)
}
