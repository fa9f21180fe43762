// This phone's clock against the office's, in words. No number of the record
// rests on it; what people read as day and time does.

/** Clocks nearer than this agree, in ms. */
const near = 2 * 60_000;

const minute = 60_000;

/** offset is the phone's clock minus the office's, in ms; undefined before the first exchange. */
export function clockWords(offset: number | undefined): string {
  if (offset === undefined) return 'Not compared with the office yet.';
  const off = Math.abs(offset);
  if (off <= near) return "Agrees with the office's.";
  return `About ${span(off)} ${offset < 0 ? 'behind' : 'ahead of'} the office's. Set this phone to take its time from the network. No result is changed by it; entries show the time that this phone said, and the office notes the difference.`;
}

function span(ms: number): string {
  const [n, word] = ms < 90 * minute ? [Math.round(ms / minute), 'minute'] : ms < 36 * 60 * minute ? [Math.round(ms / (60 * minute)), 'hour'] : [Math.round(ms / (24 * 60 * minute)), 'day'];
  return `${n} ${word}${n === 1 ? '' : 's'}`;
}
