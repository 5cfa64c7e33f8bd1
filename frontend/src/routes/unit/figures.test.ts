import { expect, test } from 'vitest';
import { drawn, percentText, rateText, scaleEnd, shareText } from './figures';
import { emptyFilter, periods, readFilter, writeFilter } from './filter';

const rate = (percent: number, low: number, high: number) => ({ percent, low, high });
const none = { percent: null, low: null, high: null };

test('a share has its interval, or says why there is none', () => {
  // 5 of 280 with Wilson's interval, by arithmetic.
  expect(rateText(rate(1.7857, 0.7651, 4.1114))).toBe('1.8 % (0.77 to 4.1)');
  expect(rateText(none)).toBe('no percentage: fewer than 5');
  expect(percentText(0)).toBe('0.0');
  expect(percentText(0.04)).toBe('0.04');
});

test('nearly all is not all, and fewer than five have no percentage', () => {
  expect(shareText(999, 1000)).toBe('99 %');
  expect(shareText(1, 1000)).toBe('1 %');
  expect(shareText(0, 1000)).toBe('0 %');
  expect(shareText(12, 12)).toBe('100 %');
  expect(shareText(4, 4)).toBeUndefined();
});

test('all rates stand on one scale with a round end', () => {
  expect(scaleEnd([rate(1, 0.5, 1.9), none])).toBe(2);
  expect(scaleEnd([rate(30, 20, 61)])).toBe(100);
  expect(scaleEnd([])).toBe(1);
  expect(drawn(rate(5, 2, 12), 10)).toEqual({ low: 20, high: 100, at: 50 });
  expect(drawn(none, 10)).toBeUndefined();
});

test('the filter comes back from its address', () => {
  const filter = { from: '2026-01-01', to: '2026-06-30', technique: 'phaco', operator: 'u1' };
  expect(readFilter(writeFilter(filter))).toEqual(filter);
  expect(writeFilter(emptyFilter)).toBe('');
  expect(periods('2026-11-25').map((p) => [p.from, p.to])).toEqual([
    ['', ''],
    ['2025-11-25', '2026-11-25'],
    ['2026-01-01', '2026-11-25'],
    ['2025-01-01', '2025-12-31'],
  ]);
});
