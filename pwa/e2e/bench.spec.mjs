// The bench, a file for each side of it in bench/. (bench.mjs beside this measures; it is no browser case.)
import { cases as clutch } from './bench/clutch.mjs';
import { cases as live } from './bench/live.mjs';
import { cases as matching } from './bench/matching.mjs';
import { cases as replay } from './bench/replay.mjs';
import { cases as run } from './bench/run.mjs';
import { cases as samples } from './bench/samples.mjs';

export const cases = [...run, ...matching, ...clutch, ...samples, ...replay, ...live];
