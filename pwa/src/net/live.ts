// The socket that says 'there is more' and carries no data. Silence is death:
// any frame counts as life, after 35 s without one it is abandoned (T30).
import type { Office } from './office';

const silence = 35_000;

export class Live {
  private socket: WebSocket | undefined;
  private job = '';
  private timer: ReturnType<typeof setTimeout> | undefined;

  constructor(
    private readonly office: Office,
    private readonly more: (pos: number) => void,
    private readonly ended: () => void,
  ) {}

  /** Opens the socket of a job; one that is open already stays. */
  async open(job: string): Promise<void> {
    if (this.socket !== undefined && this.job === job) return;
    this.close();
    this.job = job;
    const token = await this.office.current();
    const socket = new WebSocket(`${self.location.protocol === 'https:' ? 'wss' : 'ws'}://${self.location.host}/api/v1/jobs/${job}/live`);
    this.socket = socket;
    this.heard(); // one that never opens is silent too
    socket.onopen = () => {
      socket.send(JSON.stringify({ token }));
      this.heard();
    };
    socket.onmessage = (e) => {
      this.heard();
      const { more } = JSON.parse(String(e.data)) as { more?: number };
      if (more !== undefined) this.more(more);
    };
    socket.onclose = () => {
      if (this.socket !== socket) return;
      this.close();
      this.office.forgetToken(); // it ends with its token
      this.ended();
    };
  }

  private heard(): void {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => {
      this.close();
      this.ended();
    }, silence);
  }

  /** Abandons the socket; it is not closed politely, the other side may be long gone. */
  close(): void {
    clearTimeout(this.timer);
    const old = this.socket;
    this.socket = undefined;
    if (old !== undefined) old.close();
  }
}
