package sim

import (
	"errors"
	"maps"
	"slices"

	wire "witnessmark/server/phone"
	"witnessmark/sync/entry"
)

// disk is what a phone keeps when it is killed: the app's stores 'entries' and 'meta'.
type disk struct {
	rows   map[entry.ID]row
	order  []entry.ID // as they came, so that nothing depends on the order of a map
	log    head
	lease  wire.Lease
	cursor *wire.Cursor

	// The simulation's own notes. Overtaken: the office was put back and this phone cannot know it, because the new epoch was
	// forgotten or a reply was on its way, so that something here counts as handed in and is not. Only comparing the digests
	// finds it, and ends this. Until then another branch of the phone's own log may stand where the phone says that it holds
	// the log: passed are such entries, which the cursor went past.
	overtaken bool
	passed    map[entry.ID]bool
}

// row is an entry on the phone.
type row struct {
	entry.Entry
	waits bool // the office has not acknowledged it
}

// head is where the phone's own log has got to. The zero head: nothing has been written.
type head struct {
	log       entry.LogID
	seq       int64
	prev      entry.ID
	continues entry.ID // the branch head that a log begun after a copy was found goes on from
}

func newDisk() *disk { return &disk{rows: map[entry.ID]row{}, passed: map[entry.ID]bool{}} }

// copied is another phone's disk with the same on it.
func (d *disk) copied() *disk {
	c := *d
	c.rows, c.order, c.passed = maps.Clone(d.rows), slices.Clone(d.order), maps.Clone(d.passed)
	return &c
}

// waiting lists what waits, by log and place in it, as the app's index does.
func (d *disk) waiting() []row {
	var out []row
	for _, id := range d.order {
		if r := d.rows[id]; r.waits {
			out = append(out, r)
		}
	}
	slices.SortStableFunc(out, func(a, b row) int {
		if a.Log != b.Log {
			return cmpText(a.Log, b.Log)
		}
		return int(a.Seq - b.Seq)
	})
	return out
}

func cmpText[S ~string](a, b S) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// transaction is a list of changes of which all or none reach the disk.
type transaction []func(*disk)

func (t *transaction) put(r row) {
	*t = append(*t, func(d *disk) {
		if _, ok := d.rows[r.ID]; !ok {
			d.order = append(d.order, r.ID)
		}
		d.rows[r.ID] = r
	})
}

func (t *transaction) setLog(h head)            { *t = append(*t, func(d *disk) { d.log = h }) }
func (t *transaction) setLease(l wire.Lease)    { *t = append(*t, func(d *disk) { d.lease = l }) }
func (t *transaction) setCursor(c *wire.Cursor) { *t = append(*t, func(d *disk) { d.cursor = c }) }

// What can become of a transaction.
type fate int

const (
	completes  fate = iota
	runsFull        // the disk is full: nothing of it is there, and the page is told
	diesBefore      // the phone is killed before it is complete: nothing of it is there
	diesAfter       // the phone is killed when it is complete and before the page is told
)

var (
	errFull   = errors.New("the phone is full")
	errKilled = errors.New("the phone was killed")
)
