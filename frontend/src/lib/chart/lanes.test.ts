import { expect, test } from 'vitest';
import { type Lane, layLanes } from './lanes';
import { looks } from './mark';
import { spread } from './spread';
import { nearest, walk } from './walk';

const lane = (name: string, values: number[]): Lane => ({
  name,
  tone: 'named',
  n: values.length,
  points: values.map((value) => ({ value, shape: 'disc', text: [String(value)] })),
});

test('lanes stand below each other and points keep their place in time', () => {
  const layout = layLanes([lane('A', [10_000, 40_000]), lane('B', [20_000])], undefined, 'time', 900);
  const [a, b, c] = layout.spots;
  expect(a?.lane).toBe(0);
  expect(c?.lane).toBe(1);
  expect((a?.x ?? 0) < (c?.x ?? 0) && (c?.x ?? 0) < (b?.x ?? 0)).toBe(true);
  expect((c?.x ?? 0) - (a?.x ?? 0)).toBeCloseTo((b?.x ?? 0) - (c?.x ?? 0), 6);
  expect(layout.height).toBeGreaterThan(layout.bottom);
});

test('on a phone names stand above, and everything stays within the width', () => {
  const layout = layLanes(
    [lane('A', [10_000, 40_000])],
    { low: 5000, q1: 9000, median: 12_000, q3: 20_000, high: 90_000 },
    '',
    340,
  );
  expect(layout.stacked).toBe(true);
  for (const s of layout.spots) {
    expect(s.x).toBeGreaterThan(0);
    expect(s.x).toBeLessThan(340);
  }
});

test('a few points do not cover each other, and stay in their lane', () => {
  const x = [50, 51, 52, 70, 74];
  const y = spread(x, 6, 10);
  for (let i = 0; i < x.length; i++) {
    expect(Math.abs(y[i] ?? 99)).toBeLessThanOrEqual(10);
    for (let j = 0; j < i; j++) {
      expect(Math.hypot((x[i] ?? 0) - (x[j] ?? 0), (y[i] ?? 0) - (y[j] ?? 0))).toBeGreaterThan(5.9);
    }
  }
  expect(spread(x, 6, 10)).toEqual(y);
  expect(spread([10], 6, 10)).toEqual([0]);
  for (const offset of spread(Array(40).fill(5), 6, 10)) expect(Math.abs(offset)).toBeLessThanOrEqual(10);
});

test('a crowd is strewn over the whole lane', () => {
  const y = spread(
    Array.from({ length: 1000 }, () => 5),
    4,
    10,
  );
  expect(Math.min(...y)).toBeLessThan(-9.5);
  expect(Math.max(...y)).toBeGreaterThan(9.5);
});

test('one path for each look, the own ones last', () => {
  const marks = [
    { x: 1, y: 1, shape: 'disc', tone: 'own' },
    { x: 2, y: 2, shape: 'disc', tone: 'rest' },
    { x: 3, y: 3, shape: 'triangle', tone: 'own' },
    { x: 4, y: 4, shape: 'disc', tone: 'own' },
  ] as const;
  const drawn = looks(marks);
  expect(drawn.map((l) => `${l.tone} ${l.shape}`)).toEqual(['rest disc', 'own disc', 'own triangle']);
  expect(drawn[1]?.path.match(/M/g)).toHaveLength(2);
});

test('by pointer to the nearest within reach', () => {
  const spots = [
    { x: 10, y: 10 },
    { x: 30, y: 10 },
  ];
  expect(nearest(spots, 24, 10)).toBe(1);
  expect(nearest(spots, 100, 100)).toBe(-1);
});

test('by key along a lane and to the next one', () => {
  const { spots } = layLanes(
    [lane('A', [40_000, 10_000]), lane('none', []), lane('B', [12_000, 39_000])],
    undefined,
    '',
    900,
  );
  const first = walk(spots, -1, 'ArrowRight');
  expect(spots[first]?.text).toEqual(['10000']);
  expect(spots[walk(spots, first, 'ArrowLeft')]?.text).toEqual(['10000']);
  const second = walk(spots, first, 'ArrowRight');
  expect(spots[second]?.text).toEqual(['40000']);
  expect(spots[walk(spots, second, 'ArrowDown')]?.text).toEqual(['39000']);
  expect(spots[walk(spots, second, 'ArrowUp')]?.text).toEqual(['40000']);
  expect(walk([], -1, 'ArrowRight')).toBe(-1);
});

test('five thousand points are laid out and drawn well within a frame or two', () => {
  const values = Array.from({ length: 5000 }, (_, i) => 1000 * Math.exp(((i * 7919) % 5000) / 1200));
  const lanes = [lane('A', values)];
  layLanes(lanes, undefined, '', 900);
  const start = performance.now();
  const paths = looks(layLanes(lanes, undefined, '', 900).spots);
  expect(performance.now() - start).toBeLessThan(250);
  expect(paths).toHaveLength(1);
});
