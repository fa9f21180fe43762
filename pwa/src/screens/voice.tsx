// Voice notes: one tap begins, one ends; players with our own buttons.
import { useEffect, useRef, useState } from 'preact/hooks';
import type { Of, Voice } from '../core/types';
import { photo, status } from '../app/core';
import { roomForOne } from '../app/recorder';
import { canRecord, dropHalfNote, half, keepHalf, record, recording, voiceProblem } from '../app/voice';
import { Problem, when } from '../widgets/basics';
import { useRoom } from '../widgets/room';

/** Begins a note on a place. Not there on a phone that cannot record. */
export function VoiceButton({ of, words }: { of: Of; words: string }) {
  const { withRoom, question } = useRoom();
  const [error, setError] = useState<string | undefined>();
  if (!canRecord) return null;
  const begin = async () => {
    setError(undefined);
    await withRoom('voice note', roomForOne, () => record(of, words).catch((e: Error) => setError(e.message)));
  };
  return (
    <>
      <button type="button" disabled={recording.value !== undefined} onClick={() => void begin()}>Record a voice note</button>
      {question}
      <Problem error={error} />
    </>
  );
}

/** What is being recorded, or what was broken off: it stands above every screen. */
export function VoiceBar() {
  const r = recording.value;
  if (r !== undefined) return <Running key={r.since} words={r.words} since={r.since} stop={r.stop} />;
  const h = half.value;
  if (h !== undefined && h.job === status.value.job) return <BrokenOff />;
  return <Problem error={voiceProblem.value} />;
}

function Running({ words, since, stop }: { words: string; since: number; stop: () => void }) {
  const seconds = useSeconds(since);
  return (
    <section class="voice-bar running" aria-label="Voice note">
      <p><span role="status"><b>Recording</b>, {words}.</span> <span class="figure">{clock(seconds)}</span> of 5:00</p>
      <button type="button" class="primary" onClick={stop}>Stop and keep</button>
    </section>
  );
}

function useSeconds(since: number): number {
  const [now, setNow] = useState(since);
  useEffect(() => {
    const t = setInterval(() => setNow(performance.now()), 1000);
    return () => clearInterval(t);
  }, [since]);
  return Math.max(0, Math.floor((now - since) / 1000));
}

function BrokenOff() {
  const h = half.value;
  const { withRoom, question } = useRoom();
  const [error, setError] = useState<string | undefined>();
  if (h === undefined) return null;
  const keep = () => withRoom('voice note', h.seconds * 16_000, () => keepHalf(h).catch((e: Error) => setError(e.message)));
  return (
    <section class="voice-bar" aria-label="Voice note">
      <p><b>A voice note is not finished:</b> {h.words}, <span class="figure">{clock(h.seconds)}</span>. Keep what there is, or drop it.</p>
      <p class="actions">
        <button type="button" class="primary" onClick={() => void keep()}>Keep it</button>
        <button type="button" onClick={() => void dropHalfNote(h)}>Drop it</button>
      </p>
      {question}
      <Problem error={error ?? voiceProblem.value} />
    </section>
  );
}

export function VoiceList({ voices }: { voices: Voice[] }) {
  if (voices.length === 0) return null;
  return <ul class="notes voices" aria-label="Voice notes">{voices.map((v) => <Player key={v.id} v={v} />)}</ul>;
}

function Player({ v }: { v: Voice }) {
  const audio = useRef<HTMLAudioElement>(null);
  const [playing, setPlaying] = useState(false);
  const [at, setAt] = useState(0);
  const [error, setError] = useState<string | undefined>();
  const toggle = async () => {
    const el = audio.current;
    if (el === null) return;
    if (!el.paused) return el.pause();
    setError(undefined);
    try {
      if (el.src === '') {
        const url = await photo(v.sha);
        if (url === undefined) return setError('The sound is not on this phone yet. It comes when the office can be reached.');
        el.src = url;
      }
      await el.play();
    } catch {
      setError('This phone cannot play that recording.');
    }
  };
  const who = `${v.by}, ${when(v.at)}`;
  return (
    <li class="voice">
      <button type="button" class="play" aria-label={`${playing ? 'Pause' : 'Play'} the voice note, ${v.length}, ${who}`} onClick={() => void toggle()}>
        <PlayShape playing={playing} /> {playing ? 'Pause' : 'Play'}
      </button>
      <span>
        {v.caption !== undefined && <>{v.caption}. </>}Voice note, {v.length}
        {at > 0 && <>, <span class="figure">{clock(at)}</span> heard</>} <span class="who">{who}</span>
      </span>
      <audio ref={audio} preload="none" onPlay={() => setPlaying(true)} onPause={() => setPlaying(false)} onEnded={() => { setPlaying(false); setAt(v.seconds); }}
        onTimeUpdate={(e) => setAt(Math.floor(e.currentTarget.currentTime))} />
      <Problem error={error} />
    </li>
  );
}

function PlayShape({ playing }: { playing: boolean }) {
  return (
    <svg class="play-shape" viewBox="0 0 20 20" aria-hidden="true">
      {playing ? <path d="M4 3H8V17H4ZM12 3H16V17H12Z" /> : <path d="M4 2L17 10L4 18Z" />}
    </svg>
  );
}

function clock(seconds: number): string {
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`;
}
