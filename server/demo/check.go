package demo

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"

	"witnessmark/server/phone"
	"witnessmark/sync/entry"
	"witnessmark/sync/reconcile"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// The check's network: of a hundred requests so many are lost before the server has them, so many replies after.
const (
	phonesChecked = 3
	lostRequests  = 20
	lostReplies   = 20
	maxBatch      = 40
	maxTries      = 10_000
)

// Office is the server as the check asks it, past the network.
type Office struct {
	URL    string
	Pair   Pair
	Held   func(ctx context.Context) (count int64, raws [][]byte, err error) // what it holds of the job, past the network
	Digest func(ctx context.Context) (string, error)                         // of its results, when it has worked through all
}

// Outcome is what a check found. Digests are the phones' and, last, the office's.
type Outcome struct {
	Phones, Entries, Lost, Doubled int
	Digests                        []string
}

// Equal says whether every digest is the same, and there is one.
func (o Outcome) Equal() bool {
	for _, d := range o.Digests {
		if d == "" || d != o.Digests[0] {
			return false
		}
	}
	return len(o.Digests) > 0
}

// Good says whether nothing was lost or doubled and all agree.
func (o Outcome) Good() bool { return o.Lost == 0 && o.Doubled == 0 && o.Equal() }

func (o Outcome) String() string {
	digests := "equal"
	if !o.Equal() {
		digests = "different"
	}
	return fmt.Sprintf("phones=%d entries=%d lost=%d doubled=%d digests=%s", o.Phones, o.Entries, o.Lost, o.Doubled, digests)
}

// Check sends the story's logs from three phones, each carrying some of them, in an order that the seed shuffles, over a
// network that loses requests and replies, some of it twice; then every phone fetches everything. It returns an error only
// when it could not be carried out: what it finds is in the outcome.
func Check(ctx context.Context, office Office, story *Story, seed uint64) (Outcome, error) {
	rng := rand.New(rand.NewPCG(seed, seed))
	phones, err := checkPhones(ctx, office, story, rng)
	if err != nil {
		return Outcome{}, err
	}
	queues := deal(story, rng)
	for left := story.Len(); left > 0; {
		i := rng.IntN(len(phones))
		n := min(1+rng.IntN(maxBatch), len(queues[i]))
		for _, e := range queues[i][:n] {
			if err := phones[i].Carry(e.Raw); err != nil {
				return Outcome{}, err
			}
		}
		queues[i], left = queues[i][n:], left-n
		if rng.IntN(4) == 0 {
			phones[i].Repeat(rng.IntN(maxBatch))
		}
		if _, err := phones[i].ExchangeOnce(ctx); err != nil && !errors.Is(err, phone.ErrLost) {
			return Outcome{}, err
		}
	}
	for _, p := range append(phones, phones...) { // twice: the last to hand in has news for the first
		if err := untilDone(ctx, p); err != nil {
			return Outcome{}, err
		}
	}
	return compare(ctx, office, story, phones)
}

func checkPhones(ctx context.Context, office Office, story *Story, rng *rand.Rand) ([]*phone.Phone, error) {
	var phones []*phone.Phone
	for i := range phonesChecked {
		bad := &phone.BadNetwork{Rng: rng, Through: http.DefaultTransport}
		p := phone.New(phone.Config{
			URL: office.URL, Job: story.Job, Name: story.Logs[i].Device, Of: story.Logs[i].Of, Log: story.Logs[i].ID,
			Transport: bad, Limit: 1 + rng.IntN(2*maxBatch),
		})
		code, err := office.Pair(ctx, "fitter")
		if err != nil {
			return nil, err
		}
		if err := p.Pair(ctx, code); err != nil {
			return nil, err
		}
		bad.Request, bad.Reply = lostRequests, lostReplies
		phones = append(phones, p)
	}
	return phones, nil
}

// deal gives every device log to one of the phones and shuffles what each has.
func deal(story *Story, rng *rand.Rand) [phonesChecked][]entry.Entry {
	var queues [phonesChecked][]entry.Entry
	for i, log := range story.Logs {
		k := i % phonesChecked
		queues[k] = append(queues[k], log.Entries...)
	}
	for _, q := range queues {
		rng.Shuffle(len(q), func(i, j int) { q[i], q[j] = q[j], q[i] })
	}
	return queues
}

func untilDone(ctx context.Context, p *phone.Phone) error {
	for range maxTries {
		err := p.Exchange(ctx)
		if !errors.Is(err, phone.ErrLost) {
			return err
		}
	}
	return fmt.Errorf("after %d tries: %w", maxTries, phone.ErrLost)
}

func compare(ctx context.Context, office Office, story *Story, phones []*phone.Phone) (Outcome, error) {
	digest, err := office.Digest(ctx)
	if err != nil {
		return Outcome{}, err
	}
	count, raws, err := office.Held(ctx)
	if err != nil {
		return Outcome{}, err
	}
	sets := make([]*reconcile.Set, 0, len(phones)+1)
	for _, p := range phones {
		sets = append(sets, p.Set())
	}
	held := reconcile.New()
	for _, raw := range raws {
		if _, err := held.Add(raw); err != nil {
			return Outcome{}, err
		}
	}
	out := Compare(story, append(sets, held), max(int(count), len(raws)))
	out.Phones, out.Digests = len(phones), append(out.Digests[:len(phones)], digest)
	return out, nil
}

// Compare counts what is missing in any of the sets and what the server, whose set is the last and which has stored so many
// entries, has more than once, and works out the digest of the results of each set.
func Compare(story *Story, sets []*reconcile.Set, stored int) Outcome {
	out := Outcome{Entries: story.Len()}
	lost := map[entry.ID]bool{}
	for _, s := range sets {
		for _, log := range story.Logs {
			for _, e := range log.Entries {
				lost[e.ID] = lost[e.ID] || !s.Has(e.ID)
			}
		}
		out.Digests = append(out.Digests, digestOf(s))
	}
	for _, gone := range lost {
		if gone {
			out.Lost++
		}
	}
	out.Doubled = max(0, stored-sets[len(sets)-1].Len())
	return out
}

// digestOf runs the core as a phone does.
func digestOf(s *reconcile.Set) string { return result.Digest(result.All(record.Build(s.Resolve()))) }
