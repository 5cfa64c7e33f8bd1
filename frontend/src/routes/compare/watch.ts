// From the answer on monitoring to what the charts draw and the tables hold; and the view in the address.
import type { LaneResult } from '../../lib/api/compare';
import type { Funnel, Monitoring, MonitoringPoint, MonitoringQuestion } from '../../lib/api/monitoring';
import type { Role } from '../../lib/api/types';
import { counted, plainNumber } from '../../lib/chart/number';
import type { Table } from '../../lib/chart/table';
import type { XYBand, XYPoint } from '../../lib/chart/xy';
import { dateText } from '../../lib/text/format';

/** Over so many cases only those with the complication are drawn as points; the lines hold all. */
const mostPoints = 60;

export const emptyWatch: MonitoringQuestion = {
  kind: 'capsule-rupture',
  operator: 'me',
  technique: '',
  from: '',
  to: '',
};
const names = ['kind', 'operator', 'technique', 'from', 'to'] as const;

export function readWatch(search: string): MonitoringQuestion {
  const given = new URLSearchParams(search);
  const view = { ...emptyWatch };
  for (const name of names) view[name] = given.get(name) ?? emptyWatch[name];
  return view;
}

export function writeWatch(view: MonitoringQuestion): string {
  const given = new URLSearchParams();
  for (const name of names) if (view[name] !== emptyWatch[name]) given.set(name, view[name]);
  const text = given.toString();
  return text && `?${text}`;
}

/** A chart that may be asked for. */
export interface Chart {
  operator: string;
  name: string;
}

/** The charts of the reader, of those they see by name, and of the unit for those who answer for it. */
export function chartsFor(lanes: readonly LaneResult[], roles: readonly Role[]): Chart[] {
  const unit = roles.some((r) => r === 'trainer' || r === 'chair' || r === 'clinic');
  return [
    ...lanes.map((l) => (l.own ? { operator: 'me', name: 'Yours' } : { operator: l.operator, name: l.name })),
    ...(unit ? [{ operator: '', name: 'The whole unit’s' }] : []),
  ];
}

function caseText(p: MonitoringPoint): string[] {
  const what = p.event ? 'the complication happened' : 'without it';
  return [`Case ${p.number}: ${what}`, `${dateText(p.date)}, expected chance ${plainNumber(p.expected)} %`];
}

const link = (p: MonitoringPoint) =>
  p.caseId ? { href: `/cases/${encodeURIComponent(p.caseId)}`, opens: 'Open the case' } : {};

function drawn(answer: Monitoring): MonitoringPoint[] {
  const points = answer.points ?? [];
  return points.length <= mostPoints ? points : points.filter((p) => p.event);
}

/** The two charts as two lines: worse results climb, better ones go down. */
export const sums = (answer: Monitoring) => [
  (answer.points ?? []).map((p) => ({ x: p.number, y: p.worse })),
  (answer.points ?? []).map((p) => ({ x: p.number, y: -p.better })),
];

/** Each case on the line for worse results; the case at which a chart signals on its own line. */
export function sumPoints(answer: Monitoring): XYPoint[] {
  const plain = drawn(answer).map((p): XYPoint => {
    const look = p.event ? ({ tone: 'named', shape: 'triangle' } as const) : ({ tone: 'rest', shape: 'disc' } as const);
    return { x: p.number, y: p.worse, ...look, text: caseText(p), ...link(p) };
  });
  const at = new Map((answer.points ?? []).map((p) => [p.number, p]));
  const signals = (answer.signals ?? []).flatMap((s): XYPoint[] => {
    const p = at.get(s.number);
    if (!p) return [];
    const y = s.direction === 'worse' ? p.worse : -p.better;
    return [
      {
        x: s.number,
        y,
        tone: 'signal',
        shape: 'diamond',
        text: [`Signal: ${s.direction} than expected`, ...caseText(p)],
        ...link(p),
      },
    ];
  });
  return [...plain, ...signals];
}

/** The limits with the false-alarm rate that they mean. */
export function limitsOf(answer: Monitoring): { at: number; text: string }[] {
  const every = (n: number) => `1 false alarm in ${counted(Math.round(n), 'case')}`;
  return [
    ...(answer.worse ? [{ at: answer.worse.limit, text: `worse: ${every(answer.worse.falseAlarmEvery)}` }] : []),
    ...(answer.better ? [{ at: -answer.better.limit, text: `better: ${every(answer.better.falseAlarmEvery)}` }] : []),
  ];
}

export const restartsOf = (answer: Monitoring) =>
  (answer.points ?? []).filter((p) => p.restart).map((p) => ({ at: p.number, text: `restart: ${p.restart}` }));

export const excess = (answer: Monitoring) => (answer.points ?? []).map((p) => ({ x: p.number, y: p.excess }));
export const excessPoints = (answer: Monitoring) =>
  drawn(answer)
    .filter((p) => p.event)
    .map(
      (p): XYPoint => ({ x: p.number, y: p.excess, tone: 'named', shape: 'triangle', text: caseText(p), ...link(p) }),
    );
/** Where 95 of 100 such sums lie if the chances hold. */
export const excessBand = (answer: Monitoring): XYBand => ({
  points: (answer.points ?? []).map((p) => ({ x: p.number, low: -1.96 * p.excessSd, high: 1.96 * p.excessSd })),
});

/** What is said above the charts: all but what stands again beside its own chart or signal. */
export function saidAbove(answer: Monitoring): string[] {
  const below = new Set([answer.competence?.text, ...(answer.signals ?? []).map((s) => s.text)]);
  return (answer.text ?? []).filter((line) => !below.has(line)).map(withDates);
}

/** A sentence of the server with its dates as the page writes dates. */
export const withDates = (text: string) => text.replace(/\b\d{4}-\d{2}-\d{2}\b/g, dateText);

export function casesTable(answer: Monitoring): Table {
  const three = (v: number) => Number(v.toFixed(3));
  const columns = [
    'Case',
    'Date',
    'Expected (%)',
    'Happened',
    'Sum for worse',
    'Sum for better',
    'Observed minus expected',
  ];
  return {
    columns: columns.map((name, i) => ({ name, number: i !== 1 && i !== 3 })),
    rows: (answer.points ?? []).map((p) => [
      p.number,
      p.date,
      three(p.expected),
      p.event ? 'yes' : 'no',
      three(p.worse),
      three(p.better),
      three(p.excess),
    ]),
  };
}

/** The operators without names; a place in the list says nothing. */
export function funnelPoints(answer: Funnel): XYPoint[] {
  return (answer.points ?? []).map((p) => ({
    x: p.n,
    y: p.rate,
    tone: p.own ? 'own' : p.outside === '99.8' ? 'signal' : 'named',
    shape: p.outside === '99.8' ? 'diamond' : p.few ? 'ring' : 'disc',
    text: [
      `${p.own ? 'You' : 'An operator, unnamed'}: ${plainNumber(p.rate)} %`,
      `${counted(p.events, 'event')} in ${counted(p.n, 'case')}, ${plainNumber(p.expected)} expected`,
      p.outside ? `outside the ${p.outside} % limits` : 'within the limits of chance',
    ],
  }));
}

export const funnelLimits = (answer: Funnel, which: '95' | '998') =>
  (answer.curves ?? []).map((c) =>
    which === '95' ? { n: c.n, low: c.lower95, high: c.upper95 } : { n: c.n, low: c.lower998, high: c.upper998 },
  );

export function funnelTable(answer: Funnel): Table {
  const three = (v: number) => Number(v.toFixed(3));
  const columns = ['Whose', 'Cases', 'Events', 'Expected', 'Raw (%)', 'Adjusted (%)', 'Outside'];
  return {
    columns: columns.map((name, i) => ({ name, number: i > 0 && i < 6 })),
    rows: (answer.points ?? []).map((p) => [
      p.own ? 'You' : 'unnamed',
      p.n,
      p.events,
      three(p.expected),
      three(p.raw),
      three(p.rate),
      p.outside ? `${p.outside} % limits` : 'no',
    ]),
  };
}
