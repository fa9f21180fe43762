// A tag was scanned: its place opens at once, on whichever side its engine now
// is; of a part or a stand it says where that is and what became of it.
import { useEffect } from 'preact/hooks';
import type { TagView } from '../core/types';
import { chooseJob, exchange, status } from '../app/core';
import { href, route } from '../app/state';
import { tagOf, type Tag } from '../app/tag';
import { EngineName, Section, useView } from '../widgets/basics';
import { titled, UnderWay } from './jobs';
import { PairAgain } from './phone';

export function TagScreen() {
  const tag = tagOf(route.value);
  if (!status.value.job.startsWith(tag.job)) return <OtherJob tag={tag} />;
  return <Opened key={JSON.stringify(tag)} tag={tag} />;
}

function Opened({ tag }: { tag: Tag }) {
  const { value: v, error } = useView<TagView>('tag', tag.args);
  const to = v?.open === undefined ? undefined : href(v.open.screen, v.open);
  useEffect(() => {
    if (v?.go === true && to !== undefined) location.replace(to);
  }, [v, to]);
  if (error !== undefined) return <NotHere error={error} />;
  if (v === undefined || v.go) return <p class="empty">Opening what the tag names.</p>;
  return (
    <>
      <h1>{v.title}</h1>
      <p class="says" data-testid="tag-says">{v.says}</p>
      {v.engines.map((e) => <p key={e.asm}><a class="button wide where-it-is" href={v.engines.length === 1 && to !== undefined ? to : href('engine', { asm: e.asm })}>Open where it is: <EngineName e={e} /></a></p>)}
      {tag.args.part !== '' && <p class="actions"><a class="button" href={href('part', { part: tag.args.part })}>Open the part</a></p>}
      {v.story.length > 0 && (
        <Section title="What became of it">
          <ul class="plain-list">{v.story.map((line) => <li key={line}>{line}</li>)}</ul>
        </Section>
      )}
    </>
  );
}

function NotHere({ error }: { error: string }) {
  return (
    <>
      <h1>A tag</h1>
      <p class="notice warn" role="alert">{error}.</p>
      <button type="button" class="wide" onClick={() => void exchange()}>Hand in and fetch</button>
      <p class="fine">{status.value.says}</p>
    </>
  );
}

/** The tag is of another job: one that this phone has or the office, or one that it must be given. */
function OtherJob({ tag }: { tag: Tag }) {
  const other = [...status.value.jobs, ...status.value.offered].find((j) => j.job.startsWith(tag.job));
  return (
    <>
      <h1>A tag of another job</h1>
      {other !== undefined ? (
        <>
          <p>This tag is of {titled(other.title)}. What is kept on this phone stays with its own job.</p>
          <UnderWay />
          <button type="button" class="wide primary" onClick={() => void chooseJob(other.job)}>Go to {titled(other.title)} and open the tag</button>
        </>
      ) : (
        <>
          <p>This tag is of a job that this phone has not been given. Ask that job's lead for a code and pair the phone with it; the tag then opens from here.</p>
          <PairAgain />
        </>
      )}
    </>
  );
}
