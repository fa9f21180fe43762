import { readFileSync } from 'node:fs';
import { create, all } from 'mathjs';
import { describe, expect, it } from 'vitest';

// A second opinion on the core's units: a general-purpose library's factors beside the table in the core's own source.
const source = readFileSync(new URL('../../../sync/quantity/units.go', import.meta.url), 'utf8');
const table = [...source.matchAll(/\{"([^"]+)", "[^"]*", (\w+), ([\d.]+), ([\d.]+), ([\d.]+)\}/g)].map(([, code, dim, num, den, offset]) => ({ code: code ?? '', dim: dim ?? '', factor: Number(num) / Number(den), offset: Number(offset) }));

const math = create(all ?? {});
/** How the library spells a unit of ours, and the SI unit that it is told in; what it does not know is left out. */
const spelt: Record<string, [string, string]> = {
  mm: ['mm', 'm'], um: ['um', 'm'], cm: ['cm', 'm'], in: ['in', 'm'], thou: ['mil', 'm'], ft: ['ft', 'm'], cm2: ['cm^2', 'm^2'], in2: ['in^2', 'm^2'],
  cm3: ['cm^3', 'm^3'], L: ['L', 'm^3'], in3: ['in^3', 'm^3'], 'kgf.m': ['kgf m', 'N m'], 'kgf.cm': ['kgf cm', 'N m'], 'lbf.ft': ['lbf ft', 'N m'], 'lbf.in': ['lbf in', 'N m'],
  kN: ['kN', 'N'], lbf: ['lbf', 'N'], kgf: ['kgf', 'N'], kPa: ['kPa', 'Pa'], MPa: ['MPa', 'Pa'], GPa: ['GPa', 'Pa'], bar: ['bar', 'Pa'], mbar: ['mbar', 'Pa'], psi: ['psi', 'Pa'],
  kgf_cm2: ['kgf / cm^2', 'Pa'], mmHg: ['mmHg', 'Pa'], g: ['g', 'kg'], lb: ['lbm', 'kg'], oz: ['oz', 'kg'], min: ['minute', 's'], h: ['hour', 's'], d: ['day', 's'],
  'ft/min': ['ft / minute', 'm / s'], kW: ['kW', 'W'], hp: ['hp', 'W'], 'cm3/min': ['cm^3 / minute', 'm^3 / s'], 'L/h': ['L / hour', 'm^3 / s'], 'bar/min': ['bar / minute', 'Pa / s'], 'psi/min': ['psi / minute', 'Pa / s'],
};

describe('the units of the core', () => {
  it('are read from its source', () => expect(table.length).toBeGreaterThan(50));

  it.each(Object.entries(spelt))('%s', (code, [name, si]) => {
    const own = table.find((u) => u.code === code);
    const theirs = math.unit(1, name).toNumber(si);
    expect(Math.abs((own?.factor ?? 0) / theirs - 1)).toBeLessThan(5e-6); // some of the library's factors are rounded
  });

  it('degrees of temperature', () => {
    const f = table.find((u) => u.code === 'degF');
    expect(((212 + (f?.offset ?? 0)) * (f?.factor ?? 0))).toBeCloseTo(math.unit(212, 'degF').toNumber('K'), 6);
  });
});
