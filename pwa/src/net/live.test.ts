// The socket on a clock of the test's own: silence is death, any frame is life
// (T30), and what a push says is only where to read on (T29).
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { Live } from './live';
import { Office } from './office';

class FakeSocket {
  static all: FakeSocket[] = [];
  onopen = () => undefined as void;
  onmessage = (_: { data: string }) => undefined as void;
  onclose = () => undefined as void;
  sent: string[] = [];
  closed = false;
  constructor(readonly url: string) { FakeSocket.all.push(this); }
  send(text: string) { this.sent.push(text); }
  close() { this.closed = true; }
}

let heard: number[];
let ended: number;
let live: Live;
let tokens: number;

beforeEach(() => {
  vi.useFakeTimers();
  FakeSocket.all = [];
  [heard, ended, tokens] = [[], 0, 0];
  vi.stubGlobal('self', { location: { protocol: 'https:', host: 'marks.example.net' } });
  vi.stubGlobal('WebSocket', FakeSocket);
  const office = new Office(async () => Response.json({ token: `t${++tokens}` }), () => new AbortController().signal);
  live = new Live(office, (pos) => heard.push(pos), () => void ended++);
});

afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

const opened = async (): Promise<FakeSocket> => {
  await live.open('j');
  const socket = FakeSocket.all.at(-1) as FakeSocket;
  socket.onopen();
  return socket;
};

describe('the socket', () => {
  it('says who it is in its first message, never in its address', async () => {
    const socket = await opened();
    expect(socket.url).toBe('wss://marks.example.net/api/v1/jobs/j/live');
    expect(socket.sent).toEqual(['{"token":"t1"}']);
  });
  it('is abandoned when it has not opened within 35 s (T30)', async () => {
    await live.open('j');
    vi.advanceTimersByTime(35_000);
    expect([FakeSocket.all.at(-1)?.closed, ended]).toEqual([true, 1]);
  });
  it('is abandoned after 35 s of silence, and another is opened (T30)', async () => {
    const socket = await opened();
    vi.advanceTimersByTime(34_999);
    expect([socket.closed, ended]).toEqual([false, 0]);
    vi.advanceTimersByTime(1);
    expect([socket.closed, ended]).toEqual([true, 1]);
    const next = await opened();
    expect(next).not.toBe(socket);
    socket.onclose(); // the dead one's end comes much later, and is nobody's business
    expect([ended, next.closed]).toEqual([1, false]);
  });
  it('lives by any frame (T30)', async () => {
    const socket = await opened();
    for (const data of ['{"more":3}', '{"results":3}', '{}', '{"more":3}']) {
      vi.advanceTimersByTime(34_000);
      socket.onmessage({ data });
    }
    expect([socket.closed, ended, heard]).toEqual([false, 0, [3, 3]]);
  });
  it('that the office ends is told, and the next one buys a fresh token', async () => {
    const socket = await opened();
    socket.onclose();
    expect(ended).toBe(1);
    expect((await opened()).sent).toEqual(['{"token":"t2"}']);
    vi.advanceTimersByTime(20_000);
    expect(ended).toBe(1);
  });
  it('of one job stays when it is asked for again', async () => {
    await opened();
    await live.open('j');
    expect(FakeSocket.all.length).toBe(1);
  });
});
