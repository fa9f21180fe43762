package view

import (
	"slices"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

// early is what one log says of a part on a day before the part came.
type early struct {
	log   entry.LogID
	count int
	day   string
}

// tooEarly finds a wrong clock by cause and effect: a part cannot be measured before it came. The days of readings are those of
// the phone that wrote them, unless a reading states when it was made; a part came on the first day that somebody states. Nothing
// is put right by it: times stay as they were written, and decide nothing.
func (v *viewer) tooEarly(p *record.Part) (came string, out []early) {
	if came = arrival(p); came == "" {
		return "", nil
	}
	for _, pl := range v.st.Places {
		for _, r := range pl.Readings {
			if isEarly(p, came, pl, r) {
				out = withEarly(out, r)
			}
		}
	}
	return came, out
}

// isEarly: the reading is of that part, or of a trial with it, and from before it came.
func isEarly(p *record.Part, came string, pl record.Place, r record.Reading) bool {
	return (pl.Key == p.Key || pl.Cond == "trial:"+p.Key) && r.When == "" && day(r.At) < came
}

// arrival is the day on which a part first came; "" when it was here before, as one that came back from the grinder.
func arrival(p *record.Part) string {
	came, at := "", 0
	for i, s := range p.Story {
		if s.State == "received" && (came == "" || s.On < came) {
			came, at = s.On, i
		}
	}
	for i, s := range p.Story {
		here := slices.Contains([]string{"sent", "fitted", "removed", "machined"}, s.State) && i < at
		if here || s.State == "sent" && s.On < came { // the days of the others may be those of the clock that is looked for
			return ""
		}
	}
	return came
}

func withEarly(out []early, r record.Reading) []early {
	i := slices.IndexFunc(out, func(e early) bool { return e.log == r.Log })
	if i < 0 {
		return append(out, early{r.Log, 1, day(r.At)})
	}
	out[i].count++
	out[i].day = min(out[i].day, day(r.At))
	return out
}

// earlyWords says it of each phone.
func (v *viewer) earlyWords(p *record.Part) jcs.Value {
	came, all := v.tooEarly(p)
	var out []string
	for _, e := range all {
		out = append(out, count(e.count)+" of its readings are of "+e.day+" by the clock of "+v.phoneOf(e.log)+", and it came on "+came+": that clock was wrong, or one of the days is. "+
			"Times stand as they were written, and decide nothing.")
	}
	return jcs.Strs(out)
}

// earlyReading says it of one reading; "" when nothing is odd.
func (v *viewer) earlyReading(pl record.Place, r record.Reading) string {
	for i := range v.st.Parts {
		p := &v.st.Parts[i]
		if came := arrival(p); isEarly(p, came, pl, r) {
			return "by the phone's clock this was before " + p.Key + " came, on " + came
		}
	}
	return ""
}

// phoneOf is the name of the phone that writes a log, and whose it is.
func (v *viewer) phoneOf(log entry.LogID) string {
	for _, l := range v.st.Logs {
		if l.Log != log || l.Name == "" {
			continue
		}
		if l.Of == "" {
			return l.Name
		}
		return l.Name + ", " + v.person(l.Of)
	}
	return "a phone"
}
