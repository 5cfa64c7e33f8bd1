import { expect, test } from 'vitest';
import { showing } from './consent';

// The same table as TestShowable of package annotate.
test.each([
  [{}, false],
  [{ review: 'yes' }, true],
  [{ recording: 'yes', review: 'yes' }, true],
  [{ recording: 'yes' }, false],
  [{ recording: 'yes', review: 'no' }, false],
  [{ recording: 'no', review: 'yes' }, false],
  [{ recording: 'yes', review: 'yes', withdrawnOn: '2026-06-01' }, false],
] as const)('%o is shown: %s', (consent, shown) => {
  const told = showing(consent);
  expect(told.shown).toBe(shown);
  expect(told.text.startsWith('Not shown: ')).toBe(!shown);
});

test('the day on which it was taken back is said', () => {
  expect(showing({ review: 'yes', withdrawnOn: '2026-06-01' }).text).toContain('1 Jun 2026');
});
