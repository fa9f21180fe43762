package view

import (
	"slices"

	"witnessmark/sync/calc"
	"witnessmark/sync/draw"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
)

// tighten is a joint: its map, its passes, and the fastener that is next.
func (v *viewer) tighten() (jcs.Value, error) {
	e, err := v.theEngine()
	if err != nil {
		return jcs.Null(), err
	}
	sheet, ok := e.Pattern.Joint(v.arg("joint"))
	if !ok {
		return jcs.Null(), ErrNowhere
	}
	cond := v.arg("cond")
	if cond == "" {
		cond = "built"
	}
	have := v.joint(e.Serial, sheet.Joint, cond)
	pass := openPass(sheet, have)
	if n := int(v.args.Get("pass").Int64()); n > 0 {
		pass = n
	}
	next := nextFastener(sheet, have, pass)
	return jcs.Obj(jcs.M("engine", v.tag(e)), jcs.M("of", of(e, sheet.Joint, "")), str("joint", sheet.Joint), str("words", sheet.Words), str("cond", cond),
		list("conds", v.jointConds(e.Serial, sheet.Joint), condLine), text("svg", draw.Joint(sheet, e.Serial, passesDone(have), next)),
		v.passes(sheet, have), num("pass", pass), str("next", next), text("thread", sheet.Thread), jcs.M("order", jcs.Strs(sheet.Order)), v.tools()), nil
}

func (v *viewer) joint(asm, joint, cond string) record.Joint {
	for _, j := range v.st.Joints {
		if j.Asm == asm && j.Joint == joint && j.Cond == cond {
			return j
		}
	}
	return record.Joint{Asm: asm, Joint: joint, Cond: cond}
}

func (v *viewer) jointConds(asm, joint string) []string {
	conds := append([]string{"built"}, v.trials()...)
	for _, j := range v.st.Joints {
		if j.Asm == asm && j.Joint == joint {
			conds = append(conds, j.Cond)
		}
	}
	order.By(conds, record.CompareConditions)
	return slices.Compact(conds)
}

func passOf(j record.Joint, n int) record.Pass {
	for _, p := range j.Passes {
		if p.N == n {
			return p
		}
	}
	return record.Pass{N: n}
}

// openPass is the first pass that is not complete; the last when all are.
func openPass(sheet *pattern.Joint, have record.Joint) int {
	for n := 1; n <= len(sheet.Passes); n++ {
		p := passOf(have, n)
		if !p.Whole && len(p.Done) < len(sheet.Fasteners) {
			return n
		}
	}
	return max(1, len(sheet.Passes))
}

// nextFastener is the first of the order that the pass has not reached.
func nextFastener(sheet *pattern.Joint, have record.Joint, pass int) string {
	p := passOf(have, pass)
	if p.Whole {
		return ""
	}
	for _, f := range sheet.Order {
		if !slices.Contains(p.Done, f) {
			return f
		}
	}
	return ""
}

// passesDone lists for each fastener the passes that reached it.
func passesDone(have record.Joint) map[string][]int {
	out := map[string][]int{}
	for _, p := range have.Passes {
		for _, f := range p.Done {
			out[f] = append(out[f], p.N)
		}
	}
	return out
}

func (v *viewer) passes(sheet *pattern.Joint, have record.Joint) jcs.Member {
	var out []jcs.Value
	for i, torque := range sheet.Passes {
		p := passOf(have, i+1)
		left := len(sheet.Fasteners) - len(p.Done)
		if p.Whole {
			left = 0
		}
		out = append(out, jcs.Obj(num("n", i+1), jcs.M("torque", calc.WrittenJSON(torque)), str("torque_text", torque.String()), jcs.M("done", jcs.Strs(p.Done)),
			yes("whole", p.Whole), jcs.M("missing", jcs.Strs(p.Missing)), num("left", left)))
	}
	return jcs.M("passes", jcs.Arr(out...))
}

// tools are those that measure torque.
func (v *viewer) tools() jcs.Member {
	var out []jcs.Value
	for _, i := range v.st.Instruments {
		if i.Res.Unit == "N.m" || i.Res.Unit == "lbf.ft" || i.Res.Unit == "kgf.m" {
			out = append(out, jcs.Obj(str("key", i.Key), str("what", i.What)))
		}
	}
	return jcs.M("tools", jcs.Arr(out...))
}
