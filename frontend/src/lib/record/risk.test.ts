import { expect, test } from 'vitest';
import type { ExpectedRisk, RiskFactor } from '../api/record';
import { factorField, ratioText, riskText, unknownText } from './risk';

test('a known risk is one number, one with unknown factors a range', () => {
  expect(riskText({ percent: 0.736, lowPercent: 0.736, highPercent: 0.736 })).toBe('0.7 %');
  expect(riskText({ percent: null, lowPercent: 0.52, highPercent: 12.34 })).toBe('0.5 to 12.3 %');
});

test('an odds ratio that is known is one number', () => {
  expect(ratioText({ low: 1.28, high: 1.28 })).toBe('1.28');
  expect(ratioText({ low: 1, high: 2.99 })).toBe('1.00 to 2.99');
});

test('an unknown factor leads to where it is entered', () => {
  expect(factorField('axialLength')).toBe('before.axialLength');
  expect(factorField('grade')).toBe('operators');
});

test('unknown factors are counted', () => {
  const of = (...known: boolean[]) => ({ factors: known.map((k) => ({ known: k }) as RiskFactor) }) as ExpectedRisk;
  expect(unknownText(of(true, true))).toBe('');
  expect(unknownText(of(true, false))).toBe('one factor is unknown');
  expect(unknownText(of(false, false, true))).toBe('2 factors are unknown');
});
