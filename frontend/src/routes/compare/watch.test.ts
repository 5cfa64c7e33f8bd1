import { expect, test } from 'vitest';
import type { Funnel, Monitoring, MonitoringPoint } from '../../lib/api/monitoring';
import { lane } from './compare.fixture';
import {
  casesTable,
  chartsFor,
  emptyWatch,
  excessBand,
  funnelPoints,
  limitsOf,
  readWatch,
  restartsOf,
  saidAbove,
  sumPoints,
  sums,
  withDates,
  writeWatch,
} from './watch';

const at = (number: number, by: Partial<MonitoringPoint> = {}): MonitoringPoint => ({
  number,
  caseId: `c-${number}`,
  date: '2026-03-04',
  expected: 1.5,
  event: false,
  worse: number / 10,
  better: number / 20,
  excess: -0.015 * number,
  excessSd: 0.1,
  ...by,
});

const answer = (points: MonitoringPoint[], by: Partial<Monitoring> = {}): Monitoring => ({
  question: { ...emptyWatch, restarts: [] },
  n: points.length,
  events: 0,
  expected: 1,
  basis: '',
  leftOut: [],
  points,
  thinned: false,
  worse: { oddsRatio: 2, limit: 3.4, falseAlarmEvery: 5003.6, falseAlarms: [], foundAfter: 300, text: '' },
  better: null,
  signals: [],
  competence: null,
  sensitivity: [],
  why: '',
  text: [],
  notes: [],
  methods: [],
  ...by,
});

test('the view comes back from its address, the unit too', () => {
  const unit = { ...emptyWatch, operator: '', kind: 'zonule-dehiscence', from: '2026-01-01' };
  expect(readWatch(writeWatch(unit))).toEqual(unit);
  expect(writeWatch(emptyWatch)).toBe('');
});

test('the chart of the unit is for those who answer for it', () => {
  expect(chartsFor([lane({ own: true })], ['trainee'])).toEqual([{ operator: 'me', name: 'Yours' }]);
  expect(chartsFor([lane({ own: true }), lane()], ['trainer']).map((c) => c.operator)).toEqual(['me', 'a', '']);
  expect(chartsFor([], ['member'])).toEqual([]);
});

test('worse results climb, better ones go down, and the limit says what it means', () => {
  const given = answer([at(1), at(2)]);
  expect(sums(given)).toEqual([
    [
      { x: 1, y: 0.1 },
      { x: 2, y: 0.2 },
    ],
    [
      { x: 1, y: -0.05 },
      { x: 2, y: -0.1 },
    ],
  ]);
  expect(limitsOf(given)).toEqual([{ at: 3.4, text: 'worse: 1 false alarm in 5,004 cases' }]);
});

test('a signal is marked on its own line, and a case that may not be seen has no link', () => {
  const signal = {
    direction: 'better',
    number: 2,
    caseId: '',
    date: '',
    sinceNumber: 1,
    sinceDate: '',
    cases: 2,
    events: 0,
    expected: 1,
    behind: [],
    reviewed: '',
    text: 's',
  } as const;
  const marks = sumPoints(answer([at(1), at(2, { caseId: '' })], { signals: [{ ...signal, behind: [] }] }));
  const diamond = marks.find((m) => m.shape === 'diamond');
  expect(diamond).toMatchObject({ x: 2, y: -0.1, tone: 'signal' });
  expect(diamond).not.toHaveProperty('href');
  expect(marks[0]?.href).toBe('/cases/c-1');
});

test('of many cases only those with the complication are points', () => {
  const points = Array.from({ length: 200 }, (_, i) => at(i + 1, { event: i === 9 }));
  expect(sumPoints(answer(points)).map((m) => m.x)).toEqual([10]);
});

test('the band, the restarts and the table', () => {
  const given = answer([at(1), at(2, { restart: 'reviewed in June' })]);
  expect(excessBand(given).points[0]).toEqual({ x: 1, low: -0.196, high: 0.196 });
  expect(restartsOf(given)).toEqual([{ at: 2, text: 'restart: reviewed in June' }]);
  expect(casesTable(given).rows[1]).toEqual([2, '2026-03-04', 1.5, 'no', 0.2, 0.1, -0.03]);
});

test('what stands beside its chart is not said twice; dates read as dates', () => {
  const signal = { text: 'On 2026-03-04 it signalled.' } as NonNullable<Monitoring['signals']>[number];
  expect(saidAbove(answer([], { text: ['3 events since 2026-01-02.', signal.text], signals: [signal] }))).toEqual([
    '3 events since 2 Jan 2026.',
  ]);
  expect(withDates('no date')).toBe('no date');
});

test('a funnel names nobody but the reader', () => {
  const point = {
    index: 1,
    own: false,
    n: 60,
    events: 2,
    expected: 1.2,
    raw: 3.3,
    rate: 3.1,
    outside: '',
    few: false,
  } as const;
  const funnel = {
    points: [point, { ...point, own: true, few: true }, { ...point, outside: '99.8' }],
  } as unknown as Funnel;
  const [other, own, far] = funnelPoints(funnel);
  expect(other?.text[0]).toBe('An operator, unnamed: 3.1 %');
  expect(own).toMatchObject({ tone: 'own', shape: 'ring' });
  expect(far).toMatchObject({ tone: 'signal', shape: 'diamond' });
  expect([other, own, far].every((p) => p?.href === undefined)).toBe(true);
});
