import { describe, expect, test } from 'vitest';
import { dateText, daysAfter, daysBetween, duration, parseDuration, rateText, sizeText } from './format';
import { momentAddress, momentText, timeText } from './moment';
import { fractionOf, numberText, parseNumber } from './number';

describe('duration', () => {
  test.each([
    [0, '0:00'],
    [499, '0:00'],
    [500, '0:01'],
    [59_499, '0:59'],
    [59_500, '1:00'],
    [61_000, '1:01'],
    [754_000, '12:34'],
    [3_599_999, '1:00:00'],
    [3_661_000, '1:01:01'],
    [-1500, '−0:02'],
  ])('%i ms is %s', (ms, text) => expect(duration(ms)).toBe(text));
});

describe('parseDuration', () => {
  test.each([
    ['12', 12_000],
    ['12.5', 12_500],
    ['0:07', 7000],
    ['12:34', 754_000],
    ['12:34,5', 754_500],
    ['1:01:01', 3_661_000],
    ['90:00', 5_400_000],
  ])('%s is %i ms', (text, ms) => expect(parseDuration(text)).toBe(ms));
  test.each(['', 'x', '1:60', '1:60:00', '1:2:3:4', '-5', '1:'])('%j is none', (text) =>
    expect(parseDuration(text)).toBeUndefined(),
  );
  test('whole seconds come back', () => {
    for (let ms = 0; ms < 8_000_000; ms += 37_000) expect(parseDuration(duration(ms))).toBe(ms);
  });
});

test('dates', () => {
  expect(dateText('2026-03-04')).toBe('4 Mar 2026');
  expect(dateText('2026-13-04')).toBe('2026-13-04');
  expect(daysAfter('2026-02-27', 2)).toBe('2026-03-01');
  expect(daysAfter('2028-02-27', 2)).toBe('2028-02-29');
  expect(daysBetween('2026-03-28', '2026-03-30')).toBe(2);
  expect(daysBetween('2026-03-28', '')).toBeUndefined();
});

test('sizes and rates', () => {
  expect([0, 999, 1500, 2_400_000_000, 999_700].map(sizeText)).toEqual(['0 B', '999 B', '1.5 kB', '2.4 GB', '1.0 MB']);
  expect(rateText({ num: 30000, den: 1001 })).toBe('29.97 frames/s');
  expect(rateText({ num: 25, den: 1 })).toBe('25 frames/s');
  expect(rateText({ num: 0, den: 0 })).toBe('');
});

test('moments', () => {
  expect(timeText(151_480)).toBe('2:31.4');
  expect(timeText(59_999)).toBe('0:59.9');
  const at = { part: 'p', ms: 12_345 };
  expect(momentAddress('c', at)).toBe('/cases/c/operation#part=p&t=12.345');
  expect(momentText(at, [])).toBe('0:12.3');
});

test('numbers as people type them', () => {
  expect(['12,5', ' 7 ', '-0.5', '.5', '5.'].map(parseNumber)).toEqual([12.5, 7, -0.5, 0.5, 5]);
  expect(parseNumber('')).toBeUndefined();
  expect(['x', '1e3', '1.2.3', '0x10', '--1'].map(parseNumber)).toEqual(Array(5).fill(Number.NaN));
  expect(numberText(0.1 + 0.2)).toBe('0.3');
  expect(numberText(undefined)).toBe('');
  // 30 on input means 0.30 (computation of the endothelium: common practice of the instruments).
  expect([30, 0.3, 1, 1.5, 55.5].map(fractionOf)).toEqual([0.3, 0.3, 1, 1.5, 0.555]);
});
