// The page's side of the worker: calls that are answered, and two signals.
import { signal } from '@preact/signals';
import workerURL from '../worker/worker.ts?worker&url';
import type { Copies } from '../log/copies';
import type { Draft } from '../log/log';
import type { HandIn, TakenIn } from '../net/handin';
import type { OfficeFile } from '../net/office';
import { noStatus, type Answer, type CallName, type News, type Status } from '../worker/protocol';
import { askToKeep, isKept } from './extras';
import { listen } from './gauge';
import { trusted } from './trusted';

export type { Draft, HandIn, Status, TakenIn };

export const status = signal<Status>(noStatus);
/** Grows whenever entries were added, own or fetched. */
export const changed = signal(0);
/** Another tab of this phone has the log; this one only says so. */
export const otherTab = signal(false);
/** A new version waits to be taken. */
export const newVersion = signal(false);
/** False while the browser may throw the phone's store away. */
export const persisted = signal(true);

/** The app has been opened here before: its own files were kept already when this page came. */
export const usedBefore = signal(false);

/** The build's own mark is in the name of its script. */
export const build = /-([\w-]+)\.js/.exec(import.meta.url)?.[1] ?? 'as it is being built';

let worker: Worker | undefined;
let lastCall = 0;
/** Asked before the worker was there: it begins only when this tab has the store. */
let early: object[] = [];
const open = new Map<number, { resolve: (v: unknown) => void; reject: (e: Error) => void }>();

function call<T>(name: CallName, ...args: unknown[]): Promise<T> {
  return new Promise((resolve, reject) => {
    const id = ++lastCall;
    open.set(id, { resolve: resolve as (v: unknown) => void, reject });
    const message = { id, name, args };
    if (worker === undefined) early.push(message);
    else worker.postMessage(message);
  });
}

function heard(m: Answer | News): void {
  if ('status' in m) {
    status.value = m.status;
    if (m.status.trouble === 'let go') letGo(); // the newer window may begin
  }
  else if ('changed' in m) changed.value++;
  else {
    const waits = open.get(m.id);
    open.delete(m.id);
    if ('error' in m) waits?.reject(new Error(m.error));
    else waits?.resolve(m.ok);
  }
}

/** After this long without an answer from the phone's store the page says so, ms: no wait goes without a word. */
const slow = 10_000;
const slowWords = 'Still waiting for what this phone keeps. Nothing on it is lost; if this stays, close the app and open it again.';

/** Says why nothing can be drawn yet; once the phone's copy is read, the worker alone says how things stand. */
function waitsFor(says: string): void {
  if (!status.value.ready && status.value.trouble === '') status.value = { ...status.value, says };
}

let letGo: () => void = () => undefined;

/** Starts the worker. One tab writes: a second one waits until the first is gone. */
export function start(): void {
  const begin = () => {
    otherTab.value = false;
    worker = new Worker(trusted.createScriptURL(workerURL), { type: 'module' });
    worker.onmessage = (e: MessageEvent<Answer | News>) => heard(e.data);
    worker.onerror = (e) => waitsFor(`This phone cannot start the app: ${e.message ?? 'a part of it did not load'}. Nothing on it was touched; close it and open it again.`);
    void call('appIs', build);
    setTimeout(() => status.value.says === '' && waitsFor(slowWords), slow);
    for (const message of early) worker.postMessage(message);
    early = [];
    return new Promise<void>((resolve) => (letGo = resolve)); // the lock is held as long as the page lives
  };
  void navigator.locks.request('witnessmark', { ifAvailable: true }, (lock) => {
    if (lock !== null) return begin();
    otherTab.value = true;
    void navigator.locks.request('witnessmark', begin);
    return undefined;
  });
  const wake = () => document.visibilityState === 'visible' && void call('wake');
  addEventListener('online', wake);
  addEventListener('pageshow', wake);
  document.addEventListener('visibilitychange', wake);
  void isKept().then((yes) => (persisted.value = yes ?? false));
  listen();
  void lookBack().catch(() => undefined).then(serviceWorker);
}

/** Derived from what is there: a worker that answers for this page, or files that it has kept. */
async function lookBack(): Promise<void> {
  const names = await caches.keys();
  usedBefore.value = (navigator.serviceWorker?.controller ?? null) !== null || names.some((n) => n.startsWith('app-'));
}

let waiting: ServiceWorker | undefined;

function serviceWorker(): void {
  if (!('serviceWorker' in navigator) || !import.meta.env.PROD) return;
  const seen = (r: ServiceWorkerRegistration) => {
    if (r.waiting !== null && navigator.serviceWorker.controller !== null) {
      waiting = r.waiting;
      newVersion.value = true;
    }
  };
  const { controller } = navigator.serviceWorker;
  controller?.postMessage(new URL(import.meta.url).pathname);
  // Another tab has taken the new version: this one goes on with the parts of its own until it is taken here too.
  navigator.serviceWorker.addEventListener('controllerchange', () => (newVersion.value ||= controller !== null));
  void navigator.serviceWorker.register(trusted.createScriptURL('/sw.js')).then((r) => {
    seen(r);
    r.addEventListener('updatefound', () => r.installing?.addEventListener('statechange', () => seen(r)));
  });
}

/** How long a page that is to be loaded anew waits for the store to come to rest, ms. */
const restless = 2000;

/** Loads the page anew, once nothing is under way with the store. */
export async function openAgain(): Promise<void> {
  await Promise.race([call('rest').catch(() => undefined), new Promise((r) => setTimeout(r, restless))]);
  location.reload();
}

/** Takes the new version: by tap only, never while somebody is typing (T38). */
export function takeNewVersion(): void {
  if (waiting?.state !== 'installed') return void openAgain(); // another tab has taken it
  navigator.serviceWorker.addEventListener('controllerchange', () => void openAgain(), { once: true });
  waiting.postMessage('take over');
}

export const view = <T>(name: string, args: object = {}): Promise<T> => call<T>('view', name, args);

/** The entry kept last, while it can be taken back with one tap. */
export const undoable = signal<{ id: string; kind: string } | undefined>(undefined);

/** What is undone by an entry of its own kind, or must not be undone in passing. */
const lasting = ['withdraw', 'restore', 'log'];

/** Resolves when the entry is on the disk, and what was half filled in for it gone from there. The first one asks the browser to keep the store for good (T4). */
export async function keep(draft: Draft, finished: string[] = []): Promise<{ id: string }> {
  const kept = await call<{ id: string }>('keep', draft, finished);
  // What settles several entries is not undone in passing: nothing gives their question back.
  undoable.value = lasting.includes(draft.kind) || (draft.over ?? []).length > 1 ? undefined : { id: kept.id, kind: draft.kind };
  void askToPersist();
  return kept;
}

interface Undoing { kind: string; body: Record<string, unknown>; over: string[]; after?: string[]; words: string; back?: string }

/** Takes the last entry back: it stays in the record, struck through. What it had taken the place of stands again. Says what was done. */
export async function undo(): Promise<string> {
  const last = undoable.value;
  if (last === undefined) return '';
  const { words, back, ...draft } = await call<Undoing>('view', 'undo', { id: last.id });
  await keep(draft);
  undoable.value = undefined;
  return back === undefined ? `Taken back: ${words}. It stays in the record, struck through.` : `Taken back: ${words}. ${back} stands again.`;
}

/** Keeps a photo or a voice note; drafts that it finishes go in the same transaction. */
export async function keepPhoto(draft: Draft, bytes: ArrayBuffer, type: string, finished: string[] = []): Promise<{ id: string }> {
  const kept = await call<{ id: string }>('keepPhoto', draft, bytes, type, finished);
  undoable.value = { id: kept.id, kind: draft.kind };
  void askToPersist();
  return kept;
}

async function askToPersist(): Promise<void> {
  persisted.value = (await askToKeep()) ?? false;
}

export const sentCopies = (): Promise<Copies> => call('sentCopies');
export const dropSentCopies = (): Promise<Copies> => call('dropSentCopies');

const urls = new Map<string, string>();

/** A photo as an address for an image; undefined when it cannot be had now. */
export async function photo(sha: string): Promise<string | undefined> {
  const known = urls.get(sha);
  if (known !== undefined) return known;
  const got = await call<{ bytes: ArrayBuffer; type: string } | undefined>('photo', sha);
  if (got === undefined) return undefined;
  const url = URL.createObjectURL(new Blob([got.bytes], { type: got.type }));
  urls.set(sha, url);
  return url;
}

export const pair = (code: string, name: string, workshop: boolean): Promise<void> => call('pair', code, name, workshop);
export const chooseJob = (job: string): Promise<void> => call('chooseJob', job);
/** How many entries of other jobs only this phone has. */
export const unsentElsewhere = (): number => status.value.jobs.reduce((n, j) => n + (j.job === status.value.job ? 0 : j.unsent), 0);
export const takeJob = (job: string): Promise<void> => call('takeJob', job);
export const leaveJob = (job: string): Promise<void> => call('leaveJob', job);
export const startJob = (title: string, vehicle: string): Promise<void> => call('startJob', title, vehicle);
export const setPerson = (key: string): Promise<void> => call('setPerson', key);
export const exchange = (): Promise<void> => call('exchange');
export const unsent = (): Promise<{ id: string; words: string }[]> => call('unsent');
export const saveUnsent = (job: string): Promise<HandIn> => call('saveUnsent', job);
export const unsentPhoto = (n: number): Promise<{ file: string; bytes: ArrayBuffer; type: string; of: number } | undefined> => call('unsentPhoto', n);
export const takeInFile = (bytes: ArrayBuffer): Promise<TakenIn | undefined> => call('takeInFile', bytes);
export const unsentFile = (): Promise<string> => call('unsentFile');
export const takeUp = (workshop: boolean): Promise<void> => call('takeUp', workshop);
export const saveDraft = (key: string, value: unknown): Promise<void> => call('saveDraft', key, value);
/** Why what was filled in last is on the screen alone; '' when it is in the drafts. */
export const draftProblem = signal('');

/** Keeps what is half filled in while somebody goes on: a full phone is told above every screen. */
export function putDraft(key: string, value: unknown): void {
  saveDraft(key, value).then(() => (draftProblem.value = ''), (e: Error) => (draftProblem.value = e.message));
}

export const loadDraft = <T>(key: string): Promise<T | undefined> => call('loadDraft', key);
export const dropDraft = (key: string): Promise<void> => call('dropDraft', key);

/** Asks the office of this job for JSON; a body of null is a GET, unless another method is named. */
export const askOffice = <T>(path: string, body: unknown = null, method?: string): Promise<T> => call<T>('office', path, body, ...(method === undefined ? [] : [method]));

/** Removes everything of the app from this phone and begins anew. */
export async function takeOut(): Promise<void> {
  await call('takeOut');
  for (const key of await caches.keys()) await caches.delete(key);
  await (await navigator.serviceWorker?.getRegistration())?.unregister();
  location.replace('/');
}

/** What the office has as files for other programs. */
export const numberFiles = async (): Promise<string[]> => (await call<{ files: string[] }>('office', '/api/v1/jobs/{job}/numbers', null)).files;

/** The address of the last file taken; a browser may still be reading it until the next. */
let taken = '';

/** Gets a file from the office and hands it to the browser to keep; returns its name. ask is what is asked for besides; what is '' is not. */
export async function download(path: string, ask: Readonly<Record<string, string>> = {}): Promise<string> {
  const got = await officeFile(path, ask);
  return hand(new Blob([got.bytes], { type: got.type }), got.name);
}

/** Gets a drawing from the office and hands it to the browser as a picture of points; returns its name. */
export async function downloadPicture(path: string, ask: Readonly<Record<string, string>> = {}): Promise<string> {
  const { png } = await import('./png');
  const got = await officeFile(path, ask);
  return hand(await png(new TextDecoder().decode(got.bytes)), got.name.replace(/svg$/, 'png'));
}

/** Hands a drawing of the core to the browser to keep, in black on white under its caption; returns its name. */
export async function pictureOut(svg: string, caption: string, name: string, as: 'svg' | 'png'): Promise<string> {
  const { file } = await view<{ file: string }>('drawing', { svg, caption });
  const whole = `${name.replace(/[^\w.-]+/g, '-')}.${as}`;
  if (as === 'svg') return hand(new Blob([file], { type: 'image/svg+xml' }), whole);
  const { png } = await import('./png');
  return hand(await png(file), whole);
}

function officeFile(path: string, ask: Readonly<Record<string, string>>): Promise<OfficeFile> {
  const query = new URLSearchParams(Object.entries(ask).filter(([, v]) => v !== '')).toString();
  return call('officeFile', `/api/v1/jobs/{job}/${path}${query === '' ? '' : `?${query}`}`);
}

function hand(file: Blob, name: string): string {
  const link = document.createElement('a');
  URL.revokeObjectURL(taken);
  taken = URL.createObjectURL(file);
  link.href = taken;
  link.download = name;
  link.click();
  return name;
}
