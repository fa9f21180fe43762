package view

import (
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
)

// undo is the entry that takes back the one that was just kept. What took the
// place of something else gives it back: the earlier words stand again, as a
// new entry. What settled several cannot be undone in passing: null.
func (v *viewer) undo() (jcs.Value, error) {
	id := entry.ID(v.arg("id"))
	now, ok := v.st.Saying(id)
	if !ok {
		return jcs.Null(), ErrNowhere
	}
	over := jcs.M("over", jcs.Strs([]string{string(id)}))
	if len(now.Over) == 0 {
		return jcs.Obj(str("kind", "withdraw"), jcs.M("body", jcs.Obj(str("why", "undone at once"))), over, text("words", now.Words)), nil
	}
	before, ok := v.st.Saying(now.Over[0])
	if len(now.Over) > 1 || !ok || before.Kind != now.Kind {
		return jcs.Null(), nil
	}
	return jcs.Obj(str("kind", before.Kind), jcs.M("body", before.Body), over, jcs.M("after", ids(before.After)), text("words", now.Words), text("back", before.Words)), nil
}

func ids(of []entry.ID) jcs.Value {
	out := make([]string, len(of))
	for i, id := range of {
		out[i] = string(id)
	}
	return jcs.Strs(out)
}
