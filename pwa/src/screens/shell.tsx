// The frame of every screen: the strip above, which says whose engine this is
// and what only this phone has; the four ways below.
import { useEffect } from 'preact/hooks';
import type { Engine, JobView } from '../core/types';
import { changed, draftProblem, exchange, newVersion, otherTab, persisted, status, takeNewVersion, undoable, unsentElsewhere } from '../app/core';
import { takeBack } from '../app/undo';
import { findShot } from '../app/shot';
import { findHalf } from '../app/voice';
import { about, href, kept, route, said, sitting, sit, undone } from '../app/state';
import { EngineName, settledSide, useView } from '../widgets/basics';
import { ShotBar } from '../widgets/camera';
import { GaugeSays } from '../widgets/gauge-switch';
import { later } from '../widgets/later';
import { hereInAppleTab } from '../app/where';
import { ContestScreen } from './contest';
import { BlockedScreen, InstallFirst, LetGoScreen, LostScreen, NewerScreen, Plain } from './doors';
import { EngineScreen } from './engine';
import { EntryScreen } from './entry';
import { FindScreen } from './find';
import { GasketScreen } from './gasket';
import { HoldScreen } from './hold';
import { HoldAlarm } from './holdalarm';
import { JobScreen } from './job';
import { NoJob } from './jobs';
import { PhotoScreen } from './photo';
import { Pairing, Who } from './pairing';
import { PhoneScreen } from './phone';
import { PointScreen } from './point';
import { ResultScreen, ResultsScreen } from './results';
import { RunBar } from './runbar';
import { SheetScreen } from './sheet';
import { StagesScreen } from './stages';
import { TagScreen } from './tag';
import { TagsScreen } from './tags';
import { TightenScreen } from './tighten';
import { TodayScreen } from './today';
import { WorkoutScreen } from './workout';
import { VoiceBar } from './voice';

const ClutchScreen = later(async () => (await import('./clutch')).ClutchScreen);
const RunScreen = later(async () => (await import('./run')).RunScreen);
const SnagsScreen = later(async () => (await import('./snags')).SnagsScreen);
const SnagScreen = later(async () => (await import('./snag')).SnagScreen);
const DecisionScreen = later(async () => (await import('./decision')).DecisionScreen);
const InstructionScreen = later(async () => (await import('./decision')).InstructionScreen);
const WhatIfScreen = later(async () => (await import('./whatif')).WhatIfScreen);
const PartsScreen = later(async () => (await import('./parts')).PartsScreen);
const PartScreen = later(async () => (await import('./part')).PartScreen);
const OrdersScreen = later(async () => (await import('./orders')).OrdersScreen);
const OrderSheetScreen = later(async () => (await import('./ordersheet')).OrderSheetScreen);
const PeopleScreen = later(async () => (await import('./people')).PeopleScreen);
const FirstScreen = later(async () => (await import('./first')).FirstScreen);
const PaperScreen = later(async () => (await import('./paper')).PaperScreen);
const TypesScreen = later(async () => (await import('./types')).TypesScreen);
const TypeScreen = later(async () => (await import('./typework')).TypeScreen);
const PlanScreen = later(async () => (await import('./plan')).PlanScreen);
const ListScreen = later(async () => (await import('./listin')).ListScreen);

export function Shell() {
  const s = status.value;
  if (otherTab.value) return <Plain title="Open elsewhere"><p>Witnessmark is open in another tab of this phone. Close that one to go on here.</p></Plain>;
  if (s.trouble === 'newer') return <NewerScreen />;
  if (s.trouble === 'let go') return <LetGoScreen />;
  if (s.trouble === 'blocked') return <BlockedScreen />;
  if (!s.ready) return <Plain title="Witnessmark"><p>{s.says === '' ? 'Starting.' : s.says}</p></Plain>;
  if (!s.paired) return s.lost !== undefined ? <LostScreen /> : hereInAppleTab() ? <InstallFirst /> : <Pairing />;
  if (s.job === '') return <NoJob />;
  return <Inside />;
}

function Inside() {
  const { value: job } = useView<JobView>('job');
  const r = route.value;
  const engines = job?.engines ?? [];
  const asm = r['asm'] ?? sitting.value.asm;
  const engine = engines.find((e) => e.asm === asm) ?? engines[0];
  useEffect(() => {
    if (engine !== undefined && sitting.value.asm !== engine.asm) sit({ asm: engine.asm });
  }, [engine?.asm]);
  useEffect(() => void (findHalf(), findShot()), []);
  if (job === undefined) return <Plain title="Witnessmark"><p>Reading what is on this phone.</p></Plain>;
  if (status.value.person === '' && job.people.length > 0) return <Who people={job.people} />;
  const withEngine = ['engine', 'point', 'sheet', 'tighten', 'hold', 'run'].includes(r.screen) || (r.screen === 'snags' && r['asm'] !== undefined);
  const whose = withEngine ? engine : about.value;
  return (
    <div class={`frame ${whose === undefined ? '' : `${settledSide(whose) ?? ''} ${whose.band}`}`}>
      <Strip engine={whose} title={job.title} />
      <main id="main">
        <GaugeSays />
        <Notices />
        <VoiceBar />
        <ShotBar />
        <HoldAlarm />
        <RunBar />
        <Screen job={job} engine={engine} />
      </main>
      <Undo />
      <Foot />
      <p class="said" role="status" aria-live="polite">{said.value}</p>
    </div>
  );
}

function Screen({ job, engine }: { job: JobView; engine: Engine | undefined }) {
  const r = route.value;
  switch (r.screen) {
    case 'today':
      return <TodayScreen />;
    case 'stages':
      return <StagesScreen />;
    case 'results':
      return <ResultsScreen />;
    case 'job':
      return <JobScreen job={job} />;
    case 'first':
      return <FirstScreen job={job} />;
    case 'plan':
      return <PlanScreen />;
    case 'types':
      return <TypesScreen />;
    case 'type':
      return <TypeScreen key={r['key'] ?? ''} type={r['key'] ?? ''} from={r['from'] ?? ''} />;
    case 'paper':
      return <PaperScreen job={job} />;
    case 'listin':
      return <ListScreen job={job} />;
    case 'people':
      return <PeopleScreen job={job} />;
    case 'phone':
      return <PhoneScreen job={job} />;
    case 'result':
      return <ResultScreen key={r['id'] ?? ''} id={r['id'] ?? ''} />;
    case 'contest':
      return <ContestScreen key={r['id'] ?? ''} id={r['id'] ?? ''} />;
    case 'gasket':
      return <GasketScreen key={r['id'] ?? ''} id={r['id'] ?? ''} />;
    case 'workout':
      return <WorkoutScreen name={r['name'] ?? ''} />;
    case 'photo':
      return <PhotoScreen key={r['id'] ?? ''} id={r['id'] ?? ''} />;
    case 'entry':
      return <EntryScreen key={r['id'] ?? ''} id={r['id'] ?? ''} />;
    case 'snags':
      return <SnagsScreen asm={r['asm'] ?? ''} at={r['at'] ?? ''} />;
    case 'snag':
      return <SnagScreen key={r['id'] ?? ''} id={r['id'] ?? ''} job={job} />;
    case 'decision':
      return <DecisionScreen key={r['id'] ?? ''} id={r['id'] ?? ''} />;
    case 'instruction':
      return <InstructionScreen key={r['id'] ?? ''} id={r['id'] ?? ''} />;
    case 'whatif':
      return <WhatIfScreen />;
    case 'parts':
      return <PartsScreen batch={r['batch'] ?? ''} />;
    case 'part':
      return <PartScreen key={r['part'] ?? ''} part={r['part'] ?? ''} />;
    case 'orders':
      return <OrdersScreen />;
    case 'ordersheet':
      return <OrderSheetScreen key={r['supplier'] ?? ''} supplier={r['supplier'] ?? ''} />;
    case 'find':
      return <FindScreen />;
    case 't':
      return <TagScreen />;
    case 'tags':
      return <TagsScreen />;
  }
  if (engine === undefined) return <NoEngine />;
  switch (r.screen) {
    case 'point':
      return <PointScreen asm={engine.asm} job={job} />;
    case 'sheet':
      return <SheetScreen asm={engine.asm} />;
    case 'tighten':
      return <TightenScreen asm={engine.asm} />;
    case 'hold':
      return <HoldScreen asm={engine.asm} />;
    case 'run':
      return <RunScreen asm={engine.asm} />;
    case 'clutch':
      return <ClutchScreen />;
  }
  return <EngineScreen engine={engine} engines={job.engines} />;
}

function NoEngine() {
  const s = status.value;
  if (s.entries === 0) return <NothingYet />;
  return (
    <>
      <p class="empty">No engine has been set up yet. The lead does that: people, engine type, engines.</p>
      {s.role === 'lead' && <a class="button wide primary" href={href('first')}>Set it up, step by step</a>}
    </>
  );
}

/** A job that was taken, or changed to, before the office could be reached. */
function NothingYet() {
  const s = status.value;
  return (
    <>
      <p class="empty">Nothing of this job is on this phone yet. It comes when the office is reached.</p>
      <button type="button" class="wide" disabled={s.busy} onClick={() => void exchange()}>Hand in and fetch</button>
      <p class="fine" role="status">{s.says}</p>
    </>
  );
}

function Strip({ engine, title }: { engine: Engine | undefined; title: string }) {
  return (
    <header class="strip">
      <a class="skip" href="#main">To the content</a>
      {engine === undefined ? <span class="strip-title">{title}</span> : <EngineName e={engine} />}
      <a class="find-way" href={href('find')} aria-current={route.value.screen === 'find' ? 'page' : undefined}>Find</a>
      <a class="phone-state" href={href('phone')} data-testid="phone-state">{phoneState()}</a>
    </header>
  );
}

const kinds: Record<string, string> = { reading: 'reading', tighten: 'tightening', 'hold-test': 'hold test', run: 'line of the run', adjust: 'turn of a screw', clutch: 'try of a clutch', note: 'note', photo: 'photo', voice: 'voice note', mark: 'mark', decision: 'decision', fitting: 'move', sign: 'signature', stages: 'plan', check: 'skip', snag: 'step of a snag', part: 'step of a part', person: 'change of person', pattern: 'change of an engine type' };

/** One tap takes back what was kept last: nothing is asked, nothing is lost. */
function Undo() {
  const last = undoable.value;
  if (undone.value !== '') return <section class="undo" aria-label="Undo"><p class="notice" data-testid="undone">{undone.value}</p></section>;
  if (last === undefined || kept.value?.id === last.id && route.value.screen === 'point') return null; // there it stands beside what was kept
  return <section class="undo" aria-label="Undo"><button type="button" data-testid="undo" onClick={() => void takeBack()}>Undo the last {kinds[last.kind] ?? 'entry'}</button></section>;
}

/** The state of this phone in words. */
export function phoneState(): string {
  const s = status.value;
  const waits = s.unsent + unsentElsewhere() + s.unsentPhotos;
  if (s.ended) return waits > 0 ? `${waits} only on this phone, pairing ended` : 'pairing ended';
  if (waits > 0) return `${waits} only on this phone`;
  if (s.exchange === 'other network') return 'not the office';
  return s.last === '' ? 'not fetched yet' : 'all handed in';
}

function Foot() {
  const at = route.value.screen;
  const ways: [string, string, string[]][] = [
    ['engine', 'Engine', ['engine', 'point', 'sheet', 'tighten', 'hold', 'run', 'clutch', 'photo']], ['today', 'Today', ['today', 'contest', 'stages', 'plan', 'snags', 'snag']],
    ['results', 'Results', ['results', 'result', 'gasket', 'workout', 'whatif']], ['job', 'Job', ['job', 'entry', 'tags', 'phone', 'people', 'parts', 'part', 'orders', 'ordersheet', 'decision', 'instruction', 'paper', 'listin', 'first', 'types', 'type']],
  ];
  return (
    <nav class="foot" aria-label="Main">
      {ways.map(([screen, word, here]) => (
        <a key={screen} href={href(screen)} aria-current={here.includes(at) ? 'page' : undefined}>{word}</a>
      ))}
    </nav>
  );
}

function Notices() {
  const s = status.value;
  return (
    <>
      {newVersion.value && (
        <p class="notice">
          A new version is here. <button type="button" onClick={takeNewVersion}>Take it now</button>
        </p>
      )}
      {draftProblem.value !== '' && <p class="notice problem" role="alert">What is half filled in stands on the screen alone: {draftProblem.value}</p>}
      {s.differs !== '' && <p class="notice problem" role="alert">{s.differs}</p>}
      {hereInAppleTab() && route.value.screen !== 'phone' && (
        <p class="notice warn">This is the browser's tab: what is saved here is not in the app on the Home Screen. <a href={href('phone')}>Hand it in, then go on there</a>.</p>
      )}
      {!persisted.value && s.unsent + unsentElsewhere() > 0 && changed.value > 0 && (
        <p class="notice warn">This browser may clear its store. <a href={href('phone')}>Hand in soon</a>.</p>
      )}
    </>
  );
}
