import { expect, test } from 'vitest';
import { broken } from './control';
import { funnelView } from './funnel';
import { layIntervals, runsOn } from './intervals';
import { csvText, fileName } from './table';
import { layXY, type XYShape } from './xy';

const shape: XYShape = {
  x: { kind: 'log', label: 'case' },
  y: { kind: 'time', label: 'time' },
  points: [
    { x: 1, y: 80_000, tone: 'own', shape: 'disc', text: [] },
    { x: 16, y: 20_000, tone: 'own', shape: 'disc', text: [] },
  ],
  lines: [
    {
      points: [
        { x: 1, y: 80_000 },
        { x: 16, y: 20_000 },
      ],
      kind: 'main',
    },
  ],
  bands: [
    {
      points: [
        { x: 1, low: 60_000, high: 100_000 },
        { x: 16, low: 10_000, high: 30_000 },
      ],
    },
  ],
  rules: [{ across: 'y', at: 30_000, text: 'the group' }],
};

test('longer stands higher, later stands to the right, all within the ground', () => {
  const layout = layXY(shape, 600, 300);
  const [first, last] = layout.spots;
  expect((first?.y ?? 0) < (last?.y ?? 0)).toBe(true);
  expect((first?.x ?? 0) < (last?.x ?? 0)).toBe(true);
  for (const s of layout.spots) {
    expect(s.x).toBeGreaterThanOrEqual(layout.left);
    expect(s.x).toBeLessThanOrEqual(layout.right);
    expect(s.y).toBeGreaterThanOrEqual(layout.top);
    expect(s.y).toBeLessThanOrEqual(layout.bottom);
  }
  const rule = layout.rules[0];
  expect((rule?.at ?? 0) > (first?.y ?? 0) && (rule?.at ?? 0) < (last?.y ?? 0)).toBe(true);
  expect(layout.bands[0]).toMatch(/^M.*Z$/);
});

test('a stepped line holds each value until the next', () => {
  const layout = layXY(
    {
      ...shape,
      bands: [],
      lines: [
        {
          points: [
            { x: 1, y: 20_000 },
            { x: 16, y: 80_000 },
          ],
          kind: 'main',
          stepped: true,
        },
      ],
    },
    600,
    300,
  );
  expect(layout.lines[0]?.path.match(/L/g)).toHaveLength(2);
});

test('a chart of nothing is still a chart', () => {
  const layout = layXY({ ...shape, points: [], lines: [], bands: [], rules: [] }, 300, 200);
  expect(layout.spots).toEqual([]);
  expect(layout.x.ticks.every((t) => Number.isFinite(t.at))).toBe(true);
});

test('a wild interval runs on past the end of the axis instead of pressing the others together', () => {
  const sure = { value: 1.1, low: 0.9, high: 1.3, text: '' };
  const wild = { value: 3, low: 0.05, high: 80, text: '' };
  const layout = layIntervals(
    [
      { name: 'a', main: sure },
      { name: 'b', main: wild },
    ],
    { kind: 'ratio', label: '', neutral: 1, pitch: 30, head: 20 },
    500,
  );
  const way = (v: number) => runsOn(v, layout.axis, layout.right, layout.left);
  expect([way(sure.low), way(sure.high), way(wild.low), way(wild.high)]).toEqual([0, 0, -1, 1]);
  expect(layout.lines.map((l) => l.y)).toEqual([35, 65]);
});

test('a table as a file', () => {
  const text = csvText({
    columns: [{ name: 'Name' }, { name: 'Ratio', number: true }],
    rows: [
      ['=1+1', 1.25],
      ['a "b", c', null],
    ],
  });
  expect(text).toBe('\uFEFFName,Ratio\r\n\'=1+1,1.25\r\n"a ""b"", c",\r\n');
  expect(fileName('Step times: capsule!')).toBe('step-times-capsule.csv');
});

test('a review parts the line of a control chart', () => {
  const series = [1, 2, 3, 4, 5].map((x) => ({ x }));
  expect(broken(series, [3])).toEqual([
    [{ x: 1 }, { x: 2 }],
    [{ x: 3 }, { x: 4 }, { x: 5 }],
  ]);
  expect(broken(series, [9, 1])).toEqual([series]);
  expect(broken([], [3])).toEqual([]);
});

test('a funnel is shown where its operators are', () => {
  const limits = [1, 10, 50, 100, 200].map((n) => ({ n, low: 0, high: 100 / n + 2 }));
  const view = funnelView(
    [
      { x: 100, y: 3 },
      { x: 180, y: 1 },
    ],
    limits,
    limits,
    2,
  );
  expect(view.inner.map((l) => l.n)).toEqual([50, 100, 200]);
  expect(view.top).toBeCloseTo(1.1 * 4, 9);
  expect(funnelView([], [], [], 0).top).toBe(1);
});
