import type { Definition, OutcomeChoices, Relation, Size, StudyResult } from '../../lib/api/study';

export const definition = (by: Partial<Definition> = {}): Definition => ({
  outcome: { kind: 'loss', window: 'month-1', complication: '' },
  exposures: [{ kind: 'stage', code: 'nucleus', scale: 'doubling' }],
  adjust: null,
  population: {
    technique: 'phaco',
    from: '',
    to: '',
    gradeFrom: null,
    gradeTo: null,
    operator: '',
    withRuptures: false,
  },
  ...by,
});

export const choices = (by: Partial<OutcomeChoices> = {}): OutcomeChoices => ({
  outcomes: [
    {
      kind: 'loss',
      name: 'loss of endothelial cells',
      windows: [
        { window: 'week-1', name: 'week 1', n: 12 },
        { window: 'month-1', name: 'month 1', n: 150 },
        { window: 'month-3', name: 'month 3', n: 60 },
      ],
      complications: [],
      usual: ['nuclearGrade', 'age'],
    },
    {
      kind: 'acuity',
      name: 'gain of acuity',
      windows: [
        { window: 'week-1', name: 'week 1', n: 170 },
        { window: 'month-1', name: 'month 1', n: 140 },
      ],
      complications: [],
      usual: ['nuclearGrade', 'acuityBefore', 'age'],
    },
    {
      kind: 'complication',
      name: 'a complication',
      windows: [],
      complications: [
        { code: 'capsule-rupture', name: 'capsule rupture', events: 14 },
        { code: 'uveitis', name: 'uveitis', events: 3 },
      ],
      usual: ['nuclearGrade', 'pupil'],
    },
  ],
  exposures: [
    {
      kind: 'operation',
      code: '',
      name: 'operation time',
      unit: 'min',
      scales: ['unit', 'doubling'],
      n: 220,
      group: 'times',
    },
    {
      kind: 'stage',
      code: 'nucleus',
      name: 'time in the nucleus stage',
      unit: 'min',
      scales: ['unit', 'doubling'],
      n: 215,
      group: 'times',
    },
    { kind: 'cde', code: '', name: 'CDE', unit: '', scales: ['unit', 'doubling'], n: 210, group: 'energy' },
    {
      kind: 'contacts',
      code: '',
      name: 'contacts of fragments with the endothelium',
      unit: '',
      scales: ['unit'],
      n: 220,
      group: 'events',
    },
  ],
  covariates: [
    { code: 'nuclearGrade', name: 'nuclear grade', reason: 'A hard nucleus takes longer.', n: 238 },
    { code: 'age', name: 'age', reason: 'Older eyes have fewer cells in reserve.', n: 240 },
    { code: 'pupil', name: 'pupil size', reason: 'A small pupil makes every step harder.', n: 230 },
    { code: 'guttata', name: 'guttata', reason: 'Such a cornea loses more cells.', n: 221 },
  ],
  operators: [],
  techniques: [
    { code: 'msics', name: 'manual small-incision', n: 8 },
    { code: 'phaco', name: 'phacoemulsification', n: 232 },
  ],
  from: '2024-01-08',
  to: '2026-11-20',
  cases: 240,
  smallestGroup: 3,
  ...by,
});

export const size = (by: Partial<Size> = {}): Size => ({
  value: 2.73,
  low: -1.953,
  high: 7.198,
  p: 0.167,
  n: 147,
  interval: 'clustered',
  otherLow: 0.599,
  otherHigh: 4.816,
  eventsPerParameter: null,
  ...by,
});

export const relation = (by: Partial<Relation> = {}): Relation => ({
  exposure: { kind: 'stage', code: 'nucleus', scale: 'doubling' },
  code: 'stage:nucleus',
  name: 'time in the nucleus stage',
  unit: 'min',
  per: 'doubling',
  summary: { n: 147, mean: 2.07, sd: 0.97, median: 1.82, q1: 1.4, q3: 2.56 },
  unadjusted: size({ value: 4.12, low: 0.918, high: 7.225 }),
  adjusted: size(),
  together: null,
  why: '',
  holm: 0.167,
  benjaminiHochberg: 0.167,
  rank: { rho: 0.37, low: 0.21, high: 0.5, p: 0.00001 },
  sensitivity: [
    { name: 'within nuclear grade 3', size: size({ value: -1.77, low: -10.55, high: 6.31, n: 48 }), why: '' },
    { name: 'between cases of the same operator', size: null, why: 'There are too many operators for so many cases.' },
  ],
  driving: [{ caseId: 'a', share: 10.17 }],
  checks: ['A straight line fits as well as a bent one.'],
  smallestSeen: 6.034,
  chart: {
    points: [
      { caseId: 'a', x: 2.3, y: 12.83, error: 3.89 },
      { caseId: '', x: 1.1, y: 4.2 },
    ],
    line: [
      { x: 0.77, y: 6.71, low: 3.99, high: 9.35 },
      { x: 6.2, y: 14.1, low: 8.1, high: 19.9 },
    ],
    smooth: [
      { x: 0.77, y: 5.2 },
      { x: 6.2, y: 15 },
    ],
    added: [{ caseId: 'a', x: 0.2, y: 1.4 }],
    thinned: false,
  },
  text: 'No relation is shown.',
  ...by,
});

export const result = (by: Partial<StudyResult> = {}): StudyResult => ({
  definition: definition(),
  outcome: { code: 'loss', name: 'loss of endothelial cells at month 1', unit: '%' },
  population: 232,
  n: 147,
  operators: 6,
  events: 0,
  summary: { n: 147, mean: 9.8, sd: 6.39, median: 10.53, q1: 5.64, q3: 14.23 },
  fellOut: [
    { reason: 'There is no visit of that window.', cases: 33 },
    { reason: 'Not recorded: guttata.', cases: 10 },
  ],
  differences: [],
  adjustedFor: [
    { code: 'nuclearGrade', name: 'nuclear grade', reason: 'A hard nucleus takes longer.' },
    { code: 'guttata', name: 'guttata', reason: 'Such a cornea loses more cells.' },
  ],
  notAdjusted: [],
  relations: [relation()],
  collinear: [],
  countingError: null,
  why: '',
  answer: ['No relation is shown.'],
  cannotSay: ['These are relations between what this unit recorded and what came of its eyes.'],
  notes: [],
  methods: [],
  ...by,
});
