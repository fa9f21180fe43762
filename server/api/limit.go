package api

import (
	"sync"
	"time"
)

// limit is a bucket: burst requests at once, then one each every.
type limit struct {
	burst int
	every time.Duration
}

// Chosen for a workshop behind one address with a dozen phones (common practice, no source). Pairing has its own count of
// wrong tries in package access.
var (
	pairLimit   = limit{burst: 20, every: 3 * time.Second}
	tokenLimit  = limit{burst: 120, every: 500 * time.Millisecond}
	openLimit   = limit{burst: 30, every: 2 * time.Second}
	viewLimit   = limit{burst: 300, every: 100 * time.Millisecond}
	liveLimit   = limit{burst: 120, every: 500 * time.Millisecond}
	deviceLimit = limit{burst: 2000, every: 20 * time.Millisecond}
)

// maxBuckets bounds the memory; when it is reached, the full buckets are forgotten, which gives nobody anything.
const maxBuckets = 20_000

type limits struct {
	now     func() time.Time
	mu      *sync.Mutex
	buckets map[string]bucket
}

// bucket says when the bucket will be full again, and how much of that one request takes.
type bucket struct{ full time.Time }

func newLimits(now func() time.Time) limits {
	return limits{now: now, mu: &sync.Mutex{}, buckets: map[string]bucket{}}
}

// take counts one request of name and returns how long it must wait; 0 = it may go on. A refused one is not counted.
func (l limits) take(name string, lim limit) time.Duration {
	l.mu.Lock()
	defer l.mu.Unlock()
	now := l.now()
	full := l.buckets[name].full
	if full.Before(now) {
		full = now
	}
	full = full.Add(lim.every)
	if over := full.Sub(now) - time.Duration(lim.burst)*lim.every; over > 0 {
		return over
	}
	if len(l.buckets) >= maxBuckets {
		l.tidy(now)
	}
	l.buckets[name] = bucket{full: full}
	return 0
}

func (l limits) tidy(now time.Time) {
	for name, b := range l.buckets {
		if !b.full.After(now) {
			delete(l.buckets, name)
		}
	}
}
