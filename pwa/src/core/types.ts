// The shapes of what the core's views say (package sync/view). The page draws
// them and repeats no rule of its own.

export type Verdict = 'within' | 'outside' | 'not proven' | 'incomplete' | 'contested' | '';

/** Places on a line of 1000; -1 for what is not there. */
export interface Glyph { lo: number; hi: number; val: number; bar: number }

/** An engine as it is named everywhere: serial, spoken name, band for life, and where it is now. */
export interface Engine {
  asm: string; name: string; band: 'solid' | 'hatched';
  side?: 'left' | 'right'; where: string; fitting?: string; contested?: boolean;
}

export interface Written { t?: string; to?: string; u: string; is?: 'at least' | 'at most' | 'nil' }

/** What an entry is about; goes into a draft's body as it is. */
export interface Of { asm: string; side?: string; fitting?: string; at?: string; point?: string; part?: string }

export interface Reading {
  id: string; text: string; value: Written; by: string; taker: string; at: string; when?: string; tool?: string; zero?: string; note?: string;
  state: 'stands' | 'struck' | 'contested'; why?: string; blind?: boolean; contest?: string; actions: string[];
}

export interface Line {
  id: string; asm: string; at: string; cond?: string; cond_words?: string; words: string; verdict: Verdict; word: string;
  close?: boolean; says: string; glyph: Glyph;
}

export interface Val {
  label: string; text: string; unit?: string; u_text?: string; verdict: Verdict; word: string; close?: boolean;
  glyph: Glyph; limit?: string; limit_words?: string; limit_page?: string;
}

export interface Result extends Line {
  engines: Engine[]; vals: Val[]; working: string[]; missing: string[]; cautions: string[]; mixes: string[];
  /** Where to go and measure what is missing, in walking order. */
  measure: { engine: Engine; points: (Target & { cond: string })[] }[];
  inputs: { id: string; words: string }[]; calc: string; version: string;
  decide?: DecideDraft;
}

/** A decision that rests on a result; who decides adds what and why. must_open: the result proves too little, so what is open must be said. */
export interface DecideDraft {
  kind: string; body: Record<string, unknown>; over: string[]; choices: string[]; must_open?: string; lines: { what: string; size: string; tol?: string; at: string }[];
}

export interface PlaceLine {
  at: string; words: string; short: string; verdict: Verdict; word: string; done: number; total: number; glyph: Glyph; sheet: string;
}

export interface Note { id: string; text: string; by: string; at: string }
/** marked: how many marks it has, in words. */
export interface Photo { id: string; sha: string; caption?: string; by?: string; at: string; where: string; asm?: string; marked?: string }
export interface Voice { id: string; sha: string; length: string; seconds: number; caption?: string; by: string; at: string }
export interface PhotoMark { id: string; number: number; words: string; by: string; at: string; contested?: boolean }
/** One photo; svg lies over it and fits the size in pixels that was asked with. */
export interface PhotoView extends Photo { engine?: Engine; place?: string; marks: PhotoMark[]; svg: string }

/** A shop that counts otherwise, in words; of: the group of places that a count is of. */
export interface Shop { name: string; says: string; counts: { of: string; says: string }[] }

export interface JobView {
  title: string; vehicle?: string; numbering?: { id: string; name: string; end1: string; end2: string; facing: string; left: string; right: string; shops: Shop[]; machinists: unknown[]; counts: unknown[] };
  engines: Engine[]; people: { id: string; key: string; name: string; role: string }[];
  instruments: { id: string; key: string; what: string; res: Written; due?: string; zero?: { id: string; text: string; at: string } }[];
  types: { key: string; name: string; why?: string }[];
  joints: { asm: string; joint: string; words: string }[];
  parts: { part: string; what: string; state: string; asm?: string }[];
  limits: { id: string; name: string; title: string; asm?: string; says: string; also?: string; doubt?: string; words: string; page?: string; accepted: boolean; by?: string; photos: Photo[]; body: unknown }[];
  decisions: DecisionLine[]; machinists: string[];
  unusable: { id: string; why: string; by: string; what: string }[];
  entries: number; readings: number; newer: number; forks: number; trials: string[];
}

/** What others entered since; now: how far each log is, to be remembered as seen. */
export interface CameView { now: Record<string, number>; count: number; people: string[]; groups: { by: string; what: string; words: string; asm?: string; open: { screen: string; [param: string]: string } }[] }

/** The plan as it is being changed: wants in words, stage by stage; unsigned: signatures whose hold point would go. */
export interface PlanStage { key: string; title: string; pair?: boolean; hold?: { key: string; title: string; wants: { what: string; of?: string }[] } }
export interface PlanView {
  stages: PlanStage[]; wants: string[][]; choices: { what: string; words: string; of: { key: string; words: string }[] }[]; wrong: string[]; unsigned: string[];
  draft?: { kind: string; body: Record<string, unknown>; over: string[] };
}

/** The convention with a shop that counts otherwise, or without one. */
/** rows: ours beside his, as far as they can be read; groups: what can be counted otherwise. */
export interface MachinistView {
  groups: { key: string; word: string; short: string; each: string[] }[]; rows?: { ours: string; his: string }[]; error?: string;
  draft?: { kind: string; body: Record<string, unknown>; over: string[] };
}

/** The engine types; file: the type as a file, absent where its sheet cannot be read. */
export interface TypesView { types: { key: string; name: string; says: string; engines: Engine[]; file?: string }[] }

/** An engine type being made or changed. wrong says what to do, by the key of the line; stands: there is one of that key; lost: what was entered at places that would go. */
export interface TypeView {
  wrong: { key?: string; says: string }[]; key?: string; name?: string; says?: string; stands?: boolean; svg?: string; joints?: { joint: string; words: string; svg: string }[];
  fields?: { key: string; group?: string; of?: string | undefined; label: string; text: string }[]; changes?: { of?: string; label: string; was: string; now: string }[]; lost: string[];
  draft?: { kind: string; body: Record<string, unknown>; over: string[] }; file?: string;
}

export interface EngineView { engine: Engine; where: string; svg: string; places: PlaceLine[]; twin?: Engine; end1: string; end2: string }

/** twin: the other engine as it is spoken of; there: why a point that is missing here was skipped on it. */
export interface SheetView {
  engine: Engine; next?: Target; twin?: string;
  groups: { sheet: string; done: number; total: number; way?: TwinWay; places: {
    at: string; words: string; points: { point: string; words: string; text: string; by: string; state: 'done' | 'missing' | 'skipped' | 'contested'; there?: string }[];
  }[] }[];
}

/** How a sheet was measured on the other engine; never what was read. start_with: the instrument of the first point still open here. */
export interface TwinWay {
  cond: string; cond_words: string; also: { cond: string; words: string }[]; tools: { key: string; what?: string }[]; units: string[]; start_with?: string;
  steps: { at: string; words: string; tool?: string; points: { point: string; words: string; readings: number; skipped?: string }[] }[];
}

export interface Target { asm: string; at: string; point: string; words: string }

export interface PointView {
  engine: Engine; of: Of; words: string; point_words: string; shops: string[]; unit: string; nominal?: string; cond: string;
  conds: { cond: string; words: string }[]; points: { point: string; words: string; done: boolean; skipped?: boolean }[];
  tools: { fit: string[]; short: string[] }; point_help: string[]; blind: boolean; own: Reading[]; hidden: number;
  twin?: { engine: Engine; count: number; hidden: boolean; readings: Reading[] };
  results: Line[]; next?: Target; skips: { id: string; why: string; by: string; at: string }[]; notes: Note[]; photos: Photo[]; voices: Voice[]; snags: number; lead?: string;
}

export interface SayView { ok: boolean; text: string; error?: string; question?: string; value?: Written }

/** A sheet to be printed blank or keyed in; the rows are numbered through. have: what stands at a point, as written. */
export interface PaperView {
  engine: Engine; title: string; numbering?: JobView['numbering']; sheet?: string; sheets: { sheet: string; stages: string[] }[];
  cond: string; cond_words: string; conds: { cond: string; words: string }[]; svg: string; end1: string; end2: string; rows: number;
  tables: {
    title: string; unit: string; units: { code: string; symbol: string }[]; nominal?: string; points: { point: string; words: string }[];
    rows: { n: number; at: string; short: string; words: string; cells: { point: string; of: Of; have: string[] }[] }[];
  }[];
}

/** A list from elsewhere as it would be kept, before anything is. */
export interface LinesView {
  columns: { head: string; role?: string; unit?: string }[]; roles?: { role: string; words: string }[]; ready: number; wrong: number; there: number; more?: boolean;
  items: {
    row: number; column?: string; cell: string; state: 'ready' | 'wrong' | 'there'; words: string; by: string; when?: string; problems: string[]; question?: string;
    draft?: { kind: string; body: Record<string, unknown> };
  }[];
}

export interface ResultsView { engines: { engine: Engine; lines: Line[] }[]; both: Line[]; twins: Line[] }

/** snags: how many are open. */
export interface LeadView { groups: { title: string; word: string; lines: LeadLine[] }[]; snags: number }
export interface LeadLine {
  title: string; says: string; word: string; asm?: string;
  open: { screen: 'contest' | 'result' | 'point' | 'sheet' | 'gasket' | 'job' | 'hold' | 'snag' | 'part' | 'decision'; id?: string; part?: string; asm?: string; at?: string; point?: string; cond?: string };
}

/** What can be limited on each engine type; an offer stands only where nothing is set. */
export interface LimitsView { set: { limit: string; asm?: string; pattern?: string; id: string; says: string; words: string }[]; types: { key: string; name: string; engines?: Engine[]; limits: LimitOf[] }[] }
export interface LimitOf {
  name: string; words: string; units: { code: string; symbol: string }[]; says?: string;
  /** Of a hold test: the units of the pressure that it may ask for. */
  pressures?: { code: string; symbol: string }[];
  offer?: { says: string; words: string; body: Record<string, unknown> };
}

export interface ContestView {
  id: string; words: string; says: string; engines: Engine[]; which?: boolean; places: Target[]; // which: the question is which engine
  members: { id: string; text: string; by: string; at: string; kind: string; ruling?: { kind: string; body: Record<string, unknown>; over: string[]; after?: string[] } }[];
  nothing?: { kind: string; over: string[] };
}

export interface TightenLine { id: string; words: string; by: string; at: string; note?: string; contest?: string }
export interface TightenView {
  engine: Engine; of: Of; joint: string; words: string; cond: string; conds: { cond: string; words: string }[]; svg: string;
  passes: { n: number; torque: Written; torque_text: string; done: string[]; whole: boolean; missing: string[]; left: number; remarks: string[]; lines: TightenLine[] }[];
  pass: number; next?: string; thread: string; order: string[]; tools: { key: string; what: string; why?: string }[]; after_heat?: string;
}

/** A hold test in one line: what was held, from what to what, and what it came to. */
export interface HoldLine {
  id: string; asm: string; test: string; engine?: Engine; state: 'running' | 'done' | 'struck' | 'contested' | 'waits'; word: string;
  from: string; by: string; at: string; log?: string; contest?: string; wait?: string; wait_s?: number; to?: string; held?: string; result?: Line;
}
export interface HoldsView {
  tests: HoldLine[]; engine: Engine; of: Of; choices: { test: string; limit?: string; wait?: string; again: string[] }[];
  /** What keeps the drafted test from being the one that its limit asks for. */
  not_asked: string[];
  gauges: { key: string; what: string; res: string; unit: string }[]; caution: string;
  /** The cures that a test begun now comes after. */
  after: string[];
}
export interface HoldEnd { id: string; to: string; held: string; counted?: string; clock?: string; by: string; at: string; note?: string; why?: string; contest?: string }
export interface HoldView extends HoldLine {
  engine: Engine; why?: string; note?: string; gauge?: string; vacuum?: boolean; volume?: string; limit?: string; unit: string; temp_unit?: string;
  ends: HoldEnd[]; again: string[]; not_asked: string[]; end: { of: Of; start: string }; whole?: Result; caution: string;
  /** Snags that somebody may have seen dry on it. */
  proves: SnagLine[];
}

/** A run in one line: an engine on a stand, or both uncoupled. */
export interface RunLine {
  id: string; title: string; state: 'running' | 'stopped' | 'struck' | 'contested' | 'waits'; word: string; by: string; at: string; log?: string; contest?: string;
  unreleased?: string; release: string; engines: Engine[]; ran?: string;
}
export interface RunLimit { name: string; words: string; id?: string; says?: string; accepted?: boolean }
export interface RunHold { key: string; title: string; word: string; sign: string; by: string; why?: string }
export interface RunsView {
  runs: RunLine[]; engine: Engine; hours: string;
  /** What a run that is started now comes after: so it can prove a snag cured. */
  after: string[];
  card: {
    of: Of; checks: { key: string; words: string }[]; posts: string[]; people: { key: string; name: string }[]; holds: RunHold[];
    with: { engine: Engine; of: Of; holds: RunHold[] }[]; limits: RunLimit[]; before: string[]; cautions: string[]; knows: string; type: string;
  };
}
/** word: STOP, or SLOWER for what a lower speed may cure. */
export interface Drill { word: string; steps: string[]; after: string }
export interface RunAlarm { title: string; says: string; at: string; id?: string; drill: Drill }
export interface RunTile { what: string; words: string; unit: string; first?: boolean; figure?: string; symbol?: string; at_s?: number; at?: string; limit?: string; alarm?: boolean }
export interface RunFill { id: string; what: string; words: string; seen: string; at: string; body: Record<string, unknown> }
/** One engine of a run as it stands now; what is due is told in seconds since the start. */
export interface RunSide {
  engine: Engine; of: Of; state: 'cranking' | 'starting' | 'running' | 'stopped'; state_words: string; station?: string; tiles: RunTile[]; fill: RunFill[];
  alarms: RunAlarm[]; raised: RunAlarm[]; deadlines: { at_s: number; title: string; says: string; drill: Drill }[]; seen: boolean; band: boolean; hours: string; after: string[]; faults: string[];
  fired_s?: number; stopped_s?: number; due_s?: number; every_s?: number; ran?: string; why?: string;
}
export interface RunView extends RunLine {
  sides: RunSide[]; log_lines: { id: string; asm: string; at: string; words: string; by: string; clock?: string; why?: string; contest?: string; waits?: boolean; event?: string }[];
  events: { event: string; words: string; drill?: string; where?: boolean }[]; gauges: { what: string; words: string; unit: string; first?: boolean; units: UnitName[] }[];
  stations: { key: string; words: string }[]; leaks: string[]; drill: Drill; card: { name: string; text: string }[]; knows: string; cautions: string[];
  tachometers: { key: string; what: string }[]; graphs: { title: string; svg: string }[]; drill_line: string; matching?: Matching;
}
export interface UnitName { code: string; symbol: string }
/** A logger's file as it would be kept of a run: what is still to be said (wants), what is wrong (told), and the bodies of the entries. */
export interface LoggerView {
  columns: { head: string; role?: string; unit?: string }[]; shown: string[][]; lines: number; more?: boolean; roles: { role: string; words: string; units: UnitName[] }[];
  times: { code: string; words: string }[]; wants: string[]; told: string[]; wrong: number; empty: number; rows: number; from?: string; to?: string; there?: string[];
  bodies?: Record<string, unknown>[];
}
/** What was tried of both clutches, cold and hot, the left engine first. */
export interface ClutchView { engines: Engine[]; rows: { try: string; words: string; unit?: string; cells: ClutchCell[] }[]; untried: number; caution: string }
export interface ClutchCell {
  asm: string; hot?: boolean; state: 'untried' | 'good' | 'bad' | 'not sure' | 'differ'; figure?: string; of: Of; again: string[];
  tries: { id: string; result: string; value?: string; words?: string; by: string; at: string; open: boolean }[];
}
/** Matching the pair: the round that is open, the rounds with what was moved after each, the newest first. */
export interface Matching { round: number; last: number; rounds: MatchRound[]; state: string; caution: string; screws: string[]; totals: string[] }
export interface MatchRound {
  n: number; rows: { station: string; left?: string; right?: string; left_swapped?: string; right_swapped?: string; difference?: string }[]; result?: Line;
  moved: { id: string; words: string; by: string; why?: string }[]; measured: string[]; next: string[];
}

/** What is wrong somewhere; age in words of the day that the page named, not_proven why somebody's proof does not count. */
export interface SnagLine {
  id: string; asm: string; engine?: Engine; place?: string; what: string; rate?: string; stop?: boolean; word: string;
  state: 'raised' | 'cured' | 'proven' | 'reopened' | 'contested' | 'struck' | 'waits'; not_proven?: string; contest?: string; by: string; at: string; age?: string;
}
export interface SnagsView { open: SnagLine[]; closed: SnagLine[]; engines: Engine[]; engine?: Engine; of?: Of; place?: string }
export interface SnagStep {
  id: string; state: string; word: string; did?: string; twin?: string; seen_by?: string; test?: string; test_id?: string; by: string; at: string; note?: string;
  why?: string; not_proven?: string; contest?: string; photos: Photo[];
}
/** step: the draft that a next step fills in; tests: what may prove it, or why not. */
export interface SnagView extends SnagLine {
  photos: Photo[]; steps: SnagStep[]; note?: string; at_place?: string; twin: string; caution: string;
  step: { kind: string; after: string[]; body: Record<string, unknown> }; tests: { id: string; words: string; by: string; at: string; why?: string }[];
}

export interface DecisionLine {
  id: string; title: string; why: string; by: string; at: string; stale: string; rests: string[]; state: 'stands' | 'again' | 'open' | 'stale' | 'contested'; word: string;
}
/** moved: what is not as it was, old beside new; counts: it changes the answer. */
export interface DecisionView extends DecisionLine {
  engines: Engine[]; chosen: string[]; open?: string; original?: boolean; alternatives?: string; consent?: string; moved: { label: string; was: string; now: string; counts: boolean }[];
  on: { id: string; title: string; says?: string; here: boolean }[]; orders: PartLine[]; work?: boolean;
}
/** The page for the machinist; theirs: whose own numbers stand beside ours. */
export interface InstructionView {
  id: string; engines: Engine[]; title: string; stale: string; open?: string; to?: string; note?: string; why: string; by: string; at: string; job: string; number1?: string; theirs?: string; svg?: string;
  lines: { what: string; size: string; tol?: string; theirs?: string }[]; caution: string;
}

/** A change that is only imagined. */
export interface Imagined { what: 'gasket' | 'limit' | 'size'; id?: string; t?: string; min?: string; max?: string }
type VerdictOf = { verdict: Verdict; word: string; glyph: Glyph };
/** A result that would say something else; was or now is missing when it would come or go. */
export interface MovedLine { id: string; asm: string; words: string; cond_words?: string; was?: VerdictOf; now?: VerdictOf; vals: { label: string; was: string; now: string }[]; says: string }
export interface WhatIfView {
  engines: { engine: Engine; moved: MovedLine[] }[]; both: MovedLine[]; decisions: { id: string; title: string; says: string }[]; orders: PartLine[]; holds: { title: string; was: string; now: string }[];
  limits: { id: string; title: string; asm?: string; says: string; min: string; max: string; unit: string }[]; places: { at: string; words: string }[];
  sizes: { id: string; words: string; t: string; unit: string; place: string }[]; gasket: boolean; window?: string;
}

/** A part: its state as it is said, and what should not be so. */
export interface PartLine {
  part: string; what: string; as?: string; state: string; word: string; doubt?: string; asm?: string; engine?: Engine; place?: string; since?: string;
  origin?: string; batch?: string; papers?: string; stored?: string; undersize?: string; contest?: string;
}
export interface PartsView {
  day?: string;
  engines: { engine: Engine; fitted: PartLine[] }[]; spare: PartLine[]; inward: PartLine[]; ordered: PartLine[]; gone: PartLine[]; batches: string[]; tools: string[];
}
export interface PartStep {
  id: string; state: string; where?: string; on: string; by: string; note?: string; says: string[]; photos: Photo[]; card: { what: string; want?: string; got?: string; good: boolean }[];
}
/** for_engine, for_place: what a part is wanted for that has been in no engine yet. torn: that this is not settled. early: clocks that say that it was measured before it came. */
export interface PartView extends PartLine {
  for_engine?: Engine; for_place?: string; torn?: string; early: string[];
  photos: Photo[]; story: PartStep[]; next: string[]; card: { what: string; want: string }[]; caution: string;
  step: { kind: string; after: string[]; body: Record<string, unknown> }; known: { kind: string; over: string[]; body: Record<string, unknown> };
  fits: { engine: Engine; places: { at: string; words: string }[] }[];
}
/** price and one are of one piece, with and without the currency; total is that times count, where it can be reckoned. */
export interface OrderLine extends PartLine {
  for?: string; for_engine?: Engine; for_place?: string; torn?: string; price?: string; one?: string; money?: string; total?: string; count?: string; due?: string;
  waits: string[]; stale?: string; decided?: string; matters: { what: string; want?: string }[];
  /** When sketches were asked for and there is one of its kind. */
  svg?: string;
}
/** tags: those that are taken. */
export interface OrdersView {
  job: string; number1?: string; suppliers: { supplier: string; lines: OrderLine[]; sums: string[] }[]; engines: Engine[]; tags: string[];
}
export interface WrenchView {
  uses: { id: string; engine: Engine; words: string; what: string; torque: string; by: string; at: string; open: { screen: string; [param: string]: string } }[]; tools: string[];
}

export interface GasketView {
  found: boolean; svg?: string; result?: Result; from?: string; to?: string; best?: string; order?: string;
  trials: { id: string; words: string }[]; draft?: { kind: string; body: Record<string, unknown>; over: string[] }; decided?: string;
}

export interface EntryView {
  id: string; kind: string; words: string; by: string; at: string; state: string; why?: string; lines: { name: string; text: string }[];
  over: { id: string; words: string }[]; covered_by: { id: string; words: string }[]; actions: string[]; open?: Target & { cond: string }; engine?: Engine;
}

export interface PublicView {
  title: string; vehicle?: string; numbering?: string; engines: (Engine & { svg: string; counts: { word: string; verdict: Verdict; n: number }[]; lines: Line[] })[];
  both: Line[]; contested: { words: string; says: string }[]; missing: { asm: string; words: string }[];
  decisions: { title: string; why: string; by?: string; at: string; stale: string }[]; photos: Photo[]; entries: number;
}

export interface CalcsView { calcs: { name: string; title: string; group: string; formula: string }[] }

/** One input of a calculation: readings, a size, a limit or an option in words. */
export interface Need { name: string; label: string; kind: 'item' | 'nominal' | 'limit' | 'option'; optional?: boolean; units: { code: string; symbol: string }[] }

export interface WorkoutView {
  name: string; title: string; needs: Need[]; verdict: Verdict; word: string; says: string; vals: Val[];
  working: string[]; missing: string[]; cautions: string[]; formula: string; source: string; version?: string;
}
/** Something found: what it is, of which engines, and where it opens. */
export interface Found { kind: string; title: string; says?: string; asm: string[]; open: Open }
/** A screen with its parameters. */
export interface Open { screen: string; [param: string]: string }

/** Finds by engine, the left one first; then what is of several, then what is of none. */
export interface SearchView {
  /** What was asked: an answer to older letters may still stand. */
  q: string;
  groups: { title?: string; engines: Engine[]; lines: Found[] }[]; count: number; says?: string;
  /** What is wrong with a tag that was typed. */
  trouble?: string;
}

/** What a scanned tag leads to; `go`: it is opened at once. */
export interface TagView extends Omit<Found, 'open'> { open?: Open; go: boolean; engines: Engine[]; story: string[] }

/** What tags can be printed of. The address holds no side: where a thing is now is looked up. */
export interface TagsView { groups: { title: string; engine?: Engine; tags: PrintedTag[] }[] }
export interface PrintedTag { words: string; under?: string; code: string; address: Record<string, string> }

type DraftOf = { kind: string; body: Record<string, unknown>; over?: string[] };
export interface HoldPoint {
  key: string; title: string; state: 'open' | 'met' | 'signed' | 'conceded' | 'broken' | 'contested'; word: string;
  todo: { words: string; open: { screen: string; [param: string]: string } }[]; changed: string[];
  signed?: { id: string; by: string; at: string; why?: string; before?: boolean }; draft?: DraftOf;
  /** Writes it down as done before the record began: who says so, and how that is known, is still to be said in it. */
  before?: DraftOf;
}
export interface Stage { key: string; title: string; hold?: HoldPoint }
/** How far both engines are, and what their hold points wait for; a draft of a common plan where there is none. */
export interface StagesView { engines: { engine: Engine; stages: Stage[] }[]; pair: Stage[]; draft?: DraftOf }
