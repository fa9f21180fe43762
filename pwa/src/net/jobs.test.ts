// When the office is asked which jobs it has, and what an answer is worth.
import { describe, expect, it } from 'vitest';
import { Asking, officeJobs } from './jobs';
import { Away, NotOffice, Refused } from './office';

const list = [{ job: 'a', title: 'Heron' }, { job: 'b', title: 'Trolley' }];

/** An office that answers in turn, and counts how often it was asked. */
function office(...answers: (unknown)[]) {
  const o = {
    asked: 0,
    json: async <T>(): Promise<T> => {
      const answer = answers[Math.min(o.asked++, answers.length - 1)];
      if (answer instanceof Error) throw answer;
      return answer as T;
    },
  };
  return o;
}

describe('the list of jobs', () => {
  it('is read as names and titles', async () => {
    expect(await officeJobs(office({ jobs: list.map((j) => ({ ...j, pos: 7 })) }))).toEqual(list);
  });
  it.each([
    ['an older office', new Refused(404, 'not_found', 'there is nothing here')], ['another network', new NotOffice()], ['no list', {}], ['a list of something else', { jobs: [{ id: 1 }] }],
  ])('of %s changes nothing', async (_, answer) => {
    const asking = new Asking();
    const o = office(answer);
    expect([await asking.list(o), await asking.list(o), o.asked]).toEqual([undefined, undefined, 1]);
  });
});

describe('the office is asked', () => {
  it('once after a start, and once more after each coming online', async () => {
    const asking = new Asking();
    const o = office({ jobs: list });
    for (let i = 0; i < 3; i++) await asking.list(o);
    expect(o.asked).toBe(1);
    asking.again();
    for (let i = 0; i < 3; i++) await asking.list(o);
    expect(o.asked).toBe(2);
  });
  it('when an exchange names another number of jobs than it listed; an older office names none', async () => {
    const asking = new Asking();
    const o = office({ jobs: list.slice(0, 1) }, { jobs: list });
    await asking.list(o);
    for (const count of [1, undefined, 1]) asking.heard(count);
    expect(await asking.list(o)).toBeUndefined();
    asking.heard(2);
    expect(await asking.list(o)).toEqual(list);
    asking.heard(2);
    expect([await asking.list(o), o.asked]).toEqual([undefined, 2]);
  });
  it('again when nobody answered, and when a title had not been worked out', async () => {
    const asking = new Asking();
    const o = office(new Away(), { jobs: [{ job: 'b', title: '' }] }, { jobs: list });
    expect(await asking.list(o)).toBeUndefined();
    expect(await asking.list(o)).toEqual([{ job: 'b', title: '' }]);
    expect(await asking.list(o)).toEqual(list);
    expect([await asking.list(o), o.asked]).toEqual([undefined, 3]);
  });
});
