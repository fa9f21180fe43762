package calc

import (
	"errors"
	"slices"
	"strings"

	"witnessmark/sync/quantity"
)

// Tool is the instrument of a reading.
type Tool struct {
	Key, What string
	U         float64 // expanded uncertainty of its calibration, SI, k = 2
	Res       float64 // one step of its scale, SI
}

// Zero is the zero check that a reading names: what the tool read on a bar.
type Zero struct {
	Ref       string // the entry
	Bar, Read quantity.Written
	In        string // the tool in which it was set, as a bore gauge in a micrometer
}

// Item is one reading.
type Item struct {
	Ref   string // the entry
	Point string
	Label string
	By    string
	V     quantity.Written
	Tool  *Tool
	Zero  *Zero
	Temp  *quantity.Written
	Blind bool
	Gauge bool // read off a gauge of a run, whose log asks for no instrument
}

// Limit is a limit with its source. Margin: it must be proven with the
// uncertainty (ISO 14253-1); otherwise it is taken as read.
type Limit struct {
	Ref, Name   string
	Min, Max    *quantity.Written
	Margin      bool
	Words, Page string
	Accepted    bool
}

// Inputs is what a calculation works on; the names are those of its Needs.
type Inputs struct {
	Items   map[string][]Item
	Limits  map[string]Limit
	Nominal map[string]quantity.Written
	Opts    map[string]string
}

// Verdict is one of the five, or "" with no limit.
type Verdict string

// The verdicts.
const (
	NoLimit    Verdict = ""
	Within     Verdict = "within"
	Outside    Verdict = "outside"
	NotProven  Verdict = "not proven"
	Incomplete Verdict = "incomplete"
	Contested  Verdict = "contested"
)

// Glyph places the limits, the value and half its uncertainty on a line of
// 1000; -1 for what is not there.
type Glyph struct{ Lo, Hi, Val, Bar int }

// Val is one value of a result.
type Val struct {
	Name    string // stable, as "clearance.b.V"
	Is      string // "at least" or "at most" where the readings only bound it
	Label   string // in words
	Text    string // rounded once, to what could be resolved
	Unit    string // symbol
	UText   string // expanded uncertainty, as Text
	SI, U   float64
	K, DoF  float64
	Verdict Verdict
	Close   bool // within, but nearer the limit than U
	Limit   *Limit
	Glyph   Glyph
	below   bool // a gap of less than nothing
	unnamed bool // it rests on a reading of no named instrument
}

// Pair is two readings that differ by more than their tools allow.
type Pair struct {
	Point    string
	A, B     string // entries
	ByA, ByB string
	Says     string
}

// Result is what a calculation found.
type Result struct {
	Calc, Version string
	Vals          []Val
	Verdict       Verdict
	Close         bool
	Says          string
	Working       []string
	Missing       []string
	Cautions      []string
	Inputs        []string // entries, each once, in order
	Disagree      []Pair
	Chart         *Chart // for drawing; not part of the result's digest
}

// Need describes one input of a calculation, for people and other programs.
type Need struct {
	Name     string `json:"name"`
	Label    string `json:"label"`
	Unit     string `json:"unit,omitempty"`
	Kind     string `json:"kind"` // item, limit, nominal, option
	Optional bool   `json:"optional,omitempty"`
}

// Spec is a calculation.
type Spec struct {
	Name, Version, Title string
	Needs                []Need
	Above                string // inputs that must be above nought, separated by spaces
	NotBelow             string // readings that may be nought and no less, as a gap by feeler
	Gaps                 string // limits of gaps: below nought is outside, whatever the limit says
	Typed                string // readings that may be typed as one size instead
	Bounds               bool   // takes "at least" and "at most" for a reading
	run                  func(*sheet)
}

// ErrUnknown is for a name that is no calculation.
var ErrUnknown = errors.New("there is no calculation of that name")

// Registry returns all calculations, by name.
func Registry() []Spec { return slices.Clone(registry) }

// Find returns the calculation of that name.
func Find(name string) (Spec, bool) {
	i := slices.IndexFunc(registry, func(s Spec) bool { return s.Name == name })
	if i < 0 {
		return Spec{}, false
	}
	return registry[i], true
}

// Run runs the calculation of that name. The only error is ErrUnknown: bad
// and missing inputs are part of the result.
func Run(name string, in Inputs) (Result, error) {
	s, ok := Find(name)
	if !ok {
		return Result{}, ErrUnknown
	}
	return s.Run(in), nil
}

// Run runs the calculation.
func (s Spec) Run(in Inputs) Result {
	w := &sheet{bounds: s.Bounds, gaps: strings.Fields(s.Gaps), used: map[string]bool{}, pools: map[string]map[string]measured{}}
	w.Calc, w.Version = s.Name, s.Version
	w.in = w.screen(s, in)
	w.mixed = mixedUnits(w.in)
	s.run(w)
	w.close()
	return w.Result
}

// sheet is a calculation at work: its inputs and the result so far.
type sheet struct {
	Result
	in     Inputs
	bounds bool                           // readings may be bounds
	gaps   []string                       // limits of gaps
	mixed  map[quantity.Dim]quantity.Unit // what readings of several units are worked in
	used   map[string]bool
	pools  map[string]map[string]measured // pooled readings, so that each is worked once
}

func (s *sheet) use(ref string) {
	if ref != "" {
		s.used[ref] = true
	}
}

func (s *sheet) line(text string)    { s.Working = append(s.Working, text) }
func (s *sheet) missing(what string) { s.Missing = append(s.Missing, what) }
func (s *sheet) caution(text string) { s.Cautions = append(s.Cautions, text) }

// close gathers the inputs and the verdict over all values.
func (s *sheet) close() {
	for ref := range s.used {
		s.Inputs = append(s.Inputs, ref)
	}
	slices.Sort(s.Inputs)
	s.warnBelow()
	worst := s.Verdict
	for _, v := range s.Vals {
		worst = Worse(worst, v.Verdict)
		s.Close = s.Close || v.Close
	}
	if len(s.Missing) > 0 {
		worst = Worse(worst, Incomplete)
	}
	if len(s.Disagree) > 0 {
		worst = Contested
	}
	s.Verdict = worst
	s.Close = s.Close && worst == Within
	if s.Says == "" {
		s.Says = s.sentence()
	}
}

// Worse returns the one of two verdicts that keeps the work from going on.
func Worse(a, b Verdict) Verdict {
	order := []Verdict{NoLimit, Within, NotProven, Incomplete, Outside, Contested}
	if slices.Index(order, b) > slices.Index(order, a) {
		return b
	}
	return a
}
