/**
 * Work of which one round at a time is under way. A call meanwhile makes one round more, however the one under way ends: who
 * calls may have stopped the clock of the next try (T15).
 */
export class Rounds {
  private busy: Promise<void> | undefined;
  private again = false;

  constructor(private readonly round: () => Promise<void>) {}

  /** Resolves when the last round that it asked for has ended. */
  call(): Promise<void> {
    this.again = true;
    return this.busy ??= this.all();
  }

  private async all(): Promise<void> {
    try {
      while (this.again) {
        this.again = false;
        await this.round();
      }
    } finally {
      this.busy = undefined; // in the same moment in which nobody had called again
    }
  }
}
