import { describe, expect, it } from 'vitest';
import { asText, compare } from './rows';

describe('sorting', () => {
  const sorted = (list: string[], down = false) => [...list].sort((a, b) => compare(a, b, down));
  it('sorts figures by their size, with point or comma, and either minus', () => {
    expect(sorted(['0.10', '0,099', '−0.5', '12'])).toEqual(['−0.5', '0,099', '0.10', '12']);
  });
  it('sorts words as a list of places is read', () => {
    expect(sorted(['main 10', 'main 2', 'crank'])).toEqual(['crank', 'main 2', 'main 10']);
  });
  it('leaves what is empty last, upwards and downwards', () => {
    expect(sorted(['', '2', '1'])).toEqual(['1', '2', '']);
    expect(sorted(['', '1', '2'], true)).toEqual(['2', '1', '']);
  });
});

describe('copying', () => {
  it('puts tabs between, the unit at the head, and keeps values as written', () => {
    const columns = [{ key: 'a', head: 'Place' }, { key: 'b', head: 'Size', unit: 'mm' }];
    const rows = [{ key: '1', cells: { a: 'main\t1', b: { text: '74,980', show: 'shown otherwise' } } }, { key: '2', cells: { a: 'main 2' } }];
    expect(asText(columns, rows)).toBe('Place\tSize / mm\nmain 1\t74,980\nmain 2\t\n');
  });
});
