// Package record turns a resolved set of entries into the state of a job:
// engines with their dated sides, places with their readings, joints with
// their passes, what is contested, what is not usable and why. It is a
// function of the set and keeps every value as written.
package record

import (
	"witnessmark/sync/entry"
	"witnessmark/sync/jcs"
	"witnessmark/sync/pattern"
	"witnessmark/sync/quantity"
	"witnessmark/sync/reconcile"
)

// State is the state of a job. Every list is in a fixed order.
type State struct {
	Job         Job
	Numbering   Numbering
	People      []Person
	Instruments []Instrument
	Zeros       []Zero
	Patterns    []Sheet
	Engines     []Engine
	Parts       []Part
	Limits      []Limit
	Places      []Place
	Joints      []Joint
	Holds       []HoldTest
	Runs        []Run
	Adjusts     []Adjust
	Snags       []Snag
	Clutches    []ClutchTry
	Notes       []*Note
	Photos      []*Photo
	Voices      []*Voice
	Marks       []*Mark
	Asks        []Ask
	Checks      []Check
	Stages      []Stage
	Plan        entry.ID // the entry that the stages are of, or ""
	Signs       []Sign
	Decisions   []Decision
	Logs        []Log
	Contests    []Contest
	Unusable    []Bad
	NeedsNewer  []entry.ID
	Forks       int
	Entries     int

	resolved *reconcile.Resolved
	built    *builder // what it was built with, to build on
}

// Saying is what an entry says.
type Saying struct {
	Kind, Words, By, At string
	Body                jcs.Value
	Over, After         []entry.ID
}

// Job names the job.
type Job struct{ Title, Vehicle string }

// Numbering is the signed convention; empty until there is one.
type Numbering struct {
	ID                                    entry.ID
	Name, End1, End2, Facing, Left, Right string
	Machinists                            []Machinist
}

// Person is somebody who writes or reads.
type Person struct {
	ID              entry.ID
	Key, Name, Role string
}

// Instrument is a tool with its scale and calibration as written.
type Instrument struct {
	ID               entry.ID
	Key, What        string
	Res, U, From, To quantity.Written
	Due              string // the day on which its calibration is due again, or ""
	Contested        bool   // two entries describe it otherwise
}

// Zero is a zero check that stands.
type Zero struct {
	ID             entry.ID
	Instrument, In string
	Bar, Read      quantity.Written
	At, By         string
}

// Sheet is an engine type that stands, or why its sheet cannot be read.
type Sheet struct {
	ID      entry.ID
	Key     string
	Pattern *pattern.Pattern
	Why     string
}

// Engine is an engine by its serial.
type Engine struct {
	ID                       entry.ID
	Serial, Name, Band, Type string
	Pattern                  *pattern.Pattern // nil when its sheet is not there
	Fit                      Fitting
	History                  []Fitting // all its moves, in order
	Contested                bool      // its side or place is contested
	Crank                    string    // the crank that is in it, by tag; "" when it is out
}

// Fitting is where an engine was put. An engine that nobody moved yet has none.
type Fitting struct {
	ID    entry.ID
	Side  string // left or right, or ""
	Place string // where else
	Day   string
	Ended string // the day on which a later move ended it, or ""
}

// Part is a part with a tag, or a lot, and its story.
type Part struct {
	Key, What, As, State          string
	Asm                           string // the engine that it is fitted in, or ""
	Origin, Batch, Papers, Stored string
	Undersize                     *quantity.Written
	Photos                        []entry.ID
	Contest                       string // where is it? the contest, by id, or ""
	Known                         []entry.ID
	Buying                        []entry.ID // the steps of buying that no other of them follows, nor one that fits it
	Tips                          []entry.ID // the steps that no other follows: what the next one comes after
	Story                         []Step
}

// Step is one thing that happened to a part.
type Step struct {
	ID                               entry.ID
	State, Asm, Place, Day, By, Note string
	On                               string // Day, or else the day of writing
	Order
	Inward []Inward
	Photos []entry.ID
}

// Order is what a step says about buying.
type Order struct {
	Supplier, Due, Lead, Answer, Waits string
	Price                              *quantity.Written
	Count                              int64
	Decision                           entry.ID
	Matters                            []Matter
}

// Matter is what will be measured when a part comes, and what it must be.
type Matter struct{ What, Want string }

// Inward is a line of a goods-inward card; No: it will not do.
type Inward struct {
	What, Want, Got string
	No              bool
}

// Limit is a limit as it stands. Several stand for one register while it is contested.
type Limit struct {
	ID                    entry.ID
	Name, Asm, Pattern    string
	Min, Max              *quantity.Written
	AlsoMin, AlsoMax      *quantity.Written // as the same source prints them in another unit
	TestPressure          *quantity.Written // of a hold test: what it asks to be put on; nil: not said
	TestTime              *quantity.Written // and for how long
	Margin                bool
	Words, Page, Accepted string
	Photos                []entry.ID // of the printed page
	Contested             bool
}

// Place is everything read at one point in one condition. Key is whose size it
// is: a part's tag, which the readings follow, or the engine's serial.
type Place struct {
	Key, At, Point, Cond string
	Readings             []Reading
}

// Reading is a reading with what became of it.
type Reading struct {
	ID, Origin     entry.ID // Origin: the entry that a restore brought back
	Asm, Side      string   // as it was shown to the person
	Fitting        entry.ID
	By, ReadBy, At string
	When           string // when it was measured, if that is not when it was written: a day, or words; ""
	Log            entry.LogID
	Depth          int // the entry's depth: on one phone, the order in which it was kept
	Value          quantity.Written
	Instrument     string
	Zero           *Zero
	ZeroHow        string // own, applied, none, withdrawn (it was taken back: uncorrected); "" when nothing was said
	Temp           *quantity.Written
	Note           string
	Blind          bool
	Struck         string // why it no longer counts, or ""
	StruckBy       []entry.ID
	Contest        string // the contest that it is in, by id, or ""
	Waits          []entry.ID
	NeedsNewer     bool
}

// Joint is how far a joint is tightened in one condition.
type Joint struct {
	Asm, Joint, Cond string
	Passes           []Pass
}

// Pass is one pass over a joint.
type Pass struct {
	N       int
	Done    []string // fasteners recorded one by one, in the sheet's order
	Whole   bool     // reported as done whole
	Missing []string // of the sheet; none when reported whole
	Strange []string // recorded, but not on the sheet
	Lines   []Tighten
}

// Tighten is one entry of a pass.
type Tighten struct {
	ID                         entry.ID
	Fasteners                  []string
	Whole                      bool
	Torque, Set, Moved         quantity.Written // Moved: how far the nut turned at a re-tightening
	Thread, Tool, By, At, Note string
	Contest                    string // the contest that it is in, by id, or ""
}

// Of is what an entry is about.
type Of struct {
	Asm, Side, At, Point, Part string
	Fitting                    entry.ID
}

// Note is a note that stands.
type Note struct {
	ID           entry.ID
	Of           Of
	Text, By, At string
}

// Photo is a photo that stands; whether its bytes have arrived is the store's fact.
type Photo struct {
	ID                 entry.ID
	Of                 Of
	SHA, Type, Caption string
	Size               int64
	By, At             string
}

// Ask is the lead's wish for a blind check reading.
type Ask struct {
	ID            entry.ID
	Of            Of
	Cond, Who, By string
	Answered      bool
}

// Check is a question of the sheet answered in a word. Key is whose place it is.
type Check struct {
	ID                        entry.ID
	Of                        Of
	Key                       string
	Cond, Answer, Why, By, At string
	Depth                     int // as of a reading
}

// Stage is a stage of the job; Pair says that it is of both engines together.
type Stage struct {
	Key, Title string
	Pair       bool
	Hold       *Hold
}

// Hold is the hold point that ends a stage, with what it waits for.
type Hold struct {
	Key, Title string
	Wants      []Want
}

// Want is one condition of a hold point, as schema/entries/stages.md names them.
type Want struct{ What, Of string }

// Sign is a hold point signed; Why makes it a concession. Says and How are of one that was passed before the record began:
// who says so, and how that is known; "" where the entry is older than the question.
type Sign struct {
	ID          entry.ID
	Hold        string
	Asm         []string
	Rests       []Rest
	Why, By, At string
	Says, How   string
	Contested   bool
}

// DoneBefore is the reason for a hold point that was passed before anything was written down here.
const DoneBefore = "done before, not recorded"

// Before reports whether nobody signed for what was seen: the hold point was passed before the record began.
func (s Sign) Before() bool { return s.Why == DoneBefore }

// Reason is why a signature stands in spite of what was unmet: the concession's reason, or who says that it was done before
// and how that is known; "" for a plain one.
func (s Sign) Reason() string {
	if !s.Before() || s.Says == "" {
		return s.Why
	}
	return s.Says + " says so: " + s.How
}

// Decision is a decision with what it rests on.
type Decision struct {
	ID        entry.ID
	Decide    string
	Asm       []string
	Chosen    string // canonical JSON
	Rests     []Rest
	Inputs    []string
	Why       string
	By, At    string
	Contested bool

	Open                  string // what is open, and why it was decided all the same
	Original              bool   // it removes original metal
	Alternatives, Consent string
	Work                  *Work
}

// Work is an instruction for machining.
type Work struct {
	To, Note string
	Lines    []WorkLine
}

// WorkLine is a size to be machined; At is a place, or "".
type WorkLine struct{ What, Size, Tol, At string }

// Rest is a result that a decision rests on, as it was.
type Rest struct {
	Result, Verdict, Says string
	Vals                  []RestVal
}

// RestVal is a value of it; Choice: it is the answer.
type RestVal struct {
	Name, Label, Text, Unit string
	Choice                  bool
}

// Log is a device log.
type Log struct {
	Log              entry.LogID
	Device, Name, Of string
	Entries          int
	Last             int64
}

// Contest is a question that somebody must settle. Members are what stands
// against each other.
type Contest struct {
	ID       entry.ID
	Register string
	Why      string // in words, for those that the record itself finds
	Members  []entry.ID
	Places   []Of
}

// Bad is an entry that has no effect, or a reading that no sheet has a place
// for, and why.
type Bad struct {
	ID   entry.ID
	Kind string
	Log  entry.LogID
	Seq  int64
	By   string
	Why  string
	Of   Of
}
