package numbers

import (
	"slices"

	"witnessmark/sync/record"
)

// snags has a row for each snag as it was raised, and one for each step after that.
func (j *job) snags() []byte {
	t := header(slices.Concat([]string{"snag's entry"}, whereHeads, []string{"what", "how much", "not run until seen dry", "state now", "not proven because"},
		[]string{"step", "what was done", "the other engine", "seen dry by", "on the test", "by", "time as the phone said", "note", "photos' entries", "why struck", "entry"})...)
	for i := range j.st.Snags {
		s := &j.st.Snags[i]
		word, doubt := j.print.Snag(s)
		head := slices.Concat([]string{string(s.ID)}, j.where(s.Of), []string{text(j.who.Text(s.What)), text(j.who.Text(s.Rate)), yes(s.Stop), text(j.who.Text(word)), text(j.who.Text(doubt))})
		raised := record.SnagStep{ID: s.ID, State: record.SnagRaised, By: s.By, At: s.At, Note: s.Note, Photos: s.Photos, Fate: s.Fate}
		for _, st := range append([]record.SnagStep{raised}, s.Steps...) {
			t.row(slices.Concat(head, []string{st.State, text(j.who.Text(st.Did)), text(j.who.Text(st.Twin)), text(j.who.Person(st.SeenBy)), string(st.Test),
				text(j.who.Person(st.By)), text(st.At), text(j.who.Text(st.Note)), ids(st.Photos), text(j.who.Text(st.Struck)), string(st.ID)})...)
		}
	}
	return t.bytes()
}
