import { describe, expect, test } from 'vitest';
import type { CaseExposure, CaseLoss, LevelComplication } from '../../lib/api/level';
import { exposureTable, lossLines, placeLines, placeText, shareText, stepText, valueText } from './beside';

const exposure = (change: Partial<CaseExposure>): CaseExposure => ({
  code: 'operation',
  name: 'operation time',
  unit: 'min',
  exposure: { kind: 'operation', code: '', scale: '' },
  value: 14.25,
  n: 34,
  reference: { n: 34, mean: 13, sd: 3, median: 13.35, q1: 11, q3: 15.68 },
  percentile: 59,
  why: '',
  ...change,
});

test('a place never claims the very first or last of a group', () => {
  expect([0, 0.4, 1, 2.2, 3, 11, 12.4, 21, 87.5, 99.9, 100].map(placeText)).toEqual([
    '1st',
    '1st',
    '1st',
    '2nd',
    '3rd',
    '11th',
    '12th',
    '21st',
    '88th',
    '99th',
    '99th',
  ]);
});

test('values have their unit, minutes are a length of time', () => {
  expect(valueText(exposure({}), 14.25)).toBe('14:15');
  expect(valueText(exposure({ unit: 'ml' }), 68.25)).toBe('68.3 ml');
  expect(valueText(exposure({ unit: '' }), 2)).toBe('2');
});

describe('the lines of the places', () => {
  test('the highest and lowest tenth are marked', () => {
    const strong = [9.9, 10, 90, 90.1].map((percentile) => placeLines([exposure({ percentile })])[0]?.strong);
    expect(strong).toEqual([true, false, false, true]);
  });
  test('what has no place says why, and nothing is drawn', () => {
    const few = placeLines([exposure({ percentile: null, reference: null, n: 7, why: 'Known of 7 other cases.' })])[0];
    expect(few?.main).toBeUndefined();
    expect(few?.why).toBe('14:15, n 7');
    expect(placeLines([exposure({ value: null, percentile: null })])[0]?.why).toBe('not known');
  });
  test('the table holds what is drawn and what is missing', () => {
    const rows = exposureTable([
      exposure({}),
      exposure({ value: null, percentile: null, reference: null, n: 3, why: 'Not tagged.' }),
    ]).rows;
    expect(rows[0]).toEqual(['Operation time', '14:15', 34, '13:21', '11:00', '15:41', '59th', '']);
    expect(rows[1]).toEqual(['Operation time', null, 3, null, null, null, null, 'Not tagged.']);
  });
});

test('a loss without counting error has no interval of its own', () => {
  const loss: CaseLoss = {
    window: 'month-1',
    observed: 22,
    observedLow: null,
    observedHigh: null,
    expected: 17.24,
    low: 12.4,
    high: 21.7,
    beyond: true,
    below: false,
    n: 34,
    adjustedFor: [],
    text: '',
  };
  const [expected, counted] = lossLines(loss);
  expect(expected?.main?.text).toBe('17.2 % (12.4 to 21.7)');
  expect(counted).toMatchObject({ strong: true, main: { low: 22, high: 22, text: '22.0 %' } });
  expect(lossLines({ ...loss, observedLow: 14.5, observedHigh: 28.9 })[1]?.main?.text).toBe('22.0 % (14.5 to 28.9)');
});

test('a share of fewer than five has no percentage', () => {
  expect(shareText({ events: 1, cases: 3, percent: null, low: null, high: null })).toBe('1 of 3');
  expect(shareText({ events: 2, cases: 24, percent: 8.33, low: 2.32, high: 25.85 })).toBe(
    '2 of 24, 8.3 % (95 % interval 2.3 to 25.9)',
  );
});

describe('the step before a complication', () => {
  const before = {
    minutes: 3,
    span: { start: 60_000, end: 240_000 },
    events: [],
    gaps: [],
    unrecorded: [],
    since: 225_000,
    stepLength: 30_000,
    stepQuality: 'measured',
    stepReference: { n: 24, median: 31_500, q1: 25_750, q3: 37_250 },
  };
  const rupture = { stepName: 'cortex removal', clock: 240_000, before } as unknown as LevelComplication;
  test('how long it had run, took and takes', () => {
    expect(stepText(rupture)).toBe(
      'Cortex removal had run for 0:15; with what followed it took 0:30 in all. Others took 0:32 at the median, half of them 0:26 to 0:37 (24 cases).',
    );
  });
  test('a lower bound says so, few others are not placed, no step is told', () => {
    const few = { ...before, stepQuality: 'lower-bound', stepReference: { n: 7, median: null, q1: null, q3: null } };
    expect(stepText({ ...rupture, before: few })).toBe(
      'Cortex removal had run for 0:15; with what followed it took at least 0:30 in all. Others: 7 cases, too few to place.',
    );
    expect(stepText({ ...rupture, before: { ...before, since: null } })).toBe('No marked step was running.');
    expect(stepText({ ...rupture, before: null })).toBe('');
  });
});
