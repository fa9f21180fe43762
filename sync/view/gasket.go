package view

import (
	"slices"
	"strings"

	"witnessmark/sync/draw"
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/result"
)

// gasket is the choice of a gasket as a chart with its window, and the
// decision that may be taken on it.
func (v *viewer) gasket() (jcs.Value, error) {
	var all []*result.Res
	for i := range v.rs {
		if v.rs[i].Calc == "gasket" {
			all = append(all, &v.rs[i])
		}
	}
	if len(all) == 0 {
		return jcs.Obj(yes("found", false), jcs.M("trials", jcs.Arr())), nil
	}
	r := all[len(all)-1]
	if id := v.arg("id"); id != "" {
		i := slices.IndexFunc(all, func(x *result.Res) bool { return x.ID == id })
		if i < 0 {
			return jcs.Null(), ErrNowhere
		}
		r = all[i]
	}
	texts := map[string]string{}
	for _, x := range r.Vals {
		texts[x.Name] = x.Text
	}
	return jcs.Obj(yes("found", true), str("svg", chart(r)), jcs.M("result", v.whole(r)), str("from", texts["from"]), str("to", texts["to"]),
		str("best", texts["best"]), str("order", texts["order"]), list("trials", all, func(x *result.Res) jcs.Value {
			return jcs.Obj(str("id", x.ID), str("words", pattern.CondWords(x.Cond)))
		}), jcs.M("draft", v.gasketDraft(r, texts)), str("decided", v.decided(r))), nil
}

// gasketDraft is a decision for the best thickness, with what it rests on.
func (v *viewer) gasketDraft(r *result.Res, texts map[string]string) jcs.Value {
	if texts["best"] == "" {
		return jcs.Null()
	}
	value := func(t string) jcs.Value {
		if t == "" {
			return jcs.Null()
		}
		return jcs.Obj(str("t", t), str("u", "mm"))
	}
	return v.decide(r, "gasket", jcs.Obj(jcs.M("compressed", value(texts["best"])), jcs.M("free", value(texts["order"]))))
}

func (v *viewer) decided(r *result.Res) string {
	for _, d := range v.st.Decisions {
		if d.Decide == "gasket" && strings.Join(d.Asm, "+") == r.Asm {
			return d.Why
		}
	}
	return ""
}

// chart draws ratio and gap over the compressed thickness.
func chart(r *result.Res) string {
	if r.Chart == nil {
		return ""
	}
	return draw.Chart(*r.Chart)
}
