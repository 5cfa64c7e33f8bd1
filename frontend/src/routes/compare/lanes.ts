// From the answer of the server to what the charts draw.
import type { ComparePoint, CompareRow, Group, LaneResult } from '../../lib/api/compare';
import type { IntervalLine } from '../../lib/chart/intervals';
import { type Lane, type LaneBand, type LanePoint, leastForBox } from '../../lib/chart/lanes';
import { ratioWithInterval, timeLength } from '../../lib/chart/number';
import { dateText } from '../../lib/text/format';
import { momentAddress } from '../../lib/text/moment';

/** The name of the lane of everybody. */
export const groupName = 'The group';
export const laneName = (lane: Pick<LaneResult, 'own' | 'name'>) => (lane.own ? 'You' : lane.name);

/** One case as a point: what it says, and where it leads for someone who may see it. */
export function casePoint(p: ComparePoint): Pick<LanePoint, 'text' | 'href' | 'opens'> {
  const about = [dateText(p.date), p.grade === null ? '' : `nuclear grade ${p.grade}`, p.part ? 'part-case' : ''];
  const text = [timeLength(p.total), about.filter(Boolean).join(', ')];
  if (!p.caseId) return { text };
  return p.at
    ? { text, href: momentAddress(p.caseId, p.at), opens: 'Open the video here' }
    : { text, href: `/cases/${encodeURIComponent(p.caseId)}/operation`, opens: 'Open the operation' };
}

/** The lanes of a row in the order of the server, the unnamed group last. */
export function lanesOf(row: CompareRow): Lane[] {
  const lanes = (row.lanes ?? []).map((lane): Lane => {
    const points = (lane.points ?? []).map(
      (p): LanePoint => ({ value: p.total, shape: p.part ? 'triangle' : 'disc', ...casePoint(p) }),
    );
    return {
      name: laneName(lane),
      tone: lane.own ? 'own' : 'named',
      n: lane.n,
      box: boxOf(lane),
      why: lane.why,
      points,
    };
  });
  if (row.group) lanes.push(groupLane(row.group));
  return lanes;
}

function boxOf(lane: LaneResult): Lane['box'] {
  if (lane.q1 === null || lane.median === null || lane.q3 === null) return undefined;
  return { q1: lane.q1, median: lane.median, q3: lane.q3 };
}

function groupLane(group: Group): Lane {
  return {
    name: groupName,
    tone: 'rest',
    n: group.n,
    box: { q1: group.q1, median: group.median, q3: group.q3 },
    points: (group.spread ?? []).map((value) => ({
      value,
      shape: 'disc',
      text: [timeLength(value), 'a case of the group, unnamed'],
    })),
  };
}

/** The band behind the lanes; of a group under 20 cases only its middle half. */
export function bandOf(group: Group | null): LaneBand | undefined {
  if (!group) return undefined;
  return { low: group.p5 ?? group.q1, q1: group.q1, median: group.median, q3: group.q3, high: group.p95 ?? group.q3 };
}

/** The ratios beside the lanes, line by line as the lanes stand; the group is the measure itself. */
export function ratiosOf(row: CompareRow): IntervalLine[] {
  const lines = (row.lanes ?? []).map((lane): IntervalLine => {
    const main = lane.adjusted && {
      ...lane.adjusted,
      value: lane.adjusted.ratio,
      text: ratioWithInterval(lane.adjusted),
    };
    const other = lane.raw && { ...lane.raw, value: lane.raw.ratio, text: `raw ${ratioWithInterval(lane.raw)}` };
    return {
      name: laneName(lane),
      strong: lane.own,
      main: main ?? undefined,
      other: other ?? undefined,
      why: lane.n < leastForBox ? 'too few cases' : 'not told',
    };
  });
  if (row.group) lines.push({ name: groupName });
  return lines;
}

/** Two recordings at the same step, for one person: beside the reader's latest case, or their own first beside their latest. */
export function besideLink(lane: LaneResult, row: CompareRow): { href: string; text: string } | undefined {
  if (row.kind !== 'step') return undefined;
  const shown = (l: LaneResult | undefined) => (l?.points ?? []).filter((p) => p.caseId && p.at);
  const own = shown((row.lanes ?? []).find((l) => l.own)).at(-1);
  const theirs = shown(lane);
  const latest = theirs.at(-1);
  if (!latest) return undefined;
  const address = (a: ComparePoint, b: ComparePoint) =>
    `/side-by-side?${new URLSearchParams({ a: a.caseId ?? '', b: b.caseId ?? '', step: row.code })}`;
  if (!lane.own && own && own.caseId !== latest.caseId)
    return { href: address(own, latest), text: 'Watch beside your latest case' };
  const first = theirs[0];
  return first && first.caseId !== latest.caseId
    ? { href: address(first, latest), text: 'Watch the first beside the latest' }
    : undefined;
}
