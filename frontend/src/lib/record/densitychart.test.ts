import { expect, test } from 'vitest';
import type { DensityPoint } from '../api/record';
import { layDensities } from './densitychart';

const point = (by: Partial<DensityPoint>): DensityPoint => ({
  eye: 'OD',
  window: '',
  visitId: '',
  date: '2026-03-01',
  density: 2400,
  low: null,
  high: null,
  loss: null,
  expectedWithoutSurgery: null,
  flags: [],
  ...by,
});
const before = point({ low: 2300, high: 2500 });
const month1 = point({ window: 'month-1', visitId: 'b', date: '2026-03-29', density: 2100, low: 1980, high: 2230 });
const year1 = point({
  window: 'year-1',
  visitId: 'c',
  date: '2027-03-01',
  density: 2050,
  expectedWithoutSurgery: 2386,
});
const fellow = point({ eye: 'OS', density: 2405 });

test('columns go by time, the eye before first, whatever the order of the counts', () => {
  const { columns } = layDensities([year1, month1, before], 'OD', 700);
  expect(columns.map((c) => c.name)).toEqual(['Before', 'Month 1', 'Year 1']);
  expect(columns.map((c) => c.x)).toEqual([...columns.map((c) => c.x)].sort((a, b) => a - b));
});

test('a higher count stands higher, and its bar reaches from the low to the high end', () => {
  const { marks, axis, top, bottom } = layDensities([before, month1, year1], 'OD', 700);
  const [first, second, third] = marks;
  expect(first?.y).toBeLessThan(second?.y ?? 0);
  expect(first?.bar).toEqual({ top: axis.at(2500), bottom: axis.at(2300) });
  expect(first?.bar?.top).toBeLessThan(first?.y ?? 0);
  expect(third?.bar).toBeUndefined();
  for (const v of [1980, 2500, 2386]) {
    expect(axis.at(v)).toBeGreaterThan(top);
    expect(axis.at(v)).toBeLessThan(bottom);
  }
});

test('the eyes stand beside each other in a column, their figures on the outer sides', () => {
  const { marks } = layDensities([before, month1, fellow], 'OD', 700);
  const [own, , other] = marks;
  expect((other?.x ?? 0) - (own?.x ?? 0)).toBe(18);
  expect([own?.anchor, other?.anchor]).toEqual(['end', 'start']);
  expect([own?.operated, other?.operated]).toEqual([true, false]);
});

test('each eye is named once, at its last count; one eye alone needs no name', () => {
  const names = (points: DensityPoint[]) => layDensities(points, 'OD', 700).marks.map((m) => m.name);
  expect(names([month1, before, fellow])).toEqual(['operated', '', 'fellow']);
  expect(names([before, month1])).toEqual(['', '']);
});

test('one count has no way', () => {
  const { ways, marks } = layDensities([before], 'OD', 700);
  expect(ways.map((w) => w.path)).toEqual(['', '']);
  expect(marks).toHaveLength(1);
});

test('what ageing alone would have left is marked only where it is told', () => {
  const { expected, axis } = layDensities([before, month1, year1], 'OD', 700);
  expect(expected.map((e) => e.y)).toEqual([axis.at(2386)]);
});

test('on a phone everything stays within the width and dates give way', () => {
  const visits = ['d', 'e', 'f'].map((visitId, i) => point({ window: 'other', visitId, date: `2026-0${5 + i}-01` }));
  const { marks, columns } = layDensities([before, month1, ...visits, fellow], 'OD', 340);
  for (const m of marks) {
    expect(m.x).toBeGreaterThan(0);
    expect(m.x).toBeLessThan(340);
  }
  expect(columns.every((c) => c.date === '')).toBe(true);
});
