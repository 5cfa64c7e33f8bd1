import { expect, test } from 'vitest';
import type { Window, WindowPlan } from '../api/types';
import { dueOf, firstDate, owedOf, planFaults, rankOf, requiredWindows, wholePlan, windowOrder } from './windows';

const plan = (window: Window, dueDays: number, lateDays: number, required: boolean): WindowPlan => ({
  window,
  dueDays,
  lateDays,
  required,
});
// The plan of a unit that made none: annotate/followup.go, UsualWindows (common practice).
const usual = [
  plan('day-1', 1, 7, true),
  plan('week-1', 7, 14, false),
  plan('month-1', 28, 56, true),
  plan('month-3', 84, 140, false),
];
const exam = { density: 2100 };

test('the required visits come first, in the order of the plan', () => {
  expect(requiredWindows(usual)).toEqual(['day-1', 'month-1']);
  const sorted = [...windowOrder].sort((a, b) => rankOf(a, usual) - rankOf(b, usual));
  expect(sorted).toEqual(['day-1', 'month-1', 'week-1', 'month-3', 'year-1', 'other']);
});

test('a visit begins on its planned day, and never in the future', () => {
  expect(firstDate('month-1', usual, '2026-01-31', '2026-06-01')).toBe('2026-02-28');
  expect(firstDate('month-1', usual, '2026-05-20', '2026-06-01')).toBe('2026-06-01');
  expect(firstDate('year-1', usual, '2025-01-01', '2026-06-01')).toBe('2026-06-01');
  expect(firstDate('other', usual, '2025-01-01', '2026-06-01')).toBe('2026-06-01');
});

test('a visit is due from a day on and overdue after another', () => {
  const on = (today: string) => dueOf('day-1', usual, '2026-03-01', today);
  expect(on('2026-03-01')).toEqual({ dueOn: '2026-03-02', lateOn: '2026-03-08', state: 'later' });
  expect(on('2026-03-02')?.state).toBe('due');
  expect(on('2026-03-08')?.state).toBe('due');
  expect(on('2026-03-09')?.state).toBe('overdue');
  expect(dueOf('year-1', usual, '2026-03-01', '2026-03-01')).toBeUndefined();
});

test('a case owes its required visits, then the repeat count, or nothing once it is lost', () => {
  const owed = (windows: Window[], counted: boolean, counts: Window[] = []) =>
    owedOf(usual, {
      counted,
      visits: windows.map((window) => (counts.includes(window) ? { window, exam } : { window })),
    });
  expect(owed([], true).map((o) => o.window)).toEqual(['day-1', 'month-1']);
  expect(owed(['week-1', 'day-1'], true)).toEqual([{ window: 'month-1', what: 'visit' }]);
  expect(owed(['day-1', 'month-1'], false)).toEqual([]);
  expect(owed(['day-1', 'month-1'], true)).toEqual([{ window: 'month-1', what: 'count' }]);
  expect(owed(['day-1', 'month-1'], true, ['day-1'])).toEqual([{ window: 'month-1', what: 'count' }]);
  expect(owed(['day-1', 'month-1'], true, ['month-1'])).toEqual([]);
  expect(owed(['day-1', 'month-1', 'month-3'], true, ['month-3'])).toEqual([]);
  expect(owed(['day-1', 'month-1', 'other'], true, ['other'])).toEqual([]);
  expect(owedOf(usual, { visits: [], counted: true, lost: { on: '2026-03-01', reason: 'moved away' } })).toEqual([]);
  expect(owedOf([], { visits: [], counted: true })).toEqual([]);
});

test('a plan has a row for each visit, the ones left out not required', () => {
  const whole = wholePlan(usual);
  expect(whole.map((p) => p.window)).toEqual(['day-1', 'week-1', 'month-1', 'month-3', 'year-1']);
  expect(whole.slice(0, 4)).toEqual(usual);
  expect(whole[4]?.required).toBe(false);
  expect(wholePlan([]).some((p) => p.required)).toBe(false);
  expect(planFaults(wholePlan([])).size).toBe(0);
});

test('a visit may not be overdue before it is due, nor due before an earlier one', () => {
  expect([...planFaults(usual)]).toEqual([]);
  expect([...planFaults([plan('day-1', 5, 4, true), plan('week-1', 4, 9, true)]).keys()]).toEqual([
    'windows[0].lateDays',
    'windows[1].dueDays',
  ]);
  expect(planFaults([plan('day-1', 5, 5, true), plan('week-1', 5, 5, true)]).size).toBe(0);
});
