package pattern

import (
	"strconv"
	"strings"

	"witnessmark/sync/jcs"
	"witnessmark/sync/quantity"
)

// Inline is the short form of an engine type with its cylinders in a row, as
// somebody fills it in who has no type sheet yet. Sizes are as written, in
// millimetres unless they name their unit; those left empty have no nominal.
type Inline struct {
	Name, End1, End2 string
	Cylinders        int
	Mains            int               // 0: one more than cylinders
	Valves           string            // from end 1, "E I" for each cylinder, or all of them
	Firing           string            // "1 5 3 6 2 4"
	Sizes            map[string]string // bore, stroke, main, pin, opening, compressed, free, protrusion
	Studs            int               // of the head
	StudRows         int               // along the engine; 0: two
	Torques          string            // "50 90 130" N·m
	Undersizes       string            // "0.25 0.50"
}

// Sheet makes the type sheet: mains between all cylinders unless their number is said, journals with three
// planes and two directions, one head. What differs on the real engine is
// changed in the sheet's file.
func (in Inline) Sheet() jcs.Value {
	if in.Mains == 0 {
		in.Mains = in.Cylinders + 1
	}
	s := inlineSheet{in, map[string]jcs.Value{}}
	features := append(s.bottom(), s.top()...)
	return jcs.Obj(text("name", in.Name), jcs.M("cylinders", jcs.Int(int64(in.Cylinders))), jcs.M("mains", jcs.Int(int64(in.Mains))),
		text("end1", in.End1), text("end2", in.End2), jcs.M("firing", words(in.Firing)), jcs.M("rows", jcs.Strs([]string{"row 1", "row 2"})),
		jcs.M("valves", jcs.Strs(in.valves())), text("valve_angle", "0"), jcs.M("features", jcs.Arr(features...)),
		jcs.M("nominal", s.nominals()), jcs.M("undersizes", in.undersizes()), jcs.M("joints", in.joints()))
}

type inlineSheet struct {
	Inline
	used map[string]jcs.Value
}

func text(key, s string) jcs.Member { return jcs.M(key, jcs.Opt(s)) }

func words(s string) jcs.Value {
	if f := strings.Fields(s); len(f) > 0 {
		return jcs.Strs(f)
	}
	return jcs.Null()
}

// mm is a size as typed: in millimetres unless it names its unit.
func mm(s string) jcs.Value {
	w, _ := quantity.Typed(s, "mm") // what is no value Parse refuses
	return writtenJSON(w)
}

// valves numbers the valves: a pair of letters is repeated for each cylinder,
// turned about each time, as neighbours mostly stand.
func (in Inline) valves() []string {
	f := strings.Fields(in.Valves)
	if len(f) != 2 {
		return f
	}
	var out []string
	for i := 1; i <= in.Cylinders; i++ {
		a, b := f[0], f[1]
		if i%2 == 0 {
			a, b = b, a
		}
		out = append(out, a+strconv.Itoa(i), b+strconv.Itoa(i))
	}
	return out
}

var journalPoints = []string{"a.V", "a.H", "b.V", "b.H", "c.V", "c.H"}

const (
	sheetCrank = "Crank and bearings"
	sheetBores = "Bores and pistons"
	sheetHead  = "Head and gasket"
)

// feature makes one row of the sheet; size names its nominal, kept if it was filled in.
func (s inlineSheet) feature(at string, n int, words, sheet, shape, unit, size string, points []string, more ...jcs.Member) jcs.Value {
	m := append(more, text("at", at), text("words", words), text("sheet", sheet), text("shape", shape), text("unit", unit), jcs.M("points", jcs.Strs(points)))
	if n > 0 {
		m = append(m, jcs.M("count", jcs.Int(int64(n))))
	}
	if v := s.Sizes[size]; v != "" {
		s.used[s.nominalName(at, size)] = mm(v)
		m = append(m, text("size", s.nominalName(at, size)))
	}
	return jcs.Obj(m...)
}

// nominalName is the name that the calculations look for.
func (s inlineSheet) nominalName(at, size string) string {
	switch size {
	case "main", "pin":
		return size + ".journal"
	case "opening":
		return "gasket_bore"
	}
	return size
}

func (s inlineSheet) bottom() []jcs.Value {
	c := s.Cylinders
	crank := text("part", "crank")
	return []jcs.Value{
		s.feature("main.N.journal", s.Mains, "main bearing {n} · journal", sheetCrank, "journal", "mm", "main", journalPoints, crank),
		s.feature("main.N.shell", s.Mains, "main bearing {n} · bore, shells in", sheetCrank, "shell", "mm", "", []string{"b.V"}),
		s.feature("pin.N.journal", c, "big-end pin {n} · journal", sheetCrank, "journal", "mm", "pin", journalPoints, crank),
		s.feature("pin.N.shell", c, "big-end pin {n} · bore, shells in", sheetCrank, "shell", "mm", "", []string{"b.V"}),
		s.feature("crank.float", 0, "crank · end float", sheetCrank, "crank", "mm", "", nil),
		s.feature("rod.N.side", c, "big-end pin {n} · side float", sheetCrank, "rod", "mm", "", nil),
	}
}

func (s inlineSheet) top() []jcs.Value {
	c := s.Cylinders
	spots := []string{"1", "2", "3", "4"}
	out := []jcs.Value{
		s.feature("cyl.N.liner", c, "cylinder {n} · liner bore", sheetBores, "cylinder", "mm", "bore", []string{"top.thrust", "bottom.thrust", "top.axial", "bottom.axial"}),
		s.feature("cyl.N.protrusion", c, "cylinder {n} · piston protrusion", sheetBores, "cylinder", "mm", "protrusion", nil),
		s.feature("cyl.N.bowl", c, "cylinder {n} · piston bowl", sheetBores, "cylinder", "cm3", "", nil),
		s.feature("gasket.free", 0, "head gasket · free thickness", sheetHead, "gasket", "mm", "free", spots),
		s.feature("gasket.opening", 0, "head gasket · fire ring opening", sheetHead, "gasket", "mm", "opening", nil),
		s.feature("gasket.compressed", 0, "head gasket · thickness under torque, by lead pellet", sheetHead, "gasket", "mm", "compressed", spots),
		s.feature("cyl.N.recess", c, "cylinder {n} · head recess", sheetHead, "cylinder", "cm3", "", nil),
		s.feature("cyl.N.lead", c, "cylinder {n} · bump clearance by lead", sheetHead, "cylinder", "mm", "", nil),
		s.feature("cyl.N.clay", c, "cylinder {n} · bump clearance by clay", sheetHead, "cylinder", "mm", "", nil),
	}
	if v := s.valves(); len(v) > 0 {
		out = append(out, s.feature("valve.N.clay", 0, "valve {n} · valve to piston by clay", sheetHead, "valve", "mm", "", nil, jcs.M("each", jcs.Strs(v))))
	}
	return out
}

func (s inlineSheet) nominals() jcs.Value {
	if v := s.Sizes["stroke"]; v != "" {
		s.used["stroke"] = mm(v)
	}
	var m []jcs.Member
	for name, v := range s.used {
		m = append(m, jcs.M(name, v)) // Obj puts them in order
	}
	return jcs.Obj(m...)
}

func (in Inline) undersizes() jcs.Value {
	if in.Undersizes == "" {
		return jcs.Null()
	}
	u := jcs.Obj(jcs.M("steps", words(in.Undersizes)), jcs.M("cleanup", mm("0.050")))
	return jcs.Obj(jcs.M("pin", u), jcs.M("main", u))
}

// joints is the head with its studs in rows, tightened from the middle outwards.
func (in Inline) joints() jcs.Value {
	if in.Studs < 2 {
		return jcs.Null()
	}
	rows := in.StudRows
	if rows == 0 {
		rows = 2
	}
	long := (in.Studs + rows - 1) / rows // studs in a row; the last may be shorter
	var fasteners, passes []jcs.Value
	for i := range in.Studs {
		fasteners = append(fasteners, jcs.Obj(text("n", strconv.Itoa(i+1)), jcs.M("x", jcs.Int(int64(i%long))), jcs.M("y", jcs.Int(across(i/long, rows)))))
	}
	for _, t := range strings.Fields(in.Torques) {
		passes = append(passes, jcs.Obj(text("t", t), text("u", "N.m")))
	}
	return jcs.Arr(jcs.Obj(text("joint", "head"), text("words", "cylinder head"), text("thread", "oiled"), jcs.M("passes", jcs.Arr(passes...)),
		jcs.M("fasteners", jcs.Arr(fasteners...)), jcs.M("order", jcs.Strs(fromTheMiddle(long, rows, in.Studs)))))
}

// across is where a row of studs stands, in thousandths of the drawing's width.
func across(row, rows int) int64 {
	if rows == 1 {
		return 500
	}
	return int64(200 + row*600/(rows-1))
}

func fromTheMiddle(long, rows, studs int) []string {
	var out []string
	add := func(k int) {
		for row := range rows {
			if n := k + row*long; k >= 0 && k < long && n < studs {
				out = append(out, strconv.Itoa(n+1))
			}
		}
	}
	mid := (long - 1) / 2
	add(mid)
	for d := 1; d <= long; d++ {
		add(mid + d)
		add(mid - d)
	}
	return out
}
