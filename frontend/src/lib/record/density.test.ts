import { expect, test } from 'vitest';
import type { DensityLoss, DensityPoint } from '../api/record';
import { densitySummary, densityTable, lossText, pointFindings, thicknessText, verdictOf } from './density';

const loss: DensityLoss = {
  lossPercent: 10.2,
  low: 4.13,
  high: 15.9,
  beyondCountingError: true,
  smallestTold: 8,
  expectedWithoutSurgery: null,
  instrumentMismatch: false,
  notes: [],
};
const point = (by: Partial<DensityPoint>): DensityPoint => ({
  eye: 'OD',
  window: 'month-1',
  visitId: 'v',
  date: '2026-03-29',
  density: 2155.4,
  low: null,
  high: null,
  loss,
  expectedWithoutSurgery: null,
  flags: [],
  ...by,
});

test('a loss stands with its interval and says whether it is beyond counting error', () => {
  expect(pointFindings(point({}))).toEqual([
    'Loss of endothelial cells 10.2 % (4.1 to 15.9 %), 95 % interval of counting error, beyond counting error.',
  ]);
  const within = { ...loss, lossPercent: 3, low: -2.5, high: 8.1, beyondCountingError: false };
  expect(pointFindings(point({ loss: within }))).toEqual([
    'Loss of endothelial cells 3.0 % (−2.5 to 8.1 %), 95 % interval of counting error, within counting error: it may be no loss at all.',
  ]);
});

test('what is not known is said, and nothing is made of it', () => {
  const unknown = { ...loss, low: null, high: null, beyondCountingError: null, notes: ['Different instruments.'] };
  expect(pointFindings(point({ loss: unknown }))).toEqual([
    'Loss of endothelial cells 10.2 %, counting error not known.',
    'Different instruments.',
  ]);
  const none = { ...unknown, lossPercent: null };
  expect(pointFindings(point({ loss: none }))).toEqual(['Different instruments.']);
  expect([lossText(none), verdictOf(none), lossText(null), verdictOf(null)]).toEqual(['', '', '', '']);
});

test('a gain, ageing and flags', () => {
  const gain = { ...loss, lossPercent: -2, low: null, high: null, beyondCountingError: null };
  expect(
    pointFindings(point({ loss: gain, expectedWithoutSurgery: 2385.6, flags: ['density under 1000 cells/mm²'] })),
  ).toEqual([
    'Gain of endothelial cells; loss −2.0 %, counting error not known.',
    'Ageing alone would have left 2386 cells/mm².',
    'Beyond the limit of the unit: density under 1000 cells/mm².',
  ]);
});

test('thickness is told against the eye before', () => {
  expect(thicknessText(540, 567)).toBe('5.0 % thicker');
  expect(thicknessText(540, 533)).toBe('1.3 % thinner');
  expect(thicknessText(undefined, 533)).toBe('');
});

const counts = [
  point({ window: '', visitId: '', date: '2026-03-01', density: 2400, low: 2300, high: 2504, loss: null }),
  point({}),
  point({ eye: 'OS', window: '', visitId: '', density: 2450, loss: null }),
];

test('the summary tells both eyes, the operated one first', () => {
  expect(densitySummary(counts, 'OD')).toBe(
    'The right eye, operated: before 2400 cells/mm²; month 1 2155 cells/mm², loss 10.2 % (4.1 to 15.9 %), beyond counting error. ' +
      'The left eye, fellow eye: before 2450 cells/mm².',
  );
  expect(densitySummary([], 'OD')).toBe('');
});

test('the table has a row for each count and leaves empty what is not known', () => {
  const { columns, rows } = densityTable(counts, 'OD');
  for (const row of rows) expect(row).toHaveLength(columns.length);
  expect(rows[0]).toEqual(['Before', '1 Mar 2026', 'operated (OD)', '2400', '2300 to 2504', null, null, null]);
  expect(rows[2]?.[2]).toBe('fellow (OS)');
});
