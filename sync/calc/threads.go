package calc

import (
	"strconv"
	"strings"

	"witnessmark/sync/quantity"
)

// thread is a screw thread by its designation, SI; area is 0 where its standard
// tabulates none.
type thread struct {
	name               string
	major, pitch, area float64
}

// row is a thread as its table prints it.
type row struct {
	name               string
	major, pitch, area float64
}

// metricThreads: ISO 261 selection, areas of ISO 898-1:2013, in millimetres.
var metricThreads = []row{
	{"M6", 6, 1, 20.1}, {"M8", 8, 1.25, 36.6}, {"M10", 10, 1.5, 58}, {"M12", 12, 1.75, 84.3},
	{"M14", 14, 2, 115}, {"M16", 16, 2, 157}, {"M18", 18, 2.5, 192}, {"M20", 20, 2.5, 245},
	{"M22", 22, 2.5, 303}, {"M24", 24, 3, 353}, {"M8x1", 8, 1, 39.2}, {"M10x1", 10, 1, 64.5},
	{"M10x1.25", 10, 1.25, 61.2}, {"M12x1.25", 12, 1.25, 92.1}, {"M12x1.5", 12, 1.5, 88.1}, {"M14x1.5", 14, 1.5, 125},
	{"M16x1.5", 16, 1.5, 167}, {"M18x1.5", 18, 1.5, 216}, {"M20x1.5", 20, 1.5, 272}, {"M22x1.5", 22, 1.5, 333},
	{"M24x2", 24, 2, 384},
}

// unifiedThreads: ASME B1.1, inches and threads per inch, areas in square inches.
var unifiedThreads = []row{
	{"1/4-20 UNC", 0.25, 20, 0.0318}, {"1/4-28 UNF", 0.25, 28, 0.0364}, {"5/16-18 UNC", 0.3125, 18, 0.0524}, {"5/16-24 UNF", 0.3125, 24, 0.058},
	{"3/8-16 UNC", 0.375, 16, 0.0775}, {"3/8-24 UNF", 0.375, 24, 0.0878}, {"7/16-14 UNC", 0.4375, 14, 0.1063}, {"7/16-20 UNF", 0.4375, 20, 0.1187},
	{"1/2-13 UNC", 0.5, 13, 0.1419}, {"1/2-20 UNF", 0.5, 20, 0.1599}, {"9/16-12 UNC", 0.5625, 12, 0.182}, {"9/16-18 UNF", 0.5625, 18, 0.203},
	{"5/8-11 UNC", 0.625, 11, 0.226}, {"5/8-18 UNF", 0.625, 18, 0.256}, {"3/4-10 UNC", 0.75, 10, 0.334}, {"3/4-16 UNF", 0.75, 16, 0.373},
	{"7/8-9 UNC", 0.875, 9, 0.462}, {"7/8-14 UNF", 0.875, 14, 0.509}, {"1-8 UNC", 1, 8, 0.606}, {"1-12 UNF", 1, 12, 0.663},
	{"1-14 UNS", 1, 14, 0.679},
}

// whitworthThreads: BS 84, inches and threads per inch; it tabulates no stress area.
var whitworthThreads = []row{
	{"1/4 BSW", 0.25, 20, 0}, {"1/4 BSF", 0.25, 26, 0}, {"5/16 BSW", 0.3125, 18, 0}, {"5/16 BSF", 0.3125, 22, 0}, {"3/8 BSW", 0.375, 16, 0},
	{"3/8 BSF", 0.375, 20, 0}, {"7/16 BSW", 0.4375, 14, 0}, {"7/16 BSF", 0.4375, 18, 0}, {"1/2 BSW", 0.5, 12, 0}, {"1/2 BSF", 0.5, 16, 0},
	{"9/16 BSW", 0.5625, 12, 0}, {"9/16 BSF", 0.5625, 16, 0}, {"5/8 BSW", 0.625, 11, 0}, {"5/8 BSF", 0.625, 14, 0}, {"11/16 BSW", 0.6875, 11, 0},
	{"11/16 BSF", 0.6875, 14, 0}, {"3/4 BSW", 0.75, 10, 0}, {"3/4 BSF", 0.75, 12, 0}, {"7/8 BSW", 0.875, 9, 0}, {"7/8 BSF", 0.875, 11, 0},
	{"1 BSW", 1, 8, 0}, {"1 BSF", 1, 10, 0},
}

// oneInch in metres.
const oneInch = 127.0 / 5000

// threadOf finds a thread by its designation, however it is spaced: "M14",
// "m14 × 1,5", "1/2-13UNC", "1/2 BSW". The pitch of a coarse thread may be named.
func threadOf(designation string) (thread, bool) {
	want := plainName(designation)
	for _, r := range metricThreads {
		name := plainName(r.name)
		if want == name || want == name+"x"+strconv.FormatFloat(r.pitch, 'f', -1, 64) {
			return thread{r.name, r.major / 1000, r.pitch / 1000, r.area / 1e6}, true
		}
	}
	for _, table := range [][]row{unifiedThreads, whitworthThreads} {
		for _, r := range table {
			if want == plainName(r.name) {
				return thread{r.name, float64(r.major * oneInch), oneInch / r.pitch, float64(r.area*oneInch) * oneInch}, true
			}
		}
	}
	return thread{}, false
}

// plainName is a designation without what people write in different ways.
func plainName(s string) string {
	return strings.NewReplacer(" ", "", "\u00a0", "", "\u2009", "", "×", "x", ",", ".", "\"", "", "–", "-").Replace(strings.ToLower(s))
}

// thread reads the option of that name; false when there is none, or none of
// the tables has it, which then is missing with its reason.
func (s *sheet) thread(name string) (thread, bool) {
	if s.in.Opts[name] == "" {
		return thread{}, false
	}
	t, ok := threadOf(s.in.Opts[name])
	if !ok {
		s.missing("the thread: '" + s.in.Opts[name] + "' is not in the tables (M6 to M24, UNC, UNF, BSW, BSF from 1/4 to 1 in); give diameter and stress area instead")
	}
	return t, ok
}

// stressArea is the area that carries the load, with its working. BS 84 has
// none: it is worked out by the rule of ISO 898-1, 9.1.6, on the mean of
// effective and minor diameter, 1.5 thread depths below the major.
func (s *sheet) stressArea(t thread) float64 {
	if t.area > 0 {
		s.line("stress area of " + t.name + " as tabulated: " + mm2(t.area))
		return t.area
	}
	a := area(t.major - float64(1.5*0.640327*t.pitch))
	s.line("stress area of " + t.name + ": BS 84 tabulates none; by the rule of ISO 898-1, π/4 × (mean of effective and minor diameter)² = " + mm2(a))
	return a
}

// mm2 is an area in square millimetres, which have no unit of their own.
func mm2(si float64) string { return quantity.Fixed(si*1e6, 1) + "\u2009mm²" }
