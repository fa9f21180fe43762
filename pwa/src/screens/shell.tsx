// The frame of every screen: the strip above, which says whose engine this is
// and what only this phone has; the four ways below.
import { useEffect } from 'preact/hooks';
import type { Engine, JobView } from '../core/types';
import { changed, newVersion, otherTab, persisted, status, takeNewVersion, undo, undoable } from '../app/core';
import { findHalf } from '../app/voice';
import { href, kept, route, said, say, sitting, sit } from '../app/state';
import { EngineName, useView } from '../widgets/basics';
import { GaugeSays } from '../widgets/gauge-switch';
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
import { PhotoScreen } from './photo';
import { NoJob, Pairing, Who } from './pairing';
import { PhoneScreen } from './phone';
import { PointScreen } from './point';
import { ResultScreen, ResultsScreen } from './results';
import { SheetScreen } from './sheet';
import { StagesScreen } from './stages';
import { TagScreen } from './tag';
import { TagsScreen } from './tags';
import { TightenScreen } from './tighten';
import { TodayScreen } from './today';
import { WorkoutScreen } from './workout';
import { VoiceBar } from './voice';
import { Later } from '../widgets/later';

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
  useEffect(() => void findHalf(), []);
  if (job === undefined) return <Plain title="Witnessmark"><p>Reading what is on this phone.</p></Plain>;
  if (status.value.person === '' && job.people.length > 0) return <Who people={job.people} />;
  const withEngine = ['engine', 'point', 'sheet', 'tighten', 'hold'].includes(r.screen) || ((r.screen === 'snag' || r.screen === 'snags') && r['asm'] !== undefined);
  return (
    <div class={`frame ${withEngine ? (engine?.side ?? '') : ''} ${engine?.band ?? ''}`}>
      <Strip engine={withEngine ? engine : undefined} title={job.title} />
      <main id="main">
        <GaugeSays />
        <Notices />
        <VoiceBar />
        <HoldAlarm />
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
    case 'phone':
      return <PhoneScreen job={job} />;
    case 'result':
      return <ResultScreen id={r['id'] ?? ''} />;
    case 'contest':
      return <ContestScreen id={r['id'] ?? ''} />;
    case 'gasket':
      return <GasketScreen id={r['id'] ?? ''} />;
    case 'workout':
      return <WorkoutScreen name={r['name'] ?? ''} />;
    case 'photo':
      return <PhotoScreen key={r['id'] ?? ''} id={r['id'] ?? ''} />;
    case 'entry':
      return <EntryScreen id={r['id'] ?? ''} />;
    case 'snags':
      return <Later key="snags" load={() => import('./snags').then((m) => m.SnagsScreen)} with={{ asm: r['asm'] ?? '', at: r['at'] ?? '' }} />;
    case 'snag':
      return <Later key={`snag ${r['id'] ?? ''}`} load={() => import('./snag').then((m) => m.SnagScreen)} with={{ id: r['id'] ?? '', job }} />;
    case 'decision':
      return <Later key={`decision ${r['id'] ?? ''}`} load={() => import('./decision').then((m) => m.DecisionScreen)} with={{ id: r['id'] ?? '' }} />;
    case 'instruction':
      return <Later key={`instruction ${r['id'] ?? ''}`} load={() => import('./decision').then((m) => m.InstructionScreen)} with={{ id: r['id'] ?? '' }} />;
    case 'whatif':
      return <Later key="whatif" load={() => import('./whatif').then((m) => m.WhatIfScreen)} with={{}} />;
    case 'parts':
      return <Later key="parts" load={() => import('./parts').then((m) => m.PartsScreen)} with={{ batch: r['batch'] ?? '' }} />;
    case 'part':
      return <Later key={`part ${r['part'] ?? ''}`} load={() => import('./part').then((m) => m.PartScreen)} with={{ part: r['part'] ?? '' }} />;
    case 'orders':
      return <Later key="orders" load={() => import('./orders').then((m) => m.OrdersScreen)} with={{}} />;
    case 'find':
      return <FindScreen />;
    case 't':
      return <TagScreen />;
    case 'tags':
      return <TagsScreen />;
  }
  if (engine === undefined) return <p class="empty">No engine has been set up yet. The lead does that under <a href={href('job')}>Job</a>: people, engine type, engines.</p>;
  switch (r.screen) {
    case 'point':
      return <PointScreen asm={engine.asm} job={job} />;
    case 'sheet':
      return <SheetScreen asm={engine.asm} />;
    case 'tighten':
      return <TightenScreen asm={engine.asm} />;
    case 'hold':
      return <HoldScreen asm={engine.asm} />;
  }
  return <EngineScreen engine={engine} engines={job.engines} />;
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

const kinds: Record<string, string> = { reading: 'reading', tighten: 'tightening', 'hold-test': 'hold test', note: 'note', photo: 'photo', voice: 'voice note', mark: 'mark', decision: 'decision', fitting: 'move', sign: 'signature', stages: 'plan', check: 'skip', snag: 'step of a snag', part: 'step of a part' };

/** One tap takes back what was kept last: nothing is asked, nothing is lost. */
function Undo() {
  const last = undoable.value;
  if (last === undefined) return null;
  const back = async () => {
    await undo();
    kept.value = undefined;
    say('Taken back. It stays in the record, struck through.');
  };
  return <section class="undo" aria-label="Undo"><button type="button" data-testid="undo" onClick={() => void back()}>Undo the last {kinds[last.kind] ?? 'entry'}</button></section>;
}

/** The state of this phone in words. */
export function phoneState(): string {
  const s = status.value;
  const waits = s.unsent + s.unsentPhotos;
  if (s.ended) return waits > 0 ? `${waits} only on this phone, pairing ended` : 'pairing ended';
  if (waits > 0) return `${waits} only on this phone`;
  if (s.exchange === 'other network') return 'not the office';
  return s.last === '' ? 'not fetched yet' : 'all handed in';
}

function Foot() {
  const at = route.value.screen;
  const ways: [string, string, string[]][] = [
    ['engine', 'Engine', ['engine', 'point', 'sheet', 'tighten', 'hold', 'photo']], ['today', 'Today', ['today', 'contest', 'stages', 'snags', 'snag']],
    ['results', 'Results', ['results', 'result', 'gasket', 'workout', 'whatif']], ['job', 'Job', ['job', 'entry', 'tags', 'phone', 'parts', 'part', 'orders', 'decision', 'instruction']],
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
      {s.differs !== '' && <p class="notice problem" role="alert">{s.differs}</p>}
      {hereInAppleTab() && route.value.screen !== 'phone' && (
        <p class="notice warn">This is the browser's tab: what is saved here is not in the app on the Home Screen. <a href={href('phone')}>Hand it in, then go on there</a>.</p>
      )}
      {!persisted.value && s.unsent > 0 && changed.value > 0 && (
        <p class="notice warn">This browser may throw away what is only on this phone. Hand it in soon, or install the app on the home screen.</p>
      )}
    </>
  );
}
