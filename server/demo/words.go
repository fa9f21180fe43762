package demo

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
)

// entry writes a line whose body is JSON with three short forms: a text that begins with '@' is the id of a labelled entry;
// an 'of' that is a text, '2123 main.3.journal b.V', names engine, place and point, to which the engine's side and fitting
// of the moment are added; values such as "50 N.m" or "0.30..0.35 mm" are taken apart.
func (w *writer) entry(ev event, text string) error {
	body, err := jcs.Parse([]byte(text))
	if err != nil {
		return fmt.Errorf("body: %w", err)
	}
	if body, err = w.expand("", body); err != nil {
		return err
	}
	if body, err = w.withFile(ev.kind, body); err != nil {
		return err
	}
	if err := w.write(ev, body, w.follows(ev.kind, body)); err != nil {
		return err
	}
	w.note(ev.kind, body, ev.log.Entries[len(ev.log.Entries)-1].ID)
	return nil
}

// follows lists what an entry comes after: a move the moves that it ends, a part's step the one before.
func (w *writer) follows(kind string, body jcs.Value) []entry.ID {
	switch id, ok := w.parts[body.Get("part").Text()]; {
	case kind == "fitting":
		return w.ends(body)
	case kind == "part" && ok:
		return []entry.ID{id}
	}
	return nil
}

// note remembers where an engine is and what last happened to a part.
func (w *writer) note(kind string, body jcs.Value, id entry.ID) {
	switch kind {
	case "fitting":
		for _, m := range body.Get("moves").Items() {
			w.fitted[m.Get("asm").Text()] = fitted{side: m.Get("side").Text(), by: id}
		}
	case "part":
		w.parts[body.Get("part").Text()] = id
	}
}

// valueNames are the members of bodies that hold a value as written.
var valueNames = []string{"value", "res", "u", "from", "to", "bar", "read", "min", "max", "torque", "set", "temp",
	"price", "pressure", "wait", "elapsed", "volume", "most", "turned", "step", "moved"}

func (w *writer) expand(name string, v jcs.Value) (jcs.Value, error) {
	switch {
	case v.Kind() == jcs.KindText && (name == "of" || name == "with") && strings.Contains(v.Text(), " "):
		return w.of(v.Text())
	case v.Kind() == jcs.KindText && strings.HasPrefix(v.Text(), "@"):
		ids, err := w.refer(v.Text())
		if err != nil {
			return v, err
		}
		return jcs.Str(string(ids[0])), nil
	case v.Kind() == jcs.KindText && name == "result":
		return w.resultID(v.Text())
	case name == "u" && !strings.Contains(v.Text(), " "), name == "work": // the unit of a gauge's column; an instruction is words
		return v, nil
	case v.Kind() == jcs.KindText && slices.Contains(valueNames, name):
		return valueOf(v.Text())
	case v.Kind() == jcs.KindArray:
		return w.expandList(v)
	case v.Kind() == jcs.KindObject:
		members := v.Members()
		out := make([]jcs.Member, 0, len(members))
		for _, m := range members {
			val, err := w.expand(m.Key, m.Val)
			if err != nil {
				return v, err
			}
			out = append(out, jcs.M(m.Key, val))
		}
		return jcs.Obj(out...), nil
	}
	return v, nil
}

// resultID fills in the entry that a result is of: 'hold/2123/@hold2', 'match/2117+2123/@r5/3'.
func (w *writer) resultID(text string) (jcs.Value, error) {
	words := strings.Split(text, "/")
	for i, word := range words {
		if !strings.HasPrefix(word, "@") {
			continue
		}
		ids, err := w.refer(word)
		if err != nil {
			return jcs.Null(), err
		}
		words[i] = string(ids[0])
	}
	return jcs.Str(strings.Join(words, "/")), nil
}

func (w *writer) expandList(v jcs.Value) (jcs.Value, error) {
	var out []jcs.Value
	for _, it := range v.Items() {
		if strings.HasPrefix(it.Text(), "@") {
			ids, err := w.refer(it.Text())
			if err != nil {
				return v, err
			}
			for _, id := range ids {
				out = append(out, jcs.Str(string(id)))
			}
			continue
		}
		val, err := w.expand("", it)
		if err != nil {
			return v, err
		}
		out = append(out, val)
	}
	return jcs.Arr(out...), nil
}

// of makes a place from '2123 main.3.journal b.V', '2123 - ' for the whole engine, with 'part:NAME' at the end for a part.
func (w *writer) of(text string) (jcs.Value, error) {
	words := strings.Fields(text)
	members := []jcs.Member{jcs.M("asm", jcs.Str(words[0]))}
	if at, ok := w.fitted[words[0]]; ok {
		members = append(members, jcs.M("side", jcs.Opt(at.side)), jcs.M("fitting", jcs.Str(string(at.by))))
	}
	names := []string{"at", "point"}
	for _, word := range words[1:] {
		if part, ok := strings.CutPrefix(word, "part:"); ok {
			members = append(members, jcs.M("part", jcs.Str(part)))
			continue
		}
		if len(names) == 0 {
			return jcs.Null(), fmt.Errorf("the place %q has too many words", text)
		}
		if word != "-" {
			members = append(members, jcs.M(names[0], jcs.Str(word)))
		}
		names = names[1:]
	}
	return jcs.Obj(members...), nil
}

// written is 'at least 1.0 mm', '0.30..0.35 mm', 'nil mm', '50 N.m'.
var written = regexp.MustCompile(`^(?:(at least|at most) )?(nil|\S+?)(?:\.\.(\S+))? (\S+)$`)

func valueOf(text string) (jcs.Value, error) {
	m := written.FindStringSubmatch(text)
	if m == nil {
		return jcs.Null(), fmt.Errorf("the value %q lacks its unit", text)
	}
	if m[2] == "nil" {
		return jcs.Obj(jcs.M("is", jcs.Str("nil")), jcs.M("u", jcs.Str(m[4]))), nil
	}
	return jcs.Obj(jcs.M("t", jcs.Str(m[2])), jcs.M("to", jcs.Opt(m[3])), jcs.M("is", jcs.Opt(m[1])), jcs.M("u", jcs.Str(m[4]))), nil
}

// withFile fills in what a line names by its file.
func (w *writer) withFile(kind string, body jcs.Value) (jcs.Value, error) {
	name := body.Get("file").Text()
	if name == "" {
		return body, nil
	}
	data, err := fs.ReadFile(w.files, name)
	if err != nil {
		return body, err
	}
	body = body.Without("file")
	switch kind {
	case "pattern", "stages":
		said, err := jcs.Parse(data)
		return body.With(map[string]string{"pattern": "data", "stages": "stages"}[kind], said), err
	case "photo":
		sum := sha256.Sum256(data)
		sha := hex.EncodeToString(sum[:])
		w.story.Photos[sha] = data
		return body.With("sha", jcs.Str(sha)).With("size", jcs.Int(int64(len(data)))).With("type", jcs.Str("image/jpeg")), nil
	}
	return body, fmt.Errorf("a %s has no file", kind)
}

// ends lists the fittings that a move ends.
func (w *writer) ends(body jcs.Value) []entry.ID {
	var after []entry.ID
	for _, m := range body.Get("moves").Items() {
		if at, ok := w.fitted[m.Get("asm").Text()]; ok && !slices.Contains(after, at.by) {
			after = append(after, at.by)
		}
	}
	return after
}

// ran writes one entry for each item of '2117: 6 oil.pressure 2.8 bar, 9 fired, 60 station 500, 90 speed 505 rpm 500,
// 189 stop as_planned' of the run that the option run names; the line's time is when that run began, and each item begins
// with the seconds since. Words are joined by _.
func (w *writer) ran(ev event, text string) error {
	asm, list, ok := strings.Cut(text, ": ")
	if !ok {
		return errors.New("what is logged of a run is: ENGINE: SECONDS WHAT …, SECONDS WHAT …")
	}
	of, err := w.of(asm)
	if err != nil {
		return err
	}
	start, err := w.refer(ev.opts["run"])
	if err != nil {
		return err
	}
	ev.kind = "run"
	began := ev.at
	for _, item := range strings.Split(list, ", ") {
		words := strings.Fields(item)
		if len(words) < 2 {
			return fmt.Errorf("%q is not a time and what happened", item)
		}
		after, err := time.ParseDuration(words[0] + "s")
		if err != nil {
			return err
		}
		body, err := ranBody(ev, words[1:])
		if err != nil {
			return fmt.Errorf("%s: %w", item, err)
		}
		ev.at = began.Add(after)
		body = append(body, jcs.M("of", of), jcs.M("run", jcs.Str(string(start[0]))), jcs.M("elapsed", jcs.Obj(jcs.M("t", jcs.Str(words[0])), jcs.M("u", jcs.Str("s")))))
		if err := w.write(ev, jcs.Obj(body...), nil); err != nil {
			return fmt.Errorf("%s: %w", item, err)
		}
	}
	return nil
}

// ranBody is what one item says: a stop, a station, an event, or a gauge with its value, its unit and its station.
func ranBody(ev event, words []string) ([]jcs.Member, error) {
	said := func(i int) string { return strings.ReplaceAll(words[i], "_", " ") }
	does := func(name string, more ...jcs.Member) []jcs.Member { return append(more, jcs.M("does", jcs.Str(name))) }
	switch {
	case words[0] == "stop" && len(words) == 2:
		return does("stop", jcs.M("why", jcs.Str(said(1)))), nil
	case words[0] == "station" && len(words) == 2:
		return does("event", jcs.M("event", jcs.Str("station")), jcs.M("station", jcs.Str(said(1)))), nil
	case len(words) == 1:
		return does("event", jcs.M("event", jcs.Str(said(0)))), nil
	case len(words) == 2:
		return does("event", jcs.M("event", jcs.Str(said(0))), jcs.M("words", jcs.Str(said(1)))), nil
	}
	v, err := valueOf(words[1] + " " + words[2])
	if err != nil {
		return nil, err
	}
	out := does("sample", jcs.M("what", jcs.Str(words[0])), jcs.M("value", v), jcs.M("instrument", jcs.Opt(ev.opts["with"])))
	if len(words) > 3 {
		out = append(out, jcs.M("station", jcs.Str(words[3])))
	}
	if n, err := strconv.Atoi(ev.opts["round"]); err == nil {
		out = append(out, jcs.M("round", jcs.Int(int64(n))))
	}
	if ev.opts["swapped"] != "" {
		out = append(out, jcs.M("swapped", jcs.Bool(true)))
	}
	return out, nil
}

// apart is how long a reading takes.
const apart = 20 * time.Second

// readings writes one entry for each value of '2123 pin.1.journal: a.V 61.958, a.H 61.969 mm'. A point left out is '-'.
// Options: cond (as found if absent), with (the instrument), zero, taker, blind, temp, note (words joined by _).
func (w *writer) readings(ev event, text string) error {
	place, list, ok := strings.Cut(text, ": ")
	if !ok {
		return errors.New("a reading is: ENGINE PLACE: POINT VALUE, POINT VALUE … UNIT")
	}
	list, unit, ok := cutLast(list, " ")
	if !ok {
		return errors.New("a reading lacks its unit")
	}
	label := ev.label
	ev.kind = "reading"
	for i, pair := range strings.Split(list, ", ") {
		point, value, ok := strings.Cut(pair, " ")
		if !ok {
			return fmt.Errorf("%q is not a point and a value", pair)
		}
		body, err := w.reading(ev, place+" "+point, value+" "+unit)
		if err != nil {
			return err
		}
		if label != "" {
			ev.label = label + "." + point
		}
		if err := w.write(ev, body, nil); err != nil {
			return fmt.Errorf("%s: %w", pair, err)
		}
		ev.at = ev.at.Add(apart)
		if i > 0 && len(ev.over) > 0 {
			return errors.New("a correction has one value")
		}
	}
	return nil
}

func cutLast(s, sep string) (before, after string, ok bool) {
	i := strings.LastIndex(s, sep)
	if i < 0 {
		return s, "", false
	}
	return s[:i], s[i+len(sep):], true
}

func (w *writer) reading(ev event, place, value string) (jcs.Value, error) {
	of, err := w.of(place)
	if err != nil {
		return of, err
	}
	v, err := valueOf(value)
	if err != nil {
		return v, err
	}
	o := ev.opts
	zero := jcs.Opt(o["zero"])
	if strings.HasPrefix(o["zero"], "@") {
		ids, err := w.refer(o["zero"])
		if err != nil {
			return v, err
		}
		zero = jcs.Str(string(ids[0]))
	}
	return jcs.Obj(
		jcs.M("of", of), jcs.M("cond", jcs.Str(or(o["cond"], "found"))), jcs.M("value", v), jcs.M("instrument", jcs.Opt(o["with"])),
		jcs.M("zero", zero), jcs.M("read_by", jcs.Str(or(o["taker"], ev.by))), jcs.M("blind", jcs.Flag(o["blind"] == "yes")),
		jcs.M("note", jcs.Opt(strings.ReplaceAll(o["note"], "_", " "))),
	), nil
}

func or(a, b string) string {
	if a == "" {
		return b
	}
	return a
}
