import { expect, test } from 'vitest';
import type { Converted } from '../api/record';
import { acuityText, gainText } from './acuity';

const of = (typed: string, rest: Partial<Converted>): Converted => ({
  typed,
  decimal: null,
  logMAR: null,
  convention: '',
  why: '',
  ...rest,
});

test('a Snellen fraction is shown as logMAR and decimal', () => {
  // 6/9 is decimal 2/3 and logMAR 0.176: arithmetic.
  const six9 = of('6/9', { decimal: 6 / 9, logMAR: Math.log10(9 / 6) });
  expect(acuityText('6/9', six9)).toBe('logMAR 0.18, decimal 0.67');
  expect(acuityText(' 6/9 ', six9)).toBe('logMAR 0.18, decimal 0.67');
  expect(acuityText('6/5', of('6/5', { decimal: 1.2, logMAR: Math.log10(5 / 6) }))).toBe('logMAR −0.08, decimal 1.2');
  expect(acuityText('6/6', of('6/6', { decimal: 1, logMAR: -0 }))).toBe('logMAR 0.00, decimal 1');
});

test('a category names the published value that stands for it, or why none does', () => {
  expect(acuityText('CF', of('CF', { decimal: 0.0105, logMAR: 1.98, convention: 'Lange 2009' }))).toBe(
    'logMAR 1.98, decimal 0.011 (Lange 2009)',
  );
  const why = 'Light perception and none do not become numbers.';
  expect(acuityText('LP', of('LP', { why }))).toBe(why);
  expect(acuityText('good', of('good', { why: '"good" is not an acuity; write 6/9' }))).toBe(
    'kept as typed, not converted',
  );
});

test('nothing is said of what is still being typed', () => {
  const six9 = of('6/9', { decimal: 0.67, logMAR: 0.18 });
  expect(acuityText('6/96', six9)).toBe('');
  expect(acuityText(undefined, six9)).toBe('');
  expect(acuityText('6/9', null)).toBe('');
});

test('a gain says which way', () => {
  expect(gainText(0.301)).toBe('0.30 logMAR better');
  expect(gainText(-0.1)).toBe('0.10 logMAR worse');
  expect(gainText(0.001)).toBe('the same');
  expect(gainText(null)).toBe('');
});
