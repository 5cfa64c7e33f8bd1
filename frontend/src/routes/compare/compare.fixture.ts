import type { ComparePoint, CompareRow, LaneResult } from '../../lib/api/compare';

export const point = (by: Partial<ComparePoint> = {}): ComparePoint => ({
  date: '2026-03-04',
  total: 90_000,
  grade: 3,
  part: false,
  at: null,
  ...by,
});

export const lane = (by: Partial<LaneResult> = {}): LaneResult => ({
  operator: 'a',
  name: 'Ada Quill',
  own: false,
  n: 12,
  points: [],
  median: 95_000,
  q1: 80_000,
  q3: 120_000,
  medianLow: 82_000,
  medianHigh: 118_000,
  raw: { ratio: 1.2, low: 1.05, high: 1.4, shrunken: false },
  adjusted: { ratio: 1.02, low: 0.9, high: 1.15, shrunken: true },
  alone: null,
  ...by,
});

export const row = (lanes: LaneResult[], by: Partial<CompareRow> = {}): CompareRow => ({
  kind: 'step',
  code: 'capsulorhexis',
  name: 'Capsulorhexis',
  group: {
    n: 80,
    operators: 6,
    median: 92_000,
    q1: 70_000,
    q3: 110_000,
    p5: 50_000,
    p95: 160_000,
    spread: [50_000, 92_000],
  },
  lanes,
  leftOut: [],
  adjustedFor: ['nuclear grade', 'pupil'],
  dropped: [],
  fellOut: [],
  notes: [],
  ...by,
});
