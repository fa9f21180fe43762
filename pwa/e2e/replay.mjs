// `make replay`: runs of the invented log typed again through the phone's screens. SPEED is how many times faster than the bench,
// RUN which runs of one engine, by their place in the log.
import { replayed } from './bench/replay.mjs';

const speed = Number(process.env.SPEED ?? 20);
for (const n of (process.env.RUN ?? '1 2').split(' ').map(Number)) {
  const began = performance.now();
  const lines = await replayed(n, speed);
  console.log(`run ${n}: ${lines} lines typed again and found equal, at ${speed} times its speed, in ${((performance.now() - began) / 1000).toFixed(0)} s`);
}
