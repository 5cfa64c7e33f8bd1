import { expect, test } from 'vitest';
import { emptyFilter, narrowing, readFilter, sorts, writeFilter } from './filter';

test('a filter comes back from its address', () => {
  const filter = {
    ...emptyFilter,
    q: 'a & b',
    eye: 'OD',
    state: 'to-tag',
    from: '2026-01-01',
    sort: 'grade',
    descending: false,
  } as const;
  expect(readFilter(writeFilter(filter))).toEqual(filter);
  for (const { sort, descending } of sorts) {
    expect(readFilter(writeFilter({ ...emptyFilter, sort, descending }))).toMatchObject({ sort, descending });
    expect(readFilter(writeFilter({ ...emptyFilter, sort, descending: !descending }))).toMatchObject({
      descending: !descending,
    });
  }
});

test('the empty filter has no address, and unknown words do not count', () => {
  expect(writeFilter(emptyFilter)).toBe('');
  expect(readFilter('?state=x&sort=y&z=1')).toEqual(emptyFilter);
  expect(narrowing({ ...emptyFilter, q: 'x', state: 'signed' })).toBe(0);
  expect(narrowing({ ...emptyFilter, eye: 'OS', to: '2026-01-01' })).toBe(2);
});
