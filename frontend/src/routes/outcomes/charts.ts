// What is drawn of a study: estimates with their intervals, the cases behind them, and the numbers of each as a table.
import type { OutcomeKind, Relation, RelationPoint, Size, StudyResult } from '../../lib/api/study';
import type { AxisKind } from '../../lib/chart/axis';
import type { Estimate, IntervalLine } from '../../lib/chart/intervals';
import type { Table } from '../../lib/chart/table';
import type { XYPoint } from '../../lib/chart/xy';
import { capital, figure, sizeFigures } from './words';

const estimate = (s: Size): Estimate => ({ value: s.value, low: s.low, high: s.high, text: sizeFigures(s) });

/** Beside nothing 0, for odds ratios 1. */
export const neutralOf = (kind: OutcomeKind) => (kind === 'complication' ? 1 : 0);
export const axisKindOf = (kind: OutcomeKind): AxisKind => (kind === 'complication' ? 'ratio' : 'linear');

const per = (r: Pick<Relation, 'per'>) => (r.per === 'doubling' ? 'per doubling' : `per ${r.per}`);
/** Counts are told one by one, which needs no saying. */
const countedOnes: readonly string[] = ['contact', 'top-up', 'event'];
/** "Time in the nucleus stage, per doubling". */
export const lineName = (r: Pick<Relation, 'name' | 'per'>) =>
  countedOnes.includes(r.per) ? capital(r.name) : `${capital(r.name)}, ${per(r)}`;

/** Adjusted and unadjusted for each exposure, and where there are several, beside the others. */
export function forestLines(r: StudyResult): IntervalLine[] {
  return r.relations.flatMap((rel) => {
    const lines: IntervalLine[] = [
      {
        name: lineName(rel),
        main: rel.adjusted ? estimate(rel.adjusted) : undefined,
        other: rel.unadjusted ? estimate(rel.unadjusted) : undefined,
        why: 'nothing can be said',
      },
    ];
    if (rel.together) lines.push({ name: '… beside the other exposures', main: estimate(rel.together) });
    return lines;
  });
}

/** The adjusted relation first, then found in other ways and in parts of the cases. */
export function sensitivityLines(rel: Relation): IntervalLine[] {
  const first: IntervalLine[] = rel.adjusted
    ? [{ name: `As above (n ${rel.adjusted.n})`, main: estimate(rel.adjusted) }]
    : [];
  return first.concat(
    rel.sensitivity.flatMap((s) =>
      s.size ? [{ name: `${capital(s.name)} (n ${s.size.n})`, main: estimate(s.size) }] : [],
    ),
  );
}

const numbers = (s: Size | null) => (s ? [s.value, s.low, s.high].map(rounded) : [null, null, null]);
/** A bound that does not exist stays empty. */
const rounded = (v: number) => (Math.abs(v) >= Number.MAX_VALUE / 2 ? null : Number(v.toPrecision(4)));

export function forestTable(r: StudyResult): Table {
  const rows = r.relations.flatMap((rel) =>
    (
      [
        ['adjusted', rel.adjusted],
        ['unadjusted', rel.unadjusted],
        ['beside the other exposures', rel.together],
      ] as const
    ).flatMap(([how, s]) =>
      s ? [[capital(rel.name), per(rel), how, s.n, ...numbers(s), s.p === null ? null : rounded(s.p)]] : [],
    ),
  );
  return {
    columns: [
      { name: 'Exposure' },
      { name: 'Step' },
      { name: 'How' },
      ...['n', 'Estimate', '95 % low', '95 % high', 'p'].map((name) => ({ name, number: true })),
    ],
    rows,
  };
}

export function sensitivityTable(rel: Relation): Table {
  return {
    columns: [
      { name: 'How' },
      ...['n', 'Estimate', '95 % low', '95 % high'].map((name) => ({ name, number: true })),
      { name: 'Why none' },
    ],
    rows: rel.sensitivity.map((s) => [capital(s.name), s.size?.n ?? null, ...numbers(s.size), s.why]),
  };
}

/** A case as a point; it leads to the case where the viewer may see it. */
function casePoint(p: RelationPoint, text: readonly string[]): XYPoint {
  return {
    x: p.x,
    y: p.y,
    tone: 'rest',
    shape: p.caseId ? 'disc' : 'ring',
    text,
    ...(p.caseId ? { href: `/cases/${p.caseId}`, opens: 'Open the case' } : {}),
  };
}

const measured = (value: number, unit: string) => `${figure(value)}${unit ? ` ${unit}` : ''}`;
/** The name of an axis: "time in the nucleus stage, min". */
export const withUnit = (name: string, unit: string) => (unit ? `${name}, ${unit}` : name);

/** An axis of the added-variable plot: "min more than expected". A loss is modelled as a logarithm. */
export const leftAxis = (unit: string, logarithm = false) =>
  `${unit} more than expected${logarithm ? ' (of a logarithm)' : ''}`.trimStart();
/** In what an exposure is told there: doublings where the relation is told by them. */
export const stepUnit = (rel: Relation) =>
  rel.per === 'doubling' ? 'doublings' : rel.per === '10 ml' ? '10 ml' : rel.unit;

/** How the exposure spreads over the cases. */
export function spreadText(rel: Relation): string {
  const { n, median, q1, q3 } = rel.summary;
  return `${capital(rel.name)} in these ${n} cases: half between ${figure(q1)} and ${measured(q3, rel.unit)}, the middle at ${measured(median, rel.unit)}.`;
}

/** The cases of a relation, outcome against exposure. */
export function relationPoints(rel: Relation, r: StudyResult): XYPoint[] {
  const complication = r.definition.outcome.kind === 'complication';
  return (rel.chart?.points ?? []).map((p) => {
    const outcome = complication
      ? `${p.y > 0 ? 'with' : 'without'} ${r.outcome.name}`
      : `${capital(r.outcome.name)} ${measured(p.y, r.outcome.unit)}`;
    const error = p.error ? [`counting error ±${figure(1.96 * p.error)} ${r.outcome.unit} (95 %)`] : [];
    return casePoint(p, [capital(outcome), `${rel.name} ${measured(p.x, rel.unit)}`, ...error]);
  });
}

/** What the factors leave of outcome and exposure. */
export const addedPoints = (rel: Relation): XYPoint[] =>
  (rel.chart?.added ?? []).map((p) =>
    casePoint(p, [`${figure(p.y)} more than the factors expect`, `exposure ${figure(p.x)} more than they expect`]),
  );

/** The line of the added-variable plot: through the middle, with the adjusted slope; a loss is drawn as 100 ln(before / after). */
export function addedLine(rel: Relation, kind: OutcomeKind): { x: number; y: number; low: number; high: number }[] {
  const points = rel.chart?.added ?? [];
  if (!rel.adjusted || points.length === 0) return [];
  const told = rel.adjusted.value;
  const slope = kind === 'loss' ? -100 * Math.log1p(-told / 100) : told;
  const ends = [Math.min(...points.map((p) => p.x)), Math.max(...points.map((p) => p.x))];
  return ends.map((x) => ({ x, y: x * slope, low: x * slope, high: x * slope }));
}

/** Of a chance the line matters, not the height that 100 % would have: points with the complication stand at the upper edge. */
export function outcomeDomain(rel: Relation, kind: OutcomeKind): readonly [number, number] | undefined {
  if (kind !== 'complication') return undefined;
  const highest = Math.max(1, ...(rel.chart?.line ?? []).map((l) => l.high));
  return [0, Math.min(100, 1.25 * highest)];
}

export function pointsTable(rel: Relation, r: StudyResult): Table {
  const unit = (name: string, u: string) => capital(u ? `${name} (${u})` : name);
  return {
    columns: [
      { name: unit(rel.name, rel.unit), number: true },
      {
        name: unit(r.outcome.name, r.outcome.unit || (r.definition.outcome.kind === 'complication' ? '%' : '')),
        number: true,
      },
      { name: 'Standard error from counting', number: true },
    ],
    rows: (rel.chart?.points ?? []).map((p) => [
      Number(p.x.toFixed(3)),
      Number(p.y.toFixed(2)),
      p.error === undefined ? null : Number(p.error.toFixed(2)),
    ]),
  };
}
