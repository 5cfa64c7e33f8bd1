import { expect, test } from 'vitest';
import { recalibrationFacts } from './recalibration';

test('observed and expected are told as counts of the same operations', () => {
  const r = { on: true, from: '2025-01-01', to: '2026-01-01', operations: 250, inWindow: 300, observed: 5 };
  expect(recalibrationFacts({ ...r, oddsMultiplier: 0.6231, expectedPercent: 3.2 })).toEqual({
    multiplier: '0.62',
    observed: '5 of 250 (2.0 %)',
    expected: '8.0 of 250 (3.2 %)',
    base: '250 of 300 operations, those with every risk factor known',
  });
  expect(recalibrationFacts({ ...r, oddsMultiplier: null, expectedPercent: null })).toBeUndefined();
});
