package record

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
)

// Machinist is a shop that counts otherwise, group by group; groups that it
// counts as we do are not named.
type Machinist struct {
	Name   string
	Counts []Count
}

// Count is how a shop counts one group of places.
type Count struct {
	Of      string    // the group's key, as in pattern.Group: "main"
	From    string    // "from 7": his n is our 7 − n; or "" where Numbers says it
	Numbers []HisName // by our number, in the order of the entry
}

// HisName is what a shop calls our number.
type HisName struct{ Ours, His string }

// Number is what the shop calls our number n of the group. It reports false
// where the convention says nothing of it.
func (c Count) Number(n string) (string, bool) {
	if i := slices.IndexFunc(c.Numbers, func(h HisName) bool { return h.Ours == n }); i >= 0 {
		return c.Numbers[i].His, true
	}
	from, ok := strings.CutPrefix(c.From, "from ")
	sum, err := strconv.Atoi(from)
	ours, err2 := strconv.Atoi(strings.TrimLeft(n, "ABCDEFGHIJKLMNOPQRSTUVWXYZ"))
	if !ok || err != nil || err2 != nil || ours < 1 || ours >= sum {
		return "", false
	}
	return strconv.Itoa(sum - ours), true
}

// Count returns how the shop counts a group; false where it is as ours.
func (m Machinist) Count(of string) (Count, bool) {
	i := slices.IndexFunc(m.Counts, func(c Count) bool { return c.Of == of })
	if i < 0 {
		return Count{}, false
	}
	return m.Counts[i], true
}

// Calls returns the group of a place on the sheet, our number there and the
// shop's. It reports false where the shop counts it as we do.
func (m Machinist) Calls(p *pattern.Pattern, at string) (g pattern.Group, ours, his string, ok bool) {
	if g, ours, ok = p.GroupOf(at); !ok {
		return
	}
	c, ok := m.Count(g.Key)
	if ok {
		his, ok = c.Number(ours)
	}
	return g, ours, his, ok
}

// machinistsOf reads both lists of the convention: pins alone, as it was first
// written, and any group.
func machinistsOf(v jcs.Value) []Machinist {
	var out []Machinist
	for _, m := range v.Get("machinists").Items() {
		out = append(out, Machinist{m.Get("name").Text(), []Count{{Of: "pin", From: m.Get("pins").Text()}}})
	}
	for _, x := range v.Get("counts").Items() {
		c := Count{Of: x.Get("of").Text(), From: x.Get("numbers").Text()}
		for _, m := range x.Get("numbers").Members() {
			c.Numbers = append(c.Numbers, HisName{m.Key, m.Val.Text()})
		}
		name := x.Get("name").Text()
		i := slices.IndexFunc(out, func(m Machinist) bool { return m.Name == name })
		if i < 0 {
			i = len(out)
			out = append(out, Machinist{Name: name})
		}
		out[i].Counts = append(out[i].Counts, c)
	}
	return out
}

// Shops are the members of a convention that machinistsOf reads: pins from the
// other end as they were first written, so that an older version reads them too.
func Shops(list []Machinist) (machinists, counts []jcs.Value) {
	for _, m := range list {
		for _, c := range m.Counts {
			if c.Of == "pin" && c.From != "" {
				machinists = append(machinists, jcs.Obj(jcs.M("name", jcs.Str(m.Name)), jcs.M("pins", jcs.Str(c.From))))
				continue
			}
			counts = append(counts, c.json().With("name", jcs.Str(m.Name)))
		}
	}
	return machinists, counts
}

func (c Count) json() jcs.Value {
	if c.From != "" {
		return jcs.Obj(str("of", c.Of), str("numbers", c.From))
	}
	var numbers []jcs.Member
	for _, h := range c.Numbers {
		numbers = append(numbers, jcs.M(h.Ours, jcs.Str(h.His)))
	}
	return jcs.Obj(str("of", c.Of), jcs.M("numbers", jcs.Obj(numbers...)))
}
