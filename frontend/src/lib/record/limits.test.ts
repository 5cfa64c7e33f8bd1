import { expect, test } from 'vitest';
import { judge } from './limits';

const length = { least: 15, most: 40, warnLow: 20, warnHigh: 30, unit: 'mm' };

test.each([
  [14.9, 'refused'],
  [15, 'unusual'],
  [19.9, 'unusual'],
  [20, 'taken'],
  [30, 'taken'],
  [30.1, 'unusual'],
  [40, 'unusual'],
  [40.1, 'refused'],
])('%d mm is %s', (value, kind) => {
  expect(judge(value, length).kind).toBe(kind);
});

test('the range stands in the words', () => {
  expect(judge(12, length).text).toBe('Not saved: possible is 15 to 40 mm.');
  expect(judge(18, length).text).toBe('Unusual: most lie from 20 to 30 mm. Saved as it is.');
  expect(judge(-31, { least: -30, most: 30, unit: 'D' }).text).toBe('Not saved: possible is −30 to 30 D.');
  expect(judge(101, { least: 0, most: 100, unit: 'percent' }).text).toBe('Not saved: possible is 0 to 100 %.');
  expect(judge(7, { least: 1, most: 5, unit: '' }).text).toBe('Not saved: possible is 1 to 5.');
});

test('an end that is not usual by a limit of its own is that of the possible', () => {
  expect(judge(31, { least: 0, most: 100, warnHigh: 30, unit: 'mmHg' }).text).toContain('0 to 30 mmHg');
  expect(judge(1, { least: 0, most: 100, warnHigh: 30, unit: 'mmHg' }).kind).toBe('taken');
});

test('unknown, and what has no range, is taken', () => {
  expect(judge(undefined, length).kind).toBe('taken');
  expect(judge(1e9, undefined).kind).toBe('taken');
});
