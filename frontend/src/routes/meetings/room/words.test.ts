import { expect, test } from 'vitest';
import { endText, leftText } from './words';

test.each([
  [10, 0, '10 of 10 min left'],
  [10, 30_000, '10 of 10 min left'],
  [10, 8 * 60_000, '2 of 10 min left'],
  [10, 9.5 * 60_000, 'less than 1 min left'],
  [10, 10.5 * 60_000, 'time is up'],
  [10, 12.5 * 60_000, '2 min over'],
  [0, 60_000, ''],
])('%i minutes after %i ms: %s', (minutes, gone, want) => {
  expect(leftText(minutes, 1000, 1000 + gone)).toBe(want);
});

test('why the line ended is told, whatever the reason', () => {
  expect(endText('closed')).toContain('no longer open to you');
  expect(endText('signed-out')).toContain('Sign in again');
  expect(endText('new reason')).toBe('The server ended the connection.');
});
