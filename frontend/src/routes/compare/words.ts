// What a comparison says, in sentences for a reader who is no statistician.
import type { CompareRow, LaneResult, LeftOut, Ratio } from '../../lib/api/compare';
import type { StepList } from '../../lib/api/types';
import { counted, ratioText, timeLength } from '../../lib/chart/number';
import type { Table } from '../../lib/chart/table';
import { dateText } from '../../lib/text/format';
import { nuclearGrades, techniqueNames } from '../../lib/text/words';
import { groupName, laneName } from './lanes';
import type { View } from './question';

/** "14 % longer than", "as long as": a ratio in words. */
export function ratioWords(ratio: number): string {
  const percent = Math.round((ratio - 1) * 100);
  if (percent === 0) return 'as long as';
  return percent > 0 ? `${percent} % longer than` : `${-percent} % shorter than`;
}

/** What may be concluded: only an interval that leaves 1 out tells anything apart. */
export function verdict(r: Pick<Ratio, 'low' | 'high'>): 'longer' | 'shorter' | 'unclear' {
  if (r.low > 1) return 'longer';
  return r.high < 1 ? 'shorter' : 'unclear';
}

/** One sentence on one person at one step. */
export function laneSentence(lane: LaneResult, row: Pick<CompareRow, 'adjustedFor' | 'whyNot'>): string {
  const who = lane.own ? 'You' : lane.name;
  if (lane.n === 0) return `${who}: no measured case.`;
  const n = counted(lane.n, 'case');
  if (lane.median === null)
    return `${who}: ${n}, shown as ${lane.n === 1 ? 'a point' : 'points'} only. ${sentence(lane.why)}`.trim();
  const half = `${who}: half of ${lane.own ? 'your' : 'the'} ${n} took under ${timeLength(lane.median)}.`;
  const r = lane.adjusted ?? lane.raw;
  if (!r) return `${half} ${sentence(lane.why || row.whyNot)}`.trim();
  const span = `95 % interval ${ratioText(r.low)} to ${ratioText(r.high)} times`;
  const basis = lane.adjusted ? 'On like eyes' : 'Not adjusted for the eyes';
  if (verdict(r) === 'unclear') {
    return `${half} ${basis}, no clear difference from the average operator (best estimate ${ratioWords(r.ratio)} theirs; ${span}).`;
  }
  return `${half} ${basis}, ${ratioWords(r.ratio)} the average operator’s (${span}).`;
}

/** One line on several people: who can be told apart from the group, in the order of the lanes, never by size. */
export function rowSentence(row: CompareRow): string {
  const lanes = (row.lanes ?? []).filter((l) => l.n > 0);
  if (lanes.length === 0) {
    if (!row.group) return 'No measured case of a person who may be shown here.';
    return `Half of the ${counted(row.group.n, 'case')} of the group took under ${timeLength(row.group.median)}.`;
  }
  if (lanes.length === 1 && lanes[0]) return laneSentence(lanes[0], row);
  const basis = lanes.some((l) => l.adjusted) ? 'on like eyes' : 'not adjusted for the eyes';
  const groups: { title: string; of: (l: LaneResult) => boolean }[] = [
    { title: `Longer than the average operator ${basis}`, of: (l) => told(l) === 'longer' },
    { title: `Shorter than the average operator ${basis}`, of: (l) => told(l) === 'shorter' },
    { title: 'No clear difference from the average operator', of: (l) => told(l) === 'unclear' },
    { title: 'Too few cases to say', of: (l) => told(l) === undefined },
  ];
  const parts = groups
    .map((g) => ({ title: g.title, names: lanes.filter(g.of).map((l) => (l.own ? 'you' : l.name)) }))
    .filter((g) => g.names.length > 0)
    .map((g) => `${g.title}: ${g.names.join(', ')}.`);
  return parts.join(' ');
}

function told(lane: LaneResult): ReturnType<typeof verdict> | undefined {
  const r = lane.adjusted ?? lane.raw;
  return r ? verdict(r) : undefined;
}

const sentence = (text: string | undefined) => {
  const t = text?.trim() ?? '';
  return t && `${t.charAt(0).toUpperCase()}${t.slice(1)}${/[.!?]$/.test(t) ? '' : '.'}`;
};

/** "3 cases: no recording; 2 cases: ...". */
export const leftOutText = (list: readonly LeftOut[] | null) =>
  (list ?? [])
    .filter((l) => l.cases > 0)
    .map((l) => `${counted(l.cases, 'case')}: ${l.reason}`)
    .join('; ');

/** What the adjustment took into account. */
export function adjustmentText(row: CompareRow): string {
  if ((row.lanes ?? []).every((l) => !l.raw && !l.adjusted)) return row.whyNot ? `Not adjusted: ${row.whyNot}` : '';
  if (row.whyNot) return `Not adjusted: ${row.whyNot}`;
  const taken = row.adjustedFor ?? [];
  const fell = (row.fellOut ?? []).reduce((sum, l) => sum + l.cases, 0);
  const lost = fell > 0 ? `, ${counted(fell, 'case')} left out of that` : '';
  return taken.length > 0 ? `Adjusted for ${taken.join(', ')}${lost}.` : 'There was nothing to adjust for.';
}

/** What fell out and why, a line each. */
export function lossLines(row: CompareRow): string[] {
  const lines = [];
  const fell = leftOutText(row.fellOut);
  if (fell) lines.push(`Left out of the adjusted figures: ${fell}.`);
  const timeless = leftOutText(row.leftOut);
  if (timeless) lines.push(`Without a time for this row: ${timeless}.`);
  const dropped = (row.dropped ?? []).map((d) => d.replace(/^([^:]+): (.+)$/, '$1 ($2)'));
  if (dropped.length > 0) lines.push(`Could not be adjusted for: ${dropped.join(', ')}.`);
  return [...lines, ...(row.notes ?? [])];
}

const seconds = (ms: number | null) => (ms === null ? null : Math.round(ms / 100) / 10);
const plain = (v: number | undefined) => (v === undefined ? null : Number(v.toFixed(3)));

/** The numbers of one row, lane by lane, in seconds. */
export function rowTable(row: CompareRow): Table {
  const names = ['n', 'Median (s)', '95 % low (s)', '95 % high (s)', 'Lower quartile (s)', 'Upper quartile (s)'];
  // "Not drawn in": the same adjustment without being drawn towards the group, which holds better for somebody far apart.
  const ratios = ['Adjusted', 'Adjusted, not drawn in', 'Raw'].flatMap((r) => [`${r} ratio`, `${r} low`, `${r} high`]);
  const rows: (string | number | null)[][] = (row.lanes ?? []).map((l) => [
    laneName(l),
    l.n,
    ...[l.median, l.medianLow, l.medianHigh, l.q1, l.q3].map(seconds),
    ...[l.adjusted, l.alone, l.raw].flatMap((r) => [plain(r?.ratio), plain(r?.low), plain(r?.high)]),
    l.why ?? '',
  ]);
  const g = row.group;
  if (g) rows.push([groupName, g.n, ...[g.median, null, null, g.q1, g.q3].map(seconds), ...ratios.map(() => null), '']);
  return {
    columns: [{ name: 'Who' }, ...[...names, ...ratios].map((name) => ({ name, number: true })), { name: 'Note' }],
    rows,
  };
}

/** The choices in one line, for paper. */
export function questionText(view: View, lists: readonly StepList[]): string {
  const technique = (techniqueNames as Record<string, string>)[view.technique] ?? 'Any technique';
  const list = lists.find((l) => l.id === view.list)?.name;
  const period =
    view.from || view.to
      ? `${view.from ? `from ${dateText(view.from)}` : ''} ${view.to ? `to ${dateText(view.to)}` : ''}`.trim()
      : 'all dates';
  const low = nuclearGrades[view.gradeFrom - 1];
  const high = nuclearGrades[view.gradeTo - 1];
  const grade = low || high ? `nuclear grade ${low ?? 'any'} to ${high ?? 'any'}` : 'any nuclear grade';
  const part = {
    '': 'whole and part-cases',
    all: 'whole and part-cases',
    whole: 'whole cases only',
    part: 'part-cases only',
  }[view.part];
  return `${[technique, list, period, grade, part].filter(Boolean).join(', ')}.`;
}
