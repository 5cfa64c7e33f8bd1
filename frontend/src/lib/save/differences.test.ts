import { expect, test } from 'vitest';
import { choose, differences, same } from './differences';

const theirs = {
  id: '1',
  revision: 5,
  pseudonym: 'A',
  before: { age: 70, exam: { density: 2400, cv: 0.3 } },
  operators: [{ userId: 'u', role: 'operator' }],
};
const yours = {
  id: '1',
  revision: 4,
  pseudonym: 'A',
  before: { age: 71, glaucoma: 'no', exam: { density: 2400, cv: 0.3 } },
  operators: [],
};

test('names each field once, lists whole, bookkeeping never', () => {
  expect(differences(yours, theirs)).toEqual([
    { path: 'before.age', yours: 71, theirs: 70 },
    { path: 'before.glaucoma', yours: 'no', theirs: undefined },
    { path: 'operators', yours: [], theirs: theirs.operators },
  ]);
  expect(differences(theirs, theirs)).toEqual([]);
});

test('puts only the chosen fields over theirs', () => {
  const found = differences(yours, theirs);
  const result = choose(theirs, found, { 'before.age': 'yours', 'before.glaucoma': 'theirs', operators: 'theirs' });
  expect(result).toEqual({ ...theirs, before: { ...theirs.before, age: 71 } });
  expect(theirs.before.age).toBe(70);
});

test('an exam that one side took away can be kept away', () => {
  const without = { revision: 1, before: { age: 70 } as { age: number; exam?: { density: number } } };
  const withExam = { revision: 2, before: { age: 70, exam: { density: 2000 } } };
  const found = differences(without, withExam);
  expect(found).toHaveLength(1);
  expect(choose(withExam, found, { 'before.exam': 'yours' })).toEqual({ revision: 2, before: { age: 70 } });
  const back = differences(withExam, without);
  expect(choose(without, back, { 'before.exam': 'yours' })).toEqual({
    revision: 1,
    before: { age: 70, exam: { density: 2000 } },
  });
});

test('unknown is alike however it is written, and the order of fields does not matter', () => {
  expect(same({ a: undefined, b: '', c: null, d: 1 }, { d: 1 })).toBe(true);
  expect(same({ a: 1, b: { c: 2, d: 3 } }, { b: { d: 3, c: 2 }, a: 1 })).toBe(true);
  expect(same({ a: 0 }, {})).toBe(false);
  expect(same([1, 2], [2, 1])).toBe(false);
});
