import { expect, test } from 'vitest';
import { emptyFilter, leaveList, listAddress, narrows, readFilter, writeFilter } from './filter';
import { step, when } from './owing';

test('a filter comes back from its address, and unknown words do not count', () => {
  const filter = { q: 'a & b', operator: 'u1', window: 'month-1', overdue: true } as const;
  expect(readFilter(writeFilter(filter))).toEqual(filter);
  expect(narrows(filter)).toBe(true);
  expect(writeFilter(emptyFilter)).toBe('');
  expect(readFilter('?visit=other&overdue=maybe&z=1')).toEqual(emptyFilter);
});

test('a line says since when or from when its visit is wanted', () => {
  const on = (today: string) =>
    when({ dueOn: '2026-03-02', lateOn: '2026-03-08', overdue: today > '2026-03-08' }, today);
  expect(on('2026-03-01')).toBe('due from 2 Mar 2026');
  expect(on('2026-03-02')).toBe('due until 8 Mar 2026');
  expect(on('2026-03-08')).toBe('due until 8 Mar 2026');
  expect(on('2026-03-09')).toBe('overdue by 1 day');
  expect(on('2026-04-08')).toBe('overdue by 31 days');
});

test('the arrows stay inside the list', () => {
  expect(step('ArrowDown', -1, 3)).toBe(0);
  expect(step('ArrowDown', 2, 3)).toBeUndefined();
  expect(step('ArrowUp', 0, 3)).toBeUndefined();
  expect(step('ArrowUp', 2, 3)).toBe(1);
  expect(step('End', 0, 3)).toBe(2);
  expect(step('Home', 2, 3)).toBe(0);
  expect(step('x', 1, 3)).toBeUndefined();
  expect(step('End', 0, 0)).toBeUndefined();
});

test('the way back leads to the list as it was left', () => {
  expect(listAddress()).toBe('/follow-up');
  leaveList('?visit=month-1');
  expect(listAddress()).toBe('/follow-up?visit=month-1');
});
