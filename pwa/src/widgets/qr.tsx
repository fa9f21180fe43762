// A QR code (ISO/IEC 18004) as one path: dark squares on white, four modules
// of white around it, error correction M.
import { encode } from 'uqr';

/** The white around a code that the standard asks for, in modules. */
const quiet = 4;

export interface Modules { size: number; path: string }

/** The squares of a text's code, those of one row joined. */
export function modules(text: string): Modules {
  const { data, size } = encode(text, { ecc: 'M', border: quiet });
  const path = data.map((row, y) => runs(row).map(([x, w]) => `M${x} ${y}h${w}v1h-${w}z`).join('')).join('');
  return { size, path };
}

function runs(row: boolean[]): [number, number][] {
  const out: [number, number][] = [];
  row.forEach((dark, x) => {
    const last = out.at(-1);
    if (!dark) return;
    if (last !== undefined && last[0] + last[1] === x) last[1]++;
    else out.push([x, 1]);
  });
  return out;
}

export function Qr({ text }: { text: string }) {
  const m = modules(text);
  return (
    <svg class="qr" viewBox={`0 0 ${m.size} ${m.size}`} shape-rendering="crispEdges" aria-hidden="true">
      <rect class="qr-paper" width={m.size} height={m.size} />
      <path class="qr-ink" d={m.path} />
    </svg>
  );
}
