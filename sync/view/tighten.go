package view

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/calc"
	"witnessmark/sync/draw"
	"witnessmark/sync/jcs"
	"witnessmark/sync/order"
	"witnessmark/sync/pattern"
	"witnessmark/sync/quantity"
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
	if n := int(v.args.Get("pass").Int64()); n > 0 && n <= len(sheet.Passes)+1 {
		pass = n
	}
	next := nextFastener(sheet, have, pass)
	return jcs.Obj(jcs.M("engine", v.tag(e)), jcs.M("of", of(e, sheet.Joint, "")), str("joint", sheet.Joint), str("words", sheet.Words), str("cond", cond),
		list("conds", v.jointConds(e.Serial, sheet.Joint), condLine), text("svg", draw.Joint(sheet, e.Serial, passesDone(have), next)),
		v.passes(sheet, have), num("pass", pass), str("next", next), text("thread", sheet.Thread), jcs.M("order", jcs.Strs(sheet.Order)),
		v.tools(torqueOf(sheet, pass)), str("after_heat", v.afterHeat(e.Serial, sheet, have))), nil
}

func torqueOf(sheet *pattern.Joint, pass int) quantity.Written {
	if len(sheet.Passes) == 0 {
		return quantity.Written{}
	}
	return sheet.Passes[min(max(pass, 1), len(sheet.Passes))-1] // after the first heat: the last torque again
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
	if p := passOf(have, len(sheet.Passes)+1); len(p.Lines) > 0 && !p.Whole && len(p.Done) < len(sheet.Fasteners) {
		return p.N // tightened again after the first heat, begun and not finished
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
	torques := sheet.Passes
	if len(torques) > 0 && len(passOf(have, len(torques)+1).Lines) > 0 {
		torques = append(slices.Clone(torques), torques[len(torques)-1])
	}
	for i, torque := range torques {
		p := passOf(have, i+1)
		left := len(sheet.Fasteners) - len(p.Done)
		if p.Whole {
			left = 0
		}
		out = append(out, jcs.Obj(num("n", i+1), jcs.M("torque", calc.WrittenJSON(torque)), str("torque_text", torque.String()), jcs.M("done", jcs.Strs(p.Done)),
			yes("whole", p.Whole), jcs.M("missing", jcs.Strs(p.Missing)), num("left", left), jcs.M("remarks", jcs.Strs(v.remarks(sheet, have, i+1))),
			list("lines", p.Lines, v.tightenLine)))
	}
	return jcs.M("passes", jcs.Arr(out...))
}

func (v *viewer) tightenLine(t record.Tighten) jcs.Value {
	words := "whole pass"
	if !t.Whole {
		words = strings.Join(t.Fasteners, " ")
	}
	words += " at " + t.Torque.String()
	if !t.Set.IsZero() {
		words += ", set to " + t.Set.String()
	}
	if !t.Moved.IsZero() {
		words += ", moved " + t.Moved.String()
	}
	return jcs.Obj(str("id", string(t.ID)), text("words", words+", "+t.Thread+", "+t.Tool), text("by", v.person(t.By)), text("at", t.At),
		str("note", t.Note), str("contest", t.Contest))
}

// remarks says at once what is wrong with a pass: begun before the one before
// was complete, out of the sheet's order, at another torque, with a tool that
// is not trusted there, on fasteners that no sheet has.
func (v *viewer) remarks(sheet *pattern.Joint, have record.Joint, n int) []string {
	p := passOf(have, n)
	if len(p.Lines) == 0 {
		return nil
	}
	var out []string
	if before := passOf(have, n-1); n > 1 && !before.Whole && len(before.Done) < len(sheet.Fasteners) {
		out = append(out, "Begun before pass "+strconv.Itoa(n-1)+" was complete.")
	}
	if late := outOfOrder(sheet.Order, p.Lines); late != "" {
		out = append(out, late)
	}
	if over := passedOver(sheet.Order, p); over != "" {
		out = append(out, over)
	}
	if len(p.Strange) > 0 {
		out = append(out, "Not on the sheet: "+strings.Join(p.Strange, " ")+".")
	}
	want := torqueOf(sheet, n)
	for _, t := range p.Lines {
		if t.Torque.Unit == want.Unit && t.Torque != want {
			out = append(out, strings.Join(t.Fasteners, " ")+" at "+t.Torque.String()+", the sheet says "+want.String()+".")
		}
		if why := v.untrusted(t.Tool, t.Torque); why != "" && !slices.Contains(out, why) {
			out = append(out, why)
		}
	}
	return out
}

// passedOver names what comes before the furthest fastener of a pass and was not done.
func passedOver(order []string, p record.Pass) string {
	reach := -1
	for i, f := range order {
		if slices.Contains(p.Done, f) {
			reach = i
		}
	}
	if p.Whole || reach < 0 {
		return ""
	}
	left := slices.DeleteFunc(slices.Clone(order[:reach]), func(f string) bool { return slices.Contains(p.Done, f) })
	if len(left) == 0 {
		return ""
	}
	return "Passed over: " + strings.Join(left, " ") + " before " + order[reach] + "."
}

// outOfOrder finds the first fastener that was recorded after one which
// follows it on the sheet. What one entry names together says nothing of order.
func outOfOrder(sheet []string, lines []record.Tighten) string {
	last, lastName := -1, ""
	for _, t := range lines {
		if t.Whole || len(t.Fasteners) != 1 {
			continue
		}
		k := slices.Index(sheet, t.Fasteners[0])
		if k < 0 {
			continue
		}
		if k < last {
			return "Out of order: " + t.Fasteners[0] + " was tightened after " + lastName + "."
		}
		last, lastName = k, t.Fasteners[0]
	}
	return ""
}

// untrusted says why a tool's torque cannot be trusted; "" when it can, or
// nobody entered its range.
func (v *viewer) untrusted(tool string, torque quantity.Written) string {
	i, ok := v.st.Instrument(tool)
	t, err := quantity.Parse(torque)
	if !ok || err != nil {
		return ""
	}
	for _, end := range []struct {
		w     quantity.Written
		below bool
		words string
	}{{i.From, true, " is trusted from "}, {i.To, false, " is trusted to "}} {
		q, err := quantity.Parse(end.w)
		if err != nil || q.Unit.Dim != t.Unit.Dim {
			continue
		}
		if end.below && t.SI < q.SI || !end.below && t.SI > q.SI {
			return tool + end.words + end.w.String() + "; " + torque.String() + " is outside."
		}
	}
	return ""
}

// afterHeat says whether a joint that is complete was tightened again after
// the first heat, as the sheet wants; "" when it wants none or is not complete.
func (v *viewer) afterHeat(asm string, sheet *pattern.Joint, have record.Joint) string {
	if have.Cond != "built" || openPass(sheet, have) != len(sheet.Passes) || nextFastener(sheet, have, len(sheet.Passes)) != "" {
		return ""
	}
	if againAfterHeat(sheet, have) {
		return "Tightened again after the first heat."
	}
	return "After the first run, cold: tighten again, one nut at a time, and note how far each moved."
}

// againAfterHeat: a whole pass came after those of the sheet.
func againAfterHeat(sheet *pattern.Joint, have record.Joint) bool {
	return slices.ContainsFunc(have.Passes, func(p record.Pass) bool {
		return p.N > len(sheet.Passes) && (p.Whole || len(p.Done) == len(sheet.Fasteners))
	})
}

// tools are those that measure torque.
func (v *viewer) tools(torque quantity.Written) jcs.Member {
	var out []jcs.Value
	for _, i := range v.st.Instruments {
		if i.Res.Unit == "N.m" || i.Res.Unit == "lbf.ft" || i.Res.Unit == "kgf.m" {
			out = append(out, jcs.Obj(str("key", i.Key), str("what", i.What), str("why", v.untrusted(i.Key, torque))))
		}
	}
	return jcs.M("tools", jcs.Arr(out...))
}
