// The core as WebAssembly, behind plain functions. The file is named by what is in it, as every part of the app is: a page
// never gets the core of another version (T38).
import '../../core/wasm_exec.js';
import file from '../../core/core.wasm?url';
import type { Composed } from '../log/log';

interface Bridge {
  add(job: string, lines: Uint8Array): string;
  view(job: string, name: string, args: string): string;
  compose(job: string, draft: string): string;
  digest(job: string): string;
  heads(job: string): string;
  sum(raw: string): string;
  forget(job: string): string;
}

declare const globalThis: { witnessmark?: Bridge; Go?: new () => { importObject: WebAssembly.Imports; run(i: WebAssembly.Instance): Promise<void> } };

/** What the core said went wrong, in words for the screen. */
export class CoreError extends Error {}

export class Core {
  private constructor(private readonly bridge: Bridge) {}

  static async load(): Promise<Core> {
    if (globalThis.Go === undefined) throw new Error('the core could not be started');
    const go = new globalThis.Go();
    const { instance } = await WebAssembly.instantiateStreaming(fetch(file), go.importObject);
    void go.run(instance);
    if (globalThis.witnessmark === undefined) throw new Error('the core could not be started');
    return new Core(globalThis.witnessmark);
  }

  private read<T>(text: string): T {
    const got = JSON.parse(text) as { ok?: T; error?: string };
    if (got.error !== undefined) throw new CoreError(got.error);
    return got.ok as T;
  }

  add(job: string, lines: string[]): void {
    this.read(this.bridge.add(job, new TextEncoder().encode(lines.join('\n'))));
  }

  view(job: string, name: string, args: unknown): unknown {
    return this.read(this.bridge.view(job, name, JSON.stringify(args)));
  }

  compose(job: string, draft: Record<string, unknown>): Composed {
    return this.read(this.bridge.compose(job, JSON.stringify(draft)));
  }

  digest(job: string): { count: number; digest: string; results: string; core: string } {
    return this.read(this.bridge.digest(job));
  }

  heads(job: string): Record<string, { seq: number; id: string; forked?: boolean }> {
    return this.read(this.bridge.heads(job));
  }

  idOf(raw: string): string {
    return this.read(this.bridge.sum(raw));
  }

  forget(job: string): void {
    this.read(this.bridge.forget(job));
  }
}
