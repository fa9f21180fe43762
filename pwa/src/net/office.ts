// Requests to the office: a deadline on every one (T18), a short token bought
// with the phone's cookie and renewed when it is refused.
import { Away, NotOffice, Refused, refusal } from './wire';

export type Fetch = (path: string, init: RequestInit) => Promise<Response>;

/** How long a request may take before it is given up, in milliseconds. */
const deadline = 30_000;
/** A record book with its photos is put together while we wait. */
const fileDeadline = 300_000;

export interface OfficeFile { bytes: ArrayBuffer; type: string; name: string }

export class Office {
  private token = '';
  /** Told what this phone may do, each time a token is bought. */
  heardRole: (role: string) => void = () => undefined;

  constructor(
    private readonly fetch: Fetch,
    private readonly timeout: (ms: number) => AbortSignal = (ms) => AbortSignal.timeout(ms),
  ) {}

  /** Sends a request without a token. */
  async plain(path: string, init: RequestInit, within = deadline): Promise<Response> {
    try {
      return await this.fetch(path, { ...init, signal: this.timeout(within), cache: 'no-store', credentials: 'same-origin' });
    } catch {
      throw new Away();
    }
  }

  /** Sends a request with the token; one refused is bought anew, once. */
  async send(path: string, init: RequestInit, within = deadline): Promise<Response> {
    if (this.token === '') await this.buy();
    const reply = await this.plain(path, this.signed(init), within);
    if (reply.status !== 401) return reply;
    await this.buy();
    return this.plain(path, this.signed(init), within);
  }

  private signed(init: RequestInit): RequestInit {
    return { ...init, headers: { ...(init.headers as Record<string, string>), Authorization: `Bearer ${this.token}` } };
  }

  private async buy(): Promise<void> {
    const got = await this.json<{ token?: string; role?: string }>('/api/v1/token', {}, 'plain');
    if (typeof got.token !== 'string') throw new NotOffice();
    this.token = got.token;
    if (typeof got.role === 'string') this.heardRole(got.role);
  }

  /** The token in hand, for the socket's first message. */
  async current(): Promise<string> {
    if (this.token === '') await this.buy();
    return this.token;
  }

  forgetToken(): void {
    this.token = '';
  }

  /** Gets a file that the office may take a while to put together, under the name that the office gives it. */
  async file(path: string): Promise<OfficeFile> {
    const reply = await this.send(path, { method: 'GET' }, fileDeadline);
    if (!reply.ok) throw await refusal(reply);
    try {
      const name = /filename="([^"]+)"/.exec(reply.headers.get('Content-Disposition') ?? '')?.[1] ?? 'file';
      return { bytes: await reply.arrayBuffer(), type: reply.headers.get('Content-Type') ?? 'application/octet-stream', name };
    } catch {
      throw new Away(); // it broke off: what came is not the whole of it
    }
  }

  /** Posts JSON (undefined: a GET) and reads JSON. */
  async json<T>(path: string, body: unknown, how: 'plain' | 'send' = 'send', method = body === undefined ? 'GET' : 'POST'): Promise<T> {
    const init: RequestInit = { method };
    if (body !== undefined) {
      init.headers = { 'Content-Type': 'application/json' };
      init.body = JSON.stringify(body);
    }
    const reply = how === 'plain' ? await this.plain(path, init) : await this.send(path, init);
    if (!reply.ok) throw await refusal(reply);
    try {
      return (await reply.json()) as T;
    } catch {
      throw new NotOffice();
    }
  }
}

export { Away, NotOffice, Refused };
