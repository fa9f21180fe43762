package view

import (
	"strconv"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

// came is what others entered since somebody last looked, by person and place,
// never a figure: whoever is asked for a check reading reads this too. seen is
// how far each log had got then, as the page remembers it; now how far it is.
func (v *viewer) came() jcs.Value {
	seen := v.args.Get("seen")
	now := make([]jcs.Member, 0, len(v.st.Logs))
	for _, l := range v.st.Logs {
		now = append(now, jcs.M(string(l.Log), jcs.Int(l.Last)))
	}
	var groups []*cameGroup
	people := []string{}
	if !seen.IsNull() {
		at := map[string]*cameGroup{}
		for _, n := range v.st.After(func(l entry.LogID) int64 { return seen.Get(string(l)).Int64() }) {
			if n.By == v.arg("me") {
				continue
			}
			where := v.cameWhere(n)
			key := n.By + "|" + where.kind + "|" + where.words
			g := at[key]
			if g == nil {
				g = &cameGroup{where: where, by: n.By}
				at[key], groups = g, append(groups, g)
			} else if where.many != nil {
				g.where.open = where.many
			}
			g.n++
		}
	}
	total, counted := 0, map[string]bool{}
	for _, g := range groups {
		total += g.n
		if !counted[g.by] {
			counted[g.by], people = true, append(people, v.person(g.by))
		}
	}
	return jcs.Obj(jcs.M("now", jcs.Obj(now...)), num("count", total), jcs.M("people", jcs.Strs(people)), list("groups", groups, func(g *cameGroup) jcs.Value {
		return jcs.Obj(text("by", v.person(g.by)), text("what", newsWords(g.where.kind, g.n)), text("words", g.where.words), str("asm", g.where.asm), jcs.M("open", *g.where.open))
	}))
}

type cameGroup struct {
	where cameWhere
	by    string
	n     int
}

// cameWhere is where something was entered, and what opens it; many opens
// several of one kind and place, where that is another screen.
type cameWhere struct {
	kind, words, asm string
	open, many       *jcs.Value
}

func (v *viewer) cameWhere(n record.News) cameWhere {
	w := cameWhere{kind: n.Kind, asm: n.Of.Asm}
	at := func(screen string, m ...jcs.Member) *jcs.Value {
		o := opens(screen, m...)
		return &o
	}
	asm := str("asm", n.Of.Asm)
	w.open = at("job")
	e, _ := v.st.Engine(n.Of.Asm)
	if e != nil {
		w.words, w.open = e.Serial, at("engine", asm)
		if e.Pattern != nil && n.Of.At != "" {
			w.words = e.Serial + " · " + e.Pattern.Words(n.Of.At)
			w.open = at("point", asm, str("at", n.Of.At), str("point", n.Of.Point))
		}
	}
	switch n.Kind {
	case "reading", "check", "ask":
		if e != nil && e.Pattern != nil {
			if pl, ok := e.Pattern.Find(n.Of.At); ok {
				w.words, w.many = e.Serial+" · "+pl.Feature.Sheet, at("sheet", asm)
			}
		}
	case "tighten":
		w.open = at("tighten", asm, str("joint", n.Of.At))
	case "hold-test", "run", "clutch":
		w.open = at(map[string]string{"hold-test": "hold", "run": "run", "clutch": "clutch"}[n.Kind], asm)
	case "snag":
		w.open = at("snag", str("id", n.Key), asm)
	case "part":
		w.words, w.open = n.Key, at("part", str("part", n.Key))
	case "decision":
		w.open, w.many = at("decision", str("id", string(n.ID))), at("job")
	case "sign", "stages":
		w.open = at("stages")
	case "photo":
		w.open = at("photo", str("id", string(n.ID)))
	case "withdraw", "restore":
		w.open = at("entry", str("id", string(n.ID)))
	case "pattern":
		w.open = at("types")
	}
	return w
}

// newsNames are kinds of entry in the words of the screen, one and many.
var newsNames = map[string][2]string{
	"reading": {"reading", "readings"}, "check": {"point skipped", "points skipped"}, "ask": {"check reading asked for", "check readings asked for"}, "tighten": {"tightening", "tightenings"},
	"hold-test": {"entry of a hold test", "entries of hold tests"}, "run": {"line of a run", "lines of a run"}, "clutch": {"try of a clutch", "tries of a clutch"}, "adjust": {"screw turned", "screws turned"},
	"snag": {"step of a snag", "steps of a snag"}, "part": {"step of a part", "steps of a part"}, "decision": {"decision", "decisions"}, "sign": {"signature", "signatures"}, "stages": {"change of the plan", "changes of the plan"},
	"note": {"note", "notes"}, "photo": {"photo", "photos"}, "voice": {"voice note", "voice notes"}, "mark": {"mark on a photo", "marks on photos"}, "withdraw": {"entry taken back", "entries taken back"},
	"restore": {"entry brought back", "entries brought back"}, "zero": {"zero check", "zero checks"}, "apply": {"zero check applied", "zero checks applied"}, "pattern": {"change of an engine type", "changes of an engine type"},
	"limit": {"limit", "limits"}, "fitting": {"move of engines", "moves of engines"}, "person": {"person", "people"}, "instrument": {"instrument", "instruments"},
}

func newsWords(kind string, n int) string {
	w, ok := newsNames[kind]
	if !ok {
		w = [2]string{"entry of the set-up", "entries of the set-up"}
	}
	if n == 1 {
		return "1 " + w[0]
	}
	return strconv.Itoa(n) + " " + w[1]
}
