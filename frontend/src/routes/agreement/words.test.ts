import { expect, it } from 'vitest';
import type { Agreement, Boundaries, ReadingsBeside, StepAgreement } from '../../lib/api/agreement';
import { agreementSummary, agreementTable, besideSummary, besideTable, seconds, share, stepSummary } from './words';

const boundaries: Boundaries = {
  matched: 4,
  unmatchedA: 1,
  unmatchedB: 0,
  within: 3,
  meanAbs: 500,
  medianAbs: 400,
  p90Abs: 1900,
  meanSigned: -100,
};
const beside = {
  items: [{ kind: 'step', code: 'cortex', name: 'Cortex removal' }],
  extent: { start: 0, end: 120_000 },
  differences: [
    { start: 0, end: 800, first: 'cortex', second: '', within: true },
    { start: 60_000, end: 70_000, first: 'cortex', second: '', within: false },
  ],
  agreement: {
    labels: [{ label: 'cortex', totalA: 60_000, totalB: 50_000, iou: 0.83, boundaries }],
    kappa: 0.871,
    boundaries,
  },
} as unknown as ReadingsBeside;

it('says what a number does not exist by saying nothing', () => {
  expect(seconds(null)).toBe('');
  expect(seconds(1234)).toBe('1.2 s');
  expect(share(undefined)).toBe('');
});

it('counts only differences above a second', () => {
  expect(besideSummary(beside)).toContain('differ in one place, together 0:10 of 2:00');
  expect(besideSummary(beside)).toContain('kappa over the time is 0.87');
  expect(besideSummary({ ...beside, differences: null })).toContain('agree everywhere');
});

it('lists the steps of a case', () => {
  const [row] = besideTable(beside).rows;
  expect(row).toEqual(['Cortex removal', '60.0 s', '50.0 s', '0.83', 4, 3, '0.4 s', '1.9 s', 1]);
});

const estimate = (value: number) => ({ value, interval: null });
const step = {
  kind: 'step',
  code: 'cortex',
  name: 'Cortex removal',
  both: 12,
  onlyFirst: 1,
  onlySecond: 0,
  points: [],
  limits: { bias: estimate(-1500), lower: estimate(-9000), upper: estimate(6000) },
  overlap: 0.9,
  boundaries,
} as StepAgreement;

it('says which reading is longer, and how far single cases are apart', () => {
  expect(stepSummary(step)).toBe(
    '12 cases. On average the first reading is 1.5 s longer; in 95 of 100 cases the second minus the first lies between -9.0 s and 6.0 s.',
  );
  expect(stepSummary({ ...step, both: 1, limits: null, why: 'Limits need five cases.' })).toBe(
    'One case. Limits need five cases.',
  );
});

it('tells how many cases, and the interval when there is one', () => {
  const all: Agreement = {
    cases: 12,
    leftOut: [],
    kappa: { value: 0.9, interval: { lower: 0.85, upper: 0.94 } },
    steps: [step],
    notes: [],
    methods: [],
  };
  expect(agreementSummary(all)).toContain('0.90, 95 % interval 0.85 to 0.94');
  expect(agreementSummary({ ...all, kappa: { value: 0.9, interval: null } })).toContain('needs five cases');
  expect(agreementSummary({ ...all, cases: 0 })).toContain('No case');
  expect(agreementTable(all).rows[0]?.slice(0, 6)).toEqual(['Cortex removal', 12, 1, 0, '-1.5 s', '-9.0 s to 6.0 s']);
});
