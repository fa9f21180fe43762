// Package sim lives whole working lives of a job in one process: phones, the network between, the real server on a real
// store. One seed decides everything that happens: what is measured and corrected, what is dropped, cut, doubled, answered by
// a stranger, when a phone or the server is killed in the middle of a write, copied, put back from a backup or lost, what
// their clocks say. At the end the network heals, the queues empty, and what is promised must hold (T67).
//
// The simulated phone does what the app does (pwa/src/log, pwa/src/net/exchange.ts), function by function, over a disk that
// can be killed. The server's handlers, the store and the core are the product itself. Whoever breaks a protection on purpose
// (fault.go) must see a history fail.
package sim

import (
	"context"
	"errors"
	"fmt"
	"io"
	"sync"

	"witnessmark/server/store"
)

// Options says which histories to live.
type Options struct {
	Seed    uint64 // of the first history; the next has the next
	Seeds   int
	Steps   int // of each history
	Grounds func(ctx context.Context, name string) (Ground, error)
	Again   string    // how to call the program for one seed, for the report; %d is the seed
	Trace   io.Writer // nil: none; else every step is written to it
	At      int       // histories at the same time; 0 = 1
}

// Ground is what a server's data stands on. It is used by one history at a time.
type Ground interface {
	// Open opens the store. The caller closes it before anything else but Copy.
	Open(ctx context.Context) (store.Store, error)
	// Copy keeps the data as they are on the disk at this moment under a name, over what was kept under it before.
	Copy(ctx context.Context, name string) error
	// CopiesShut says that Copy needs the store closed too.
	CopiesShut() bool
	// PutBack replaces the data with what was kept under a name.
	PutBack(ctx context.Context, name string) error
	// Clear removes everything.
	Clear(ctx context.Context) error
}

// Trouble is what kind of promise was broken.
type Trouble string

const (
	Lost     Trouble = "lost"     // an entry shown as saved, or said to be at the office, is not there (I1)
	Doubled  Trouble = "doubled"  // an entry is there twice, or two phones go on with one log (I2)
	Diverged Trouble = "diverged" // two sides differ in what they hold or make of it (I3, I5)
	Stuck    Trouble = "stuck"    // a queue does not empty, or a step cannot be carried out
)

// Outcome counts what became of the histories.
type Outcome struct {
	Seeds, Histories, Entries      int
	Lost, Doubled, Diverged, Stuck int
	Reports                        []string // one for each history that failed: seed, step, what, how to run it again
}

// Good says whether every promise held.
func (o Outcome) Good() bool { return o.Lost+o.Doubled+o.Diverged+o.Stuck == 0 }

func (o Outcome) String() string {
	return fmt.Sprintf("seeds=%d histories=%d entries=%d lost=%d doubled=%d diverged=%d stuck=%d",
		o.Seeds, o.Histories, o.Entries, o.Lost, o.Doubled, o.Diverged, o.Stuck)
}

func (o *Outcome) add(h *history, again string) {
	o.Histories++
	o.Entries += len(h.saved.order)
	if h.trouble == "" {
		return
	}
	switch h.trouble {
	case Lost:
		o.Lost += h.count
	case Doubled:
		o.Doubled += h.count
	case Diverged:
		o.Diverged += h.count
	case Stuck:
		o.Stuck += h.count
	}
	report := fmt.Sprintf("seed %d, step %d: %s: %s", h.seed, h.at, h.trouble, h.says)
	if again != "" {
		report += "; again: " + fmt.Sprintf(again, h.seed)
	}
	o.Reports = append(o.Reports, report)
}

// Run lives the histories. It returns an error only when one could not be lived: what went wrong in it is in the outcome.
func Run(ctx context.Context, opt Options) (Outcome, error) {
	out := Outcome{Seeds: opt.Seeds}
	lived := make([]*history, opt.Seeds)
	errs := make([]error, opt.Seeds)
	next := make(chan int)
	var all sync.WaitGroup
	for range max(1, opt.At) {
		all.Go(func() {
			for i := range next {
				lived[i], errs[i] = oneLife(ctx, opt, opt.Seed+uint64(i), "")
				lived[i].forget()
			}
		})
	}
	for i := range opt.Seeds {
		next <- i
	}
	close(next)
	all.Wait()
	if err := errors.Join(errs...); err != nil {
		return out, err
	}
	for _, h := range lived {
		out.add(h, opt.Again)
	}
	return out, nil
}
