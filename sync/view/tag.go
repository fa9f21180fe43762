package view

import (
	"errors"
	"slices"
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/record"
)

// ErrNoTag is for a tag of something that this phone does not know.
var ErrNoTag = errors.New("nothing on this phone has this tag yet. Fetch what is new, then open it again")

// checkLetters are the characters that a check character guards, and is one of.
const checkLetters = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"

// Check is the check character of a tag's letters and digits: ISO/IEC 7064,
// MOD 37,36. It tells every single wrong character and all but one in six
// hundred swaps of neighbours, and is always a letter or a digit, which MOD
// 37-2 is not. What is neither does not count, so a tag may be typed with
// hyphens, full stops or spaces. Without letters and digits it is "".
func Check(tag string) string {
	bare := bareTag(tag)
	if bare == "" {
		return ""
	}
	p := 36
	for i := range len(bare) {
		if p = (p + strings.IndexByte(checkLetters, bare[i])) % 36; p == 0 {
			p = 36
		}
		p = p * 2 % 37
	}
	return checkLetters[(37-p)%36 : (37-p)%36+1]
}

// bareTag is a tag as it is checked: capital letters without marks, and digits.
func bareTag(tag string) string {
	var out []byte
	for _, r := range tag {
		s := string(r)
		if r >= 0x80 {
			s, _ = plain(r)
		}
		for i := range len(s) {
			c := s[i]
			if c >= 'a' && c <= 'z' {
				c -= 'a' - 'A'
			}
			if strings.IndexByte(checkLetters, c) >= 0 {
				out = append(out, c)
			}
		}
	}
	return string(out)
}

// code is a tag as it stands in print: what it is of, and its check character.
type code struct {
	tag, check, bare string
	make             func() thing
}

func codeOf(tag string, make func() thing) code { return code{tag, Check(tag), bareTag(tag), make} }

// text is the code as it is printed and typed.
func (c code) text() string { return c.tag + "-" + c.check }

// codes are all tags that the job can have.
func (v *viewer) codes() []code {
	var out []code
	for _, e := range v.inOrder() {
		out = append(out, codeOf(e.Serial, func() thing { return v.engineThing(e) }))
		if e.Pattern == nil {
			continue
		}
		for _, pl := range e.Pattern.Places() {
			out = append(out, codeOf(e.Serial+"."+pl.At, func() thing { return v.placeThing(e, pl.At, "") }))
		}
		for _, j := range e.Pattern.Joints {
			out = append(out, codeOf(e.Serial+"."+j.Joint, func() thing { return v.jointThing(e, j.Joint) }))
		}
	}
	for _, p := range v.st.Parts {
		out = append(out, codeOf(p.Key, func() thing { return v.partThing(p) }))
	}
	for _, place := range v.stands() {
		out = append(out, codeOf(place, func() thing { return v.standThing(place) }))
	}
	return out
}

// tags offers what has the tag that was typed, and says what is wrong with one
// that was mistyped; what may be meant is shown, and never opened by itself.
func (s *search) tags(q string) (trouble string) {
	typed, all := bareTag(q), s.v.codes()
	if len(typed) < 2 {
		return ""
	}
	var near []code
	for i, c := range all {
		switch {
		case typed == c.bare+c.check:
			s.offer(1000, rankTag, i, c.make)
			return ""
		case oneOff(typed, c.bare+c.check):
			near = append(near, c)
		}
	}
	if trouble = wrongCheck(q, all); trouble != "" || len(s.hits) > 0 {
		return trouble
	}
	for i, c := range near {
		s.offer(1, rankTag, i, c.make)
	}
	switch {
	case len(near) > 0:
		return "No tag reads so: one character is off. Read the tag again; this may be meant."
	case strings.ContainsAny(typed, "0123456789") && Check(typed[:len(typed)-1]) == typed[len(typed)-1:]:
		return "The tag is typed right, but nothing on this phone has it. Fetch what is new; it may also be of another job."
	}
	return ""
}

// wrongCheck: a known tag with a hyphen and another character after it.
func wrongCheck(q string, all []code) string {
	q = strings.TrimSpace(q)
	i := strings.LastIndexByte(q, '-')
	if i < 0 || len(bareTag(q[i:])) != 1 {
		return ""
	}
	whole, front := bareTag(q), bareTag(q[:i])
	if slices.ContainsFunc(all, func(c code) bool { return c.bare == whole }) {
		return ""
	}
	for _, c := range all {
		if c.bare == front {
			return "The tag " + c.tag + " ends in " + c.check + ", not in " + bareTag(q[i:]) + ": one character is off. Read the tag again."
		}
	}
	return ""
}

// oneOff reports whether one character was mistyped, or two neighbours swapped.
func oneOff(a, b string) bool {
	if len(a) != len(b) || len(a) < 4 {
		return false
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	if i == len(a) {
		return false
	}
	return a[i+1:] == b[i+1:] || i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:]
}

// stands are the places, other than a side, where an engine ever was.
func (v *viewer) stands() []string {
	var out []string
	for _, e := range v.st.Engines {
		for _, f := range append(slices.Clone(e.History), e.Fit) {
			if f.Place != "" && !slices.Contains(out, f.Place) {
				out = append(out, f.Place)
			}
		}
	}
	slices.Sort(out)
	return out
}

func (v *viewer) standThing(place string) thing {
	t := thing{"stand", place, "nothing stands here now", nil, opens("t", str("s", place))}
	for _, e := range v.inOrder() {
		if e.Fit.Place == place {
			t.asm = append(t.asm, e.Serial)
			t.says = "here now: " + strings.Join(t.asm, ", ")
		}
	}
	return t
}

// partEngine is the engine that a part is in now; nil when it is in none.
func (v *viewer) partEngine(p record.Part) *record.Engine {
	for i := range v.st.Engines {
		if e := &v.st.Engines[i]; e.Serial == p.Asm || e.Crank == p.Key {
			return e
		}
	}
	return nil
}

func (v *viewer) partThing(p record.Part) thing {
	t := thing{"part", p.Key + ", " + p.What, p.State, nil, opens("t", str("t", p.Key))}
	if e := v.partEngine(p); e != nil {
		t.asm, t.says = []string{e.Serial}, join(p.State, "in "+e.Serial+" "+e.Name)
	}
	return t
}

// theTag is what a scanned tag leads to: an engine's place at once, a part or
// a stand with what is known of it and where it is now. The side is never on
// a tag; it is looked up.
func (v *viewer) theTag() (jcs.Value, error) {
	if key := v.arg("part"); key != "" {
		i := slices.IndexFunc(v.st.Parts, func(p record.Part) bool { return p.Key == key })
		if i < 0 {
			return jcs.Null(), ErrNoTag
		}
		return v.partTag(v.st.Parts[i]), nil
	}
	if place := v.arg("stand"); place != "" {
		return v.standTag(place), nil
	}
	e, ok := v.st.Engine(v.arg("asm"))
	at := v.arg("at")
	if !ok || at != "" && e.Pattern == nil {
		return jcs.Null(), ErrNoTag
	}
	if at == "" {
		return v.tagOf(v.engineThing(e), true), nil
	}
	if _, ok := e.Pattern.Find(at); ok {
		return v.tagOf(v.placeThing(e, at, ""), true), nil
	}
	if _, ok := e.Pattern.Joint(at); ok {
		return v.tagOf(v.jointThing(e, at), true), nil
	}
	return jcs.Null(), ErrNoTag
}

// tagOf is a tag's thing; goes: it is opened at once.
func (v *viewer) tagOf(t thing, goes bool, lines ...string) jcs.Value {
	var engines []jcs.Value
	for _, e := range v.inOrder() {
		if slices.Contains(t.asm, e.Serial) {
			engines = append(engines, v.tag(e))
		}
	}
	return t.line().With("engines", jcs.Arr(engines...)).With("go", jcs.Bool(goes)).With("story", jcs.Strs(lines))
}

func (v *viewer) standTag(place string) jcs.Value {
	t := v.standThing(place)
	t.open = jcs.Null()
	if len(t.asm) == 1 {
		t.open = opens("engine", str("asm", t.asm[0]))
	}
	return v.tagOf(t, false)
}

func (v *viewer) partTag(p record.Part) jcs.Value {
	t := v.partThing(p)
	t.open = jcs.Null()
	var story []string
	e := v.partEngine(p)
	if e != nil {
		t.open = opens("engine", str("asm", e.Serial))
	}
	for _, st := range p.Story {
		line := join(st.Day, st.State)
		if st.Asm != "" {
			line += " in " + st.Asm
		}
		if e != nil && e.Pattern != nil && st.Asm == e.Serial && st.Place != "" {
			line += ", " + e.Pattern.Words(st.Place)
			if _, ok := e.Pattern.Find(st.Place); ok {
				t.open = v.placeThing(e, st.Place, p.State).open
			}
		}
		story = append(story, join(strings.TrimPrefix(line, " · "), st.Note))
	}
	return v.tagOf(t, false, story...)
}
