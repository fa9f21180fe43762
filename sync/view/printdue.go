package view

import (
	"cmp"

	"witnessmark/sync/order"
	"witnessmark/sync/pattern"
	"witnessmark/sync/record"
)

// Due is something to be done: on a day, or, where Day is "", when its time has come.
type Due struct {
	What  string // what it is about, for ever the same: "calibration M1", "after heat 2117 head"
	Day   string
	Since string // the day since which it waits, where it ages
	First bool   // it holds an engine up
	Said  string // in words
	How   string // what is to be done
	At    string // when the entry that it rests on was written
}

// Due lists what is due: by their days calibrations and what was ordered; then joints that wait for the first heat, and
// snags that wait to be seen dry, the oldest first.
func (p Print) Due() []Due {
	out := append(p.calibrations(), p.expected()...)
	order.By(out, func(a, b Due) int { return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.What, b.What)) })
	return append(append(out, p.joints()...), p.snags()...)
}

func (p Print) calibrations() []Due {
	var out []Due
	for _, i := range p.v.st.Instruments {
		if i.Due != "" {
			said, _ := p.v.st.Saying(i.ID)
			out = append(out, Due{What: "calibration " + i.Key, Day: i.Due, At: said.At,
				Said: "Calibration due: " + i.Key + ", " + i.What, How: "Have " + i.Key + " calibrated, and enter what its certificate allows. Readings taken with it after this day rest on an old one."})
		}
	}
	return out
}

// expected is what was ordered for a day and has not come, or not all of it.
func (p Print) expected() []Due {
	var out []Due
	for i := range p.v.st.Parts {
		part := &p.v.st.Parts[i]
		a, b := p.v.now(part), buyingOf(part)
		if a.asm != "" || a.shelf() != "ordered" || b.due == "" {
			continue
		}
		said := "Expected: " + join(part.Key, part.What)
		if from := supplier(part); from != "" {
			said += ", from " + from
		}
		if e, ok := p.v.st.Engine(b.asm); ok {
			said += ", for " + e.Serial + " " + e.Name
		}
		last := part.Last(func(s *record.Step) bool { return s.Due != "" })
		at, _ := p.v.st.Saying(last.ID)
		out = append(out, Due{What: "order " + part.Key, Day: b.due, At: at.At, Said: said, How: "If it has come, enter that, and measure what matters before it is fitted. If not, ask."})
	}
	return out
}

// joints are those that wait for the first heat.
func (p Print) joints() []Due {
	var out []Due
	for _, e := range p.v.inOrder() {
		if e.Pattern == nil {
			continue
		}
		for i := range e.Pattern.Joints {
			sheet := &e.Pattern.Joints[i]
			for _, have := range p.v.st.Joints {
				if have.Asm == e.Serial && have.Joint == sheet.Joint {
					out = append(out, p.afterHeat(e, sheet, have)...)
				}
			}
		}
	}
	return out
}

// afterHeat is that a joint is to be tightened again, if it is.
func (p Print) afterHeat(e *record.Engine, sheet *pattern.Joint, have record.Joint) []Due {
	how := p.v.afterHeat(e.Serial, sheet, have)
	if how == "" || againAfterHeat(sheet, have) {
		return nil
	}
	at := ""
	for _, pass := range have.Passes {
		for _, l := range pass.Lines {
			at = max(at, l.At)
		}
	}
	return []Due{{What: "after heat " + e.Serial + " " + sheet.Joint, At: at, How: how,
		Said: "Tighten again after the first heat: " + e.Serial + " " + e.Name + " (" + p.v.where(e) + "), " + sheet.Words}}
}

// snags are those that are open, each with the day since which it is.
func (p Print) snags() []Due {
	var out []Due
	for i := range p.v.st.Snags {
		s := &p.v.st.Snags[i]
		if !p.v.snagOpen(s) {
			continue
		}
		about := s.Of.Asm
		if e, ok := p.v.st.Engine(s.Of.Asm); ok {
			about = join(e.Serial+" "+e.Name, p.v.spot(e, s.Of.At))
		}
		_, word := p.v.snagState(s)
		how := "Cure it, with the engine stopped and the pressure off; then have somebody see it dry on a test."
		if s.State == record.SnagCured {
			how = "Have somebody see it dry on a test that is begun after the cure."
		}
		if s.Stop {
			how = "The engine is not run until it is seen dry. " + how
		}
		out = append(out, Due{What: "snag " + string(cmp.Or(s.Origin, s.ID)), Since: day(s.At), First: s.Stop, At: s.At, Said: "Snag, " + word + " since " + day(s.At) + ": " + about + ": " + s.What, How: how})
	}
	order.By(out, func(a, b Due) int { return cmp.Or(cmp.Compare(a.Since, b.Since), cmp.Compare(a.What, b.What)) })
	return out
}
