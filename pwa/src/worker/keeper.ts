// Keeper answers the page's calls: it owns store, core, log and exchange of
// this phone.
import type { EntryView } from '../core/types';
import { oneByOne } from '../app/turns';
import { dropSentCopies, sentCopies, type Copies } from '../log/copies';
import { Db, NewerStore, waitingLines, type StoreNews } from '../log/db';
import { changeJob, learnt, leftThere, noJobs, offered, readJobs, stood, taken, writeJobs, type JobName, type Jobs } from '../log/jobs';
import { DeviceLog, type Draft } from '../log/log';
import { erase, onlyHere } from '../log/wipe';
import { Exchange, type Identity } from '../net/exchange';
import { hex, photoFile, saveUnsent, takeIn, type HandIn, type TakenIn } from '../net/handin';
import { Asking } from '../net/jobs';
import { Live } from '../net/live';
import { Away, NotOffice, Office, Refused, type OfficeFile } from '../net/office';
import { photoBytes, sendOne, sendPhotos } from '../net/photos';
import { Retry } from '../net/retry';
import { Rounds } from '../net/rounds';
import type { ReplyHead } from '../net/wire';
import { Core } from './bridge';
import { askOffice, lostOf, only, takeUp, type Known } from './lost';
import { noStatus, type Answer, type Calls, type News, type Status } from './protocol';

interface Device extends Identity { role: Status['role']; name: string; workshop: boolean }

const differsWords = 'This phone and the office worked out different results from the same entries. Tell the lead: this is a fault of the tool.';

export class Keeper implements Record<keyof Calls, unknown> {
  private readonly db = new Db((news) => this.heard(news));
  private readonly net = new Office((path, init) => fetch(path, init));
  private readonly ready: Promise<void>;
  private core!: Core;
  private begin!: () => void;
  private status: Status = noStatus;
  private readonly rounds = new Rounds(() => this.oneExchange());
  private readonly writing = oneByOne();
  private readonly retry = new Retry({ after: (ms, run) => { const t = setTimeout(run, ms); return () => clearTimeout(t); }, random: Math.random }, () => void this.exchange());
  private readonly live = new Live(this.net, (pos) => void (pos > this.pos && this.exchange()), () => this.retry.failed());
  /** How far the last exchange read; the socket says it again and again. */
  private pos = 0;
  private known: Known | undefined;
  private jobs: Jobs = noJobs;
  private readonly knowing = oneByOne();
  private readonly asking = new Asking();
  /** Jobs of which this phone has read the office's entries at least once. */
  private readonly fetched = new Set<string>();
  private own: DeviceLog | undefined;
  /** The page's build: what the lead sees as this phone's version. */
  private app = '';
  /** What has been saved as a file since the start: it may go with the store. */
  private readonly asFile = new Set<string>();

  constructor(private readonly post: (m: Answer | News) => void) {
    this.net.heardRole = (role) => void this.heardRole(role);
    this.ready = new Promise((resolve) => (this.begin = resolve));
  }

  /** Reads the phone's copy into the core; from here every screen can be drawn. */
  async start(): Promise<void> {
    try {
      await this.load();
    } catch (e) {
      if (!(e instanceof NewerStore)) throw e;
      return this.say({ trouble: 'newer' });
    }
    this.begin();
    if (this.status.paired) void this.exchange();
    else void this.lookForLost();
  }

  private async load(): Promise<void> {
    this.core = await Core.load();
    const [device, job, person, last, office] = await Promise.all([
      this.db.meta<Device>('device'), this.db.meta<string>('job'), this.db.meta<string>('person'), this.db.meta<string>('last'), this.db.meta<Status['office']>('office'),
    ]);
    this.jobs = await readJobs(this.db);
    for (const { job } of this.jobs.here) if ((await this.db.meta(`cursor:${job}`)) !== undefined) this.fetched.add(job);
    if (job !== undefined && job !== '') await this.read(job);
    const now = await this.counted(job ?? ''); // before it says anything: 'all handed in' must not stand there until it has counted
    this.say({
      ready: true, paired: device !== undefined, role: device?.role ?? '', device: device?.name ?? '', workshop: device?.workshop ?? false,
      job: job ?? '', offered: offered(this.jobs), person: person ?? '', last: last ?? '', office, core: this.core.digest(job ?? '').core, trouble: '', ...now,
    });
  }

  /** What happens to the store from outside. A store made anew after the start means that the phone has cleared the old one (T6). */
  private heard(news: StoreNews): void {
    if (news !== 'fresh') return this.say({ trouble: news });
    if (!this.status.paired) return;
    this.jobs = noJobs;
    this.fetched.clear();
    this.say({ paired: false, job: '', jobs: [], offered: [], person: '', last: '', office: undefined });
    void this.lookForLost();
  }

  appIs(build: string): void {
    this.app = build;
  }

  /** The lead may change what this phone may do; it hears of it with its next token. */
  private async heardRole(role: string): Promise<void> {
    if (role === this.status.role || (role !== 'lead' && role !== 'fitter' && role !== 'viewer')) return;
    // In one transaction: a pairing at the same moment must not be written over with what was before it.
    await this.db.write(['meta'], async (tx) => {
      const device = (await tx.objectStore('meta').get('device')) as Device | undefined;
      if (device !== undefined) await tx.objectStore('meta').put({ ...device, role }, 'device');
    });
    this.say({ role });
  }

  /** This phone holds nothing: does the office know it all the same? */
  private async lookForLost(): Promise<void> {
    this.known = await askOffice(this.net);
    if (this.known !== undefined && !this.status.paired) this.say({ lost: lostOf(this.known) });
  }

  async takeUp(workshop: boolean): Promise<void> {
    const { known } = this;
    if (known === undefined) return;
    const job = await takeUp(this.db, known, workshop, random);
    this.jobs = await readJobs(this.db);
    this.say({ paired: true, lost: undefined, role: known.role, device: known.name, workshop, offered: offered(this.jobs) });
    if (job !== '') await this.chooseJob(job);
    await this.exchange();
  }

  private async read(job: string): Promise<void> {
    this.core.forget(job);
    await this.db.eachEntry(job, (rows) => this.core.add(job, rows.map((e) => e.raw)));
  }

  private say(change: Partial<Status>): void {
    this.status = { ...this.status, ...change };
    this.post({ status: this.status });
  }

  private async counts(): Promise<void> {
    const { job } = this.status;
    if (this.status.trouble !== '') return;
    const now = await this.counted(job);
    this.say(job === this.status.job ? now : { jobs: now.jobs, unsentPhotos: now.unsentPhotos });
  }

  private async counted(job: string): Promise<Pick<Status, 'jobs' | 'unsentPhotos' | 'unsent' | 'entries'>> {
    const [waits, photos] = await Promise.all([this.db.waitingByJob(), this.db.waitingPhotos()]);
    // What waits is shown even if its job should be in no list: nothing unsent disappears.
    const here = [...waits.keys()].reduce((jobs, j) => taken(jobs, j), this.jobs).here;
    const jobs = here.map((j) => ({ ...j, unsent: waits.get(j.job) ?? 0, fetched: this.fetched.has(j.job) }));
    return { jobs, unsentPhotos: photos.length, unsent: waits.get(job) ?? 0, entries: this.core.digest(job).count };
  }

  /** Puts down what is known of jobs, and shows it; one change after the other, so that none undoes another. */
  private async setJobs(change: (known: Jobs) => Jobs): Promise<void> {
    await this.knowing(async () => {
      const jobs = change(this.jobs);
      await writeJobs(this.db, jobs);
      this.jobs = jobs;
      this.say({ offered: offered(jobs) });
    });
    await this.counts();
  }

  /** The one of the job in hand is kept: it remembers what it is not sure of. */
  private log(job: string): DeviceLog {
    if (this.own?.job === job) return this.own;
    const log = new DeviceLog(this.db, job, { compose: (j, d) => this.core.compose(j, d), now: () => new Date(), random });
    return job === this.status.job ? (this.own = log) : log;
  }

  async view(name: string, args: unknown): Promise<unknown> {
    await this.ready;
    return this.core.view(this.status.job, name, args);
  }

  /** Keeps an entry; one after the other, so that none takes another's number. What was half filled in for it goes in the same moment: it never comes back to be kept twice. */
  async keep(draft: Draft, finished: string[] = []): Promise<{ id: string }> {
    return this.append(draft, undefined, finished);
  }

  /** A photo or a voice note: its bytes are kept with the entry that names them. */
  async keepPhoto(draft: Draft, bytes: ArrayBuffer, type: string, finished: string[] = []): Promise<{ id: string }> {
    const sha = hex(await crypto.subtle.digest('SHA-256', bytes));
    const body = { ...(draft.body as Record<string, unknown>), sha, size: bytes.byteLength, type };
    return this.append({ ...draft, body }, { sha, type, bytes }, finished);
  }

  private async append(draft: Draft, photo: { sha: string; type: string; bytes: ArrayBuffer } | undefined, finished: string[] = []): Promise<{ id: string }> {
    await this.ready;
    const { status } = this;
    const kept = await this.writing(async () => {
      if (status.job !== this.status.job) throw new Error('the job was changed at the same moment, so nothing was kept: go back to its own job and keep it there.');
      const made = await this.log(status.job).keep(draft, { person: status.person, name: status.device, workshop: status.workshop }, photo, finished);
      // It is on the disk: an entry is said to be before anything else is done with it, and counted again behind it.
      const now = this.status;
      if (photo === undefined) this.say({ unsent: now.unsent + made.length, entries: now.entries + made.length });
      this.core.add(status.job, made.map((e) => e.raw));
      // Of pictures only the store knows how many there are, because the same one kept twice is there once.
      if (photo !== undefined) await this.counts().catch(() => undefined);
      return { id: made[made.length - 1]?.id ?? '' };
    });
    this.post({ changed: true });
    void this.counts().then(() => this.exchange());
    return kept;
  }

  photo(sha: string): Promise<{ bytes: ArrayBuffer; type: string } | undefined> {
    return photoBytes(this.db, this.net, sha);
  }

  sentCopies(): Promise<Copies> {
    return sentCopies(this.db);
  }

  dropSentCopies(): Promise<Copies> {
    return dropSentCopies(this.db);
  }

  async pair(code: string, name: string, workshop: boolean): Promise<void> {
    await this.ready;
    const got = await this.net.json<Identity & { role: Status['role']; jobs: JobName[] }>('/api/v1/pair', { code, name }, 'plain');
    if (typeof got.server !== 'string' || typeof got.workspace !== 'string') throw new NotOffice();
    const before = await this.db.meta<Device>('device');
    const same = before === undefined || before.workspace === got.workspace;
    if (!same && (await this.db.waitingByJob()).size > 0) {
      throw new Error('This code is of another workshop. Hand in what is on this phone to its own office first.');
    }
    const device: Device = { device: got.device, workspace: got.workspace, server: got.server, role: got.role, name, workshop };
    await this.db.setMeta('device', device);
    this.net.forgetToken();
    this.say({ paired: true, lost: undefined, ended: false, exchange: 'idle', role: got.role, device: name, workshop });
    // Paired anew, a phone stays with its job and all that it holds; a new one is asked where there is a choice.
    await this.setJobs((known) => learnt(same ? known : noJobs, got.jobs));
    const stay = this.jobs.here.some((j) => j.job === this.status.job) ? this.status.job : only(got.jobs);
    if (stay !== this.status.job) await this.chooseJob(stay);
    await this.exchange(); // the first fetch brings the people to choose from
  }

  async chooseJob(job: string): Promise<void> {
    await this.ready;
    const asked = this.status.job === '' && job !== '';
    await this.writing(async () => {
      if (job !== '') await this.setJobs((known) => (asked ? onlyThis(taken(known, job)) : taken(known, job)));
      const stands = await changeJob(this.db, this.status.job, job);
      this.pos = 0;
      this.say({ job, differs: '', ...stands, ...(await this.counted(job)) });
      await this.read(job); // what is kept next is judged by the whole of this job
    });
    await this.counts();
    this.post({ changed: true });
    void this.exchange();
  }

  async takeJob(job: string): Promise<void> {
    await this.ready;
    await this.setJobs((known) => taken(known, job));
    void this.exchange(); // its entries come with it, so that it is there under the vehicle
  }

  async leaveJob(job: string): Promise<void> {
    await this.ready;
    await this.setJobs((known) => leftThere(known, [job]));
  }

  /** Begins a job: its name is drawn here, and its people are yet to be entered. */
  async startJob(title: string, vehicle: string): Promise<void> {
    const job = random();
    await this.setJobs((known) => taken(known, job, title));
    await this.chooseJob(job);
    await this.keep({ kind: 'job', body: vehicle === '' ? { title } : { title, vehicle }, by: this.status.person || 'lead' });
  }

  async setPerson(key: string): Promise<void> {
    this.say({ person: key }); // at once: the very next entry is this person's
    await this.db.setMeta('person', key);
  }

  /** Hands in and fetches. A call while one is under way makes it look once more. */
  async exchange(): Promise<void> {
    await this.ready;
    if (this.status.paired && this.status.trouble === '') await this.rounds.call();
  }

  private async oneExchange(): Promise<void> {
    const { job } = this.status;
    try {
      const who = await this.db.meta<Device>('device');
      if (who === undefined) return;
      this.say({ busy: true, says: 'Handing in and fetching.' });
      if (job === '') this.asking.again(); // it waits for one to choose
      else await this.jobInHand(job, who);
      for (const other of this.toVisit(job)) if (other !== this.status.job) await this.visit(other, who);
      this.retry.reset();
      const refused = await sendPhotos(this.db, this.net);
      if (refused !== '') this.say({ says: `The office did not take a photo or voice note: ${refused}. It stays on this phone.` });
      const office = await this.asking.list(this.net);
      if (office !== undefined) await this.setJobs((known) => learnt(known, office)).catch(() => this.asking.again()); // a full phone hands in all the same
      if (job === '') this.say({ exchange: 'idle', says: office === undefined ? 'The office did not say which jobs it has.' : '' });
      if (this.status.job !== '') await this.live.open(this.status.job).catch(() => this.retry.failed());
    } catch (e) {
      this.failed(e);
    }
    await this.counts();
    this.say({ busy: false });
  }

  private exchangeOf(job: string, who: Device): Exchange {
    return new Exchange(this.db, job, this.log(job), this.core, this.net, who, { random, now: () => new Date(), app: () => this.app });
  }

  /** Writes down how an exchange ended, and what it told of the office. */
  private async through(job: string, head: ReplyHead): Promise<Pick<Status, 'last' | 'office'>> {
    const last = new Date().toISOString();
    const how = { last, office: { count: head.count, offset: Date.parse(last) - Date.parse(head.time) } };
    await stood(this.db, job, how);
    this.fetched.add(job);
    this.asking.heard(head.jobs);
    return how;
  }

  private async jobInHand(job: string, who: Device): Promise<void> {
    const head = await this.exchangeOf(job, who).run((o) => {
      if (o.fetched > 0) this.post({ changed: true });
    });
    const how = await this.through(job, head);
    // What was kept while this one was under way is not in the office's figures: the next one is about it.
    const more = (await this.db.countWaiting(job)) > 0;
    if (job !== this.status.job) return this.say({ exchange: 'idle' }); // changed meanwhile: the next one is about the other
    const mine = this.core.digest(job);
    const differs = more ? '' : mine.digest !== head.digest ? 'This phone and the office hold different entries; it is tried again by itself.'
      : head.results !== undefined && head.results.pos === head.count && head.results.core === mine.core && head.results.digest !== mine.results ? differsWords : '';
    this.say({ exchange: 'idle', says: more ? 'Something is still on its way to the office.' : 'The office has everything from this phone.', differs, ...how, ended: false });
    this.pos = head.cursor.pos;
  }

  /** Other jobs on this phone of which something waits, or nothing has been read yet. */
  private toVisit(inHand: string): string[] {
    return this.status.jobs.filter((j) => j.job !== inHand && (j.unsent > 0 || !j.fetched)).map((j) => j.job);
  }

  /** Hands in and fetches for a job that is not in hand. The core holds it only so long. */
  private async visit(job: string, who: Device): Promise<void> {
    try {
      await this.read(job);
      await this.through(job, await this.exchangeOf(job, who).run(() => undefined));
    } catch (e) {
      if (!(e instanceof Refused) || notNow(e) || e.status === 401) throw e;
      const title = this.jobs.here.find((j) => j.job === job)?.title ?? 'another job';
      this.say({ says: `The office did not take what is of '${title}': ${e.message}. It stays on this phone.` });
    } finally {
      if (job !== this.status.job) this.core.forget(job);
    }
  }

  private failed(e: unknown): void {
    const exchange = e instanceof NotOffice ? 'other network' : e instanceof Refused && !notNow(e) ? 'refused' : 'away';
    const says = e instanceof NotOffice || e instanceof Away ? e.message : e instanceof Refused ? `The office says: ${e.message}` : 'Something went wrong while handing in; all is still on this phone.';
    this.say({ exchange, says, ended: this.status.ended || (e instanceof Refused && e.status === 401) });
    this.retry.failed();
  }

  async office(path: string, body: unknown, method?: string): Promise<unknown> {
    return this.net.json(path.replace('{job}', this.status.job), body === null ? undefined : body, 'send', method);
  }

  async officeFile(path: string): Promise<OfficeFile> {
    return this.net.file(path.replace('{job}', this.status.job));
  }

  async saveDraft(key: string, value: unknown): Promise<void> {
    await this.db.write(['drafts'], async (tx) => void (await tx.objectStore('drafts').put(value, key)), 'relaxed');
  }

  async loadDraft(key: string): Promise<unknown> {
    return this.db.read('drafts', (drafts) => drafts.get(key));
  }

  async dropDraft(key: string): Promise<void> {
    await this.db.write(['drafts'], async (tx) => tx.objectStore('drafts').delete(key), 'relaxed');
  }

  /** What only this phone has, in words: the first of it. */
  async unsent(): Promise<{ id: string; words: string }[]> {
    await this.ready;
    const { job } = this.status;
    const rows = await this.db.waiting(job, 50);
    return rows.map(({ id }) => {
      const e = this.core.view(job, 'entry', { id }) as EntryView;
      if (e.kind === 'log') return { id, words: "opens this phone's log" };
      return { id, words: `${e.kind}: ${e.words}${e.lines[0] === undefined ? '' : `, ${e.lines[0].text}`}` };
    });
  }

  /** What of a job waits, as a file for an office that cannot be reached. */
  async saveUnsent(job: string): Promise<HandIn> {
    await this.ready;
    const who = await this.db.meta<Device>('device');
    const whose = { workspace: who?.workspace ?? '', device: who?.device ?? '', name: who?.name ?? '' };
    for (const { id } of await this.db.waiting(job, Infinity)) this.asFile.add(id);
    return saveUnsent(this.db, job, (await this.log(job).head())?.log ?? '', whose, new Date());
  }

  /** The n-th photo that waits, counted from 0, as it was taken. */
  async unsentPhoto(n: number): Promise<{ file: string; bytes: ArrayBuffer; type: string; of: number } | undefined> {
    const waiting = await this.db.waitingPhotos();
    const sha = waiting[n];
    const photo = sha === undefined ? undefined : await this.db.read('photos', (photos) => photos.get(sha));
    if (sha !== undefined) this.asFile.add(sha);
    return photo === undefined ? undefined : { file: photoFile(photo), bytes: photo.bytes, type: photo.type, of: waiting.length };
  }

  /** Takes in what another phone saved: entries, or a photo (undefined). */
  async takeInFile(bytes: ArrayBuffer): Promise<TakenIn | undefined> {
    if (bytes.byteLength === 0 || new Uint8Array(bytes)[0] === '{'.charCodeAt(0)) return takeIn(this.net, this.status.job, bytes);
    const why = await sendOne(this.net, hex(await crypto.subtle.digest('SHA-256', bytes)), bytes);
    if (why !== '') throw new Error(why);
    return undefined;
  }

  unsentFile(): Promise<string> {
    return waitingLines();
  }

  async takeOut(): Promise<void> {
    await this.ready;
    const who = await this.db.meta<Device>('device');
    if ((await onlyHere(this.db)).every((id) => this.asFile.has(id))) {
      this.live.close();
      // An office that cannot be reached is told by the lead, who ends the pairing there.
      if (who !== undefined) await this.net.json(`/api/v1/devices/${who.device}`, undefined, 'send', 'DELETE').catch(() => undefined);
    }
    await erase(this.db, this.asFile);
    this.retry.reset();
  }

  rest(): Promise<void> {
    return this.writing(() => this.db.rest());
  }

  /** The page is seen again, or there is a network: look at once. */
  wake(): void {
    if (this.status.ready && !this.status.paired) void this.lookForLost();
    this.asking.again();
    this.retry.reset();
    void this.exchange();
  }
}

/** An office that cannot now, for want of room or because too much comes at once, refuses nobody. */
const notNow = (e: Refused): boolean => e.status === 429 || e.status >= 500;

/** Whoever is asked which job and names one has said of the others that they stay. */
const onlyThis = (known: Jobs): Jobs => leftThere(known, offered(known).map((o) => o.job));

function random(): string {
  return hex(crypto.getRandomValues(new Uint8Array(16)).buffer as ArrayBuffer);
}
