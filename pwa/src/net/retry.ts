// While anything waits, trying never stops and needs no new entry to begin
// again (T15): from 1 s to 60 s, each time twice as long, with jitter so that
// fifty phones do not come back in step.
export const firstWait = 1_000;
export const lastWait = 60_000;

export interface Clock {
  after(ms: number, run: () => void): () => void;
  random(): number;
}

export class Retry {
  private wait = firstWait;
  private cancel: (() => void) | undefined;

  constructor(
    private readonly clock: Clock,
    private readonly run: () => void,
  ) {}

  /** A try failed: the next one comes later. */
  failed(): void {
    this.stop();
    const ms = this.wait * (0.5 + this.clock.random() / 2);
    this.wait = Math.min(2 * this.wait, lastWait);
    this.cancel = this.clock.after(ms, () => {
      this.cancel = undefined;
      this.run();
    });
  }

  /** A try succeeded, or something says that it may now: the next wait is short again. */
  reset(): void {
    this.wait = firstWait;
    this.stop();
  }

  private stop(): void {
    this.cancel?.();
    this.cancel = undefined;
  }
}
