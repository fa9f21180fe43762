package sim

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"math/rand/v2"
	"time"

	"witnessmark/sync/entry"
)

// history is one working life of a job.
type history struct {
	ctx     context.Context
	seed    uint64
	rng     *rand.Rand
	now     time.Time // the right time, which only the office has
	job     entry.JobID
	office  *server
	phones  []*phone // those that there still are
	letters []*letter
	late    []*letter // answered long ago; the network may bring one to the office again
	named   int       // phones so far
	numbers int       // letters so far
	saved   saved
	missing protection

	step    int
	digest  hash.Hash // of everything that happened
	trace   io.Writer
	trouble Trouble // the first that was found; it ends the history
	at      int
	count   int
	says    string
}

// saved is what screens have shown as saved.
type saved struct {
	raw   map[entry.ID][]byte
	order []entry.ID
}

func (s *saved) show(made []entry.Entry) {
	for _, e := range made {
		if _, ok := s.raw[e.ID]; !ok {
			s.order = append(s.order, e.ID)
		}
		s.raw[e.ID] = e.Raw
	}
}

// Histories begin with so many phones and never have more than most.
const (
	fewest, most = 3, 6
	// stream keeps a history's random numbers apart from others made of the same seed.
	stream = 0x5e1f
)

// oneLife lives one history: steps, then the healing, then the check.
func oneLife(ctx context.Context, opt Options, seed uint64, missing protection) (*history, error) {
	h := &history{
		ctx: ctx, seed: seed, rng: rand.New(rand.NewPCG(seed, stream)), now: time.Date(2031, 4, 12, 9, 0, 0, 0, time.UTC),
		saved: saved{raw: map[entry.ID][]byte{}}, digest: sha256.New(), trace: opt.Trace, missing: missing,
	}
	h.job = entry.JobID(h.draw())
	ground, err := opt.Grounds(ctx, fmt.Sprintf("%d", seed))
	if err != nil {
		return h, err
	}
	h.office = newServer(h, ground)
	err = h.all(opt.Steps)
	return h, errors.Join(err, h.office.stop(), ground.Clear(ctx))
}

// forget keeps only what is counted of a history: thousands of them are lived in one run.
func (h *history) forget() {
	h.office, h.phones, h.letters, h.late, h.saved.raw = nil, nil, nil, nil, nil
}

func (h *history) all(steps int) error {
	if err := h.office.start(); err != nil {
		return err
	}
	for range fewest + h.rng.IntN(most-fewest) {
		if err := h.join(); err != nil {
			return err
		}
	}
	for h.step = 1; h.step <= steps && h.trouble == ""; h.step++ {
		h.now = h.now.Add(time.Duration(1+h.rng.IntN(40)) * time.Second)
		if err := h.one(); err != nil {
			return fmt.Errorf("seed %d, step %d: %w", h.seed, h.step, err)
		}
	}
	if h.trouble == "" {
		if err := h.heal(); err != nil {
			return fmt.Errorf("seed %d, healing: %w", h.seed, err)
		}
	}
	if h.trouble == "" {
		return h.check()
	}
	return nil
}

// note writes down what happened: nothing that the server drew, only what the seed decides.
func (h *history) note(format string, args ...any) {
	line := fmt.Sprintf("%d: "+format+"\n", append([]any{h.step}, args...)...)
	h.digest.Write([]byte(line))
	if h.trace != nil {
		fmt.Fprint(h.trace, line)
	}
}

// broken notes that a promise was broken n times. The first counts.
func (h *history) broken(t Trouble, n int, format string, args ...any) {
	if h.trouble != "" || n == 0 {
		return
	}
	h.trouble, h.at, h.count, h.says = t, h.step, n, fmt.Sprintf(format, args...)
	h.note("%s: %s", t, h.says)
}

// draw is 128 bits of the seed as hex.
func (h *history) draw() string {
	var b [16]byte
	for i := range b {
		b[i] = byte(h.rng.Uint32())
	}
	return hex.EncodeToString(b[:])
}

// chance is true n times in a thousand.
func (h *history) chance(n int) bool { return h.rng.IntN(1000) < n }

func pick[T any](h *history, list []T) T { return list[h.rng.IntN(len(list))] }

// action is something that may happen, with how often in a thousand steps.
type action struct {
	often int
	do    func(h *history) error
}

// actions are in a fixed order, so that a seed means the same everywhere.
var actions = []action{
	{310, (*history).write},
	{230, (*history).send},
	{310, (*history).post},
	{25, (*history).killPhone},
	{20, (*history).armPhone},
	{10, (*history).giveUp},
	{20, (*history).look},
	{10, (*history).setClock},
	{10, (*history).backUpPhone},
	{10, (*history).restorePhone},
	{12, (*history).copyPhone},
	{5, (*history).losePhone},
	{8, (*history).newPhone},
	{8, (*history).backUpOffice},
	{6, (*history).restoreOffice},
	{6, (*history).killOffice},
}

// one lets one thing happen.
func (h *history) one() error {
	n := h.rng.IntN(1000)
	for _, a := range actions {
		if n -= a.often; n < 0 {
			return a.do(h)
		}
	}
	return nil
}
