package view

import (
	"slices"
	"strings"

	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
	"witnessmark/sync/result"
)

// losses are what was entered at places that a changed sheet no longer has, in
// the order in which they are met: it all stays in the log.
type losses struct {
	list []loss
}

type loss struct {
	words  string // "2117 · cylinder 6 goes"
	kinds  []string
	counts map[string]int
	after  [2]string // what becomes of it, and of several
}

var (
	shownAsGone = [2]string{"it stays in the log and is shown as 'no such place', until that is back", "they stay in the log and are shown as 'no such place', until that is back"}
	waitsForIt  = [2]string{"it stays in the log, and counts again when that is back", "they stay in the log, and count again when that is back"}
	ofAnother   = [2]string{"it was made on the stud that has its number now", "they were made on the studs that have their numbers now"}
)

func (l *losses) add(words string, after [2]string, kind string) {
	i := slices.IndexFunc(l.list, func(x loss) bool { return x.words == words })
	if i < 0 {
		i = len(l.list)
		l.list = append(l.list, loss{words: words, after: after, counts: map[string]int{}})
	}
	if !slices.Contains(l.list[i].kinds, kind) {
		l.list[i].kinds = append(l.list[i].kinds, kind)
	}
	l.list[i].counts[kind]++
}

// words says each loss: 'cylinder 6 goes: 4 readings and 1 note stand on it; they stay …'.
func (l *losses) words() []string {
	var out []string
	for _, x := range l.list {
		var parts []string
		for _, k := range x.kinds {
			parts = append(parts, newsWords(k, x.counts[k]))
		}
		last := len(parts) - 1
		what := parts[last]
		if last > 0 {
			what = strings.Join(parts[:last], ", ") + " and " + what
		}
		stand, after := " stand on it; ", x.after[1]
		if last == 0 && x.counts[x.kinds[0]] == 1 {
			stand, after = " stands on it; ", x.after[0]
		}
		out = append(out, x.words+": "+what+stand+after)
	}
	return out
}

// lostPlaces says what was entered at places that the changed sheet no longer
// has, engine by engine, and what else would be of another place then.
func (v *viewer) lostPlaces(d typeDraft) []string {
	if d.old == nil || d.old.Pattern == nil {
		return nil
	}
	was, l := d.old.Pattern, &losses{}
	ofType := func(asm string) bool {
		e, ok := v.st.Engine(asm)
		return ok && e.Type == d.key
	}
	gone := func(of record.Of, kind string) {
		if ofType(of.Asm) && of.At != "" && was.Has(of.At) && !d.now.Has(of.At) {
			l.add(of.Asm+" · "+goes(was, d.now, of.At), shownAsGone, kind)
		}
	}
	v.lostReadings(d, gone, l)
	v.lostTightenings(d, ofType, l)
	for _, x := range v.st.Checks {
		gone(x.Of, "check")
	}
	for _, x := range v.st.Asks {
		gone(x.Of, "ask")
	}
	for _, x := range v.st.Notes {
		gone(x.Of, "note")
	}
	for _, x := range v.st.Photos {
		gone(x.Of, "photo")
	}
	for _, x := range v.st.Voices {
		gone(x.Of, "voice")
	}
	for _, x := range v.st.Snags {
		gone(x.Of, "snag")
	}
	v.lostLimits(d, ofType, l)
	return l.words()
}

// goes names what goes: the whole cylinder where nothing of it is left, or one place of it.
func goes(was, now *pattern.Pattern, at string) string {
	if g, n, ok := was.GroupOf(at); ok {
		left := slices.ContainsFunc(now.Groups(), func(o pattern.Group) bool { return o.Key == g.Key && slices.Contains(o.Each, n) })
		if !left {
			return g.Word + " " + n + " goes"
		}
	}
	return was.Words(at) + " goes"
}

func (v *viewer) lostReadings(d typeDraft, gone func(record.Of, string), l *losses) {
	for _, p := range v.st.Places {
		for _, r := range p.Readings {
			e, ok := v.st.Engine(r.Asm)
			if !ok || e.Type != d.key || r.Struck != "" || !pointOf(d.old.Pattern, p.At, p.Point) || pointOf(d.now, p.At, p.Point) {
				continue
			}
			if d.now.Has(p.At) { // the place stays, this point of it does not
				l.add(r.Asm+" · "+v.placeName(e, p.At, p.Point)+" goes", waitsForIt, "reading")
				continue
			}
			gone(record.Of{Asm: r.Asm, At: p.At}, "reading")
		}
	}
}

// lostTightenings are those of fasteners that go, and of those that the new
// layout sets down elsewhere under the same number.
func (v *viewer) lostTightenings(d typeDraft, ofType func(string) bool, l *losses) {
	for _, j := range v.st.Joints {
		if !ofType(j.Asm) {
			continue
		}
		was, ok := d.old.Pattern.Joint(j.Joint)
		now, still := d.now.Joint(j.Joint)
		for _, p := range j.Passes {
			for _, name := range p.Done {
				switch {
				case !ok || !was.Has(name):
				case !still:
					l.add(j.Asm+" · "+was.Words+" goes", shownAsGone, "tighten")
				case !now.Has(name):
					l.add(j.Asm+" · "+was.Words+" stud "+name+" goes", shownAsGone, "tighten")
				case was.RowOf(name) != now.RowOf(name):
					l.add(j.Asm+" · "+was.Words+": its studs are numbered anew, and some numbers are another stud's then", ofAnother, "tighten")
				}
			}
		}
	}
}

// lostLimits are those of what is no longer measured on any engine of the type.
func (v *viewer) lostLimits(d typeDraft, ofType func(string) bool, l *losses) {
	after := result.Limits(d.now)
	for _, of := range result.Limits(d.old.Pattern) {
		if slices.ContainsFunc(after, func(o result.LimitOf) bool { return o.Names[0] == of.Names[0] }) {
			continue
		}
		for _, x := range v.st.Limits {
			if slices.Contains(of.Names, x.Name) && (x.Pattern == d.key || ofType(x.Asm)) {
				l.add(of.Words+" goes", waitsForIt, "limit")
			}
		}
	}
}

func pointOf(p *pattern.Pattern, at, point string) bool {
	pl, ok := p.Find(at)
	return ok && slices.Contains(pl.Feature.PointsOf(), point)
}
