import { expect, test } from 'vitest';
import type { Progress, ProgressStep } from '../../lib/api/teaching';
import { countText, leadSentence, monthsBefore, periodText, stepLines, stepTable } from './words';

const step = (against: [number, number, number] | null, why?: string): ProgressStep => ({
  kind: 'step',
  code: 'capsulorhexis',
  name: 'Capsulorhexis',
  n: 7,
  median: 62_000,
  group: 55_000,
  against: against && { ratio: against[0], low: against[1], high: against[2], shrunken: true },
  why,
});
const made = (led: number, shared: number, steps: ProgressStep[]) =>
  ({
    person: { name: 'Ada Example' },
    from: '2026-03-01',
    to: '',
    cases: { led, shared },
    steps,
  }) as unknown as Progress;

test.each([
  ['2026-06-15', 3, '2026-03-16'],
  ['2026-05-31', 3, '2026-03-01'],
  ['2024-05-31', 3, '2024-03-01'],
  ['2026-01-10', 12, '2025-01-11'],
  ['2026-01-10', 0, ''],
] as const)('%s less %d months begins on %s', (day, months, want) => {
  expect(monthsBefore(day, months)).toBe(want);
});

test('a period in words', () => {
  expect(periodText('2026-03-01', '2026-05-31')).toBe('from 1 Mar 2026 to 31 May 2026');
  expect(periodText('', '2026-05-31')).toBe('up to 31 May 2026');
  expect(periodText('', '')).toBe('so far');
});

test('the lead says what was operated, and never more than the intervals carry', () => {
  expect(leadSentence(made(0, 0, []), true)).toBe('You operated no tagged case since 1 Mar 2026.');
  expect(leadSentence(made(1, 2, [step(null)]), false)).toBe(
    'Ada Example operated 1 whole case and a part of 2 cases since 1 Mar 2026. There are too few cases to hold a time against others.',
  );
  expect(leadSentence(made(9, 0, [step([1.2, 0.9, 1.5])]), true)).toContain('No time differs clearly');
  expect(leadSentence(made(9, 0, [step([1.3, 1.1, 1.5]), step([0.8, 0.7, 0.9])]), true)).toContain(
    'Of 2 times held against like eyes, 1 clearly longer and 1 clearly shorter than expected',
  );
});

test('a time that is not told stands in the table with why, and is not drawn', () => {
  const steps = [step([1.3, 1.1, 1.5]), step(null, 'fewer than 5 cases')];
  expect(stepLines(steps).map((l) => l.main?.text)).toEqual(['1.30 (1.10 to 1.50)']);
  expect(stepTable(steps).rows[1]).toEqual([
    'Capsulorhexis',
    7,
    '1:02',
    '0:55',
    null,
    null,
    null,
    'fewer than 5 cases',
  ]);
});

test('a count tells times and cases apart', () => {
  expect(countText({ code: 'a', name: 'View lost', times: 3, cases: 2 })).toBe('View lost: 3 times in 2 cases');
  expect(countText({ code: 'a', name: 'View lost', times: 1, cases: 1 })).toBe('View lost: in 1 case');
});
