// The comparison of operations as package timeline/cohort answers it. Times are ms; a ratio of 1 is as expected.
import { address, get } from './client';
import type { Instant } from './types';

export type Wholeness = 'all' | 'whole' | 'part';

/** Chooses the cases; empty texts and zeros do not restrict. */
export interface CompareQuestion {
  /** Id of the step list. */
  list: string;
  /** Performed. */
  technique: string;
  from: string;
  to: string;
  /** Nuclear grade, 1 to 5. */
  gradeFrom: number;
  gradeTo: number;
  part: Wholeness | '';
}
export type ItemKind = 'step' | 'stage' | 'operation';
export interface Item {
  kind: ItemKind;
  code: string;
  name: string;
}
export interface LeftOut {
  reason: string;
  cases: number;
}
/** A factor with its 95 % interval; shrunken: drawn towards 1, the more the fewer the cases. */
export interface Ratio {
  ratio: number;
  low: number;
  high: number;
  shrunken: boolean;
}
export interface Group {
  n: number;
  operators: number;
  median: number;
  q1: number;
  q3: number;
  /** Null under 20 cases. */
  p5: number | null;
  p95: number | null;
  /** Times in ascending order, thinned to at most 200. */
  spread: number[] | null;
}
export interface ComparePoint {
  /** Left out when the viewer may not see the case. */
  caseId?: string;
  date: string;
  total: number;
  grade: number | null;
  part: boolean;
  /** Where the step starts in the recording. */
  at: Instant | null;
}
export interface LaneResult {
  operator: string;
  name: string;
  own: boolean;
  n: number;
  points: ComparePoint[] | null;
  median: number | null;
  q1: number | null;
  q3: number | null;
  medianLow: number | null;
  medianHigh: number | null;
  raw: Ratio | null;
  adjusted: Ratio | null;
  /** As adjusted, without being drawn towards 1. */
  alone: Ratio | null;
  why?: string;
}
export interface CompareRow extends Item {
  group: Group | null;
  why?: string;
  lanes: LaneResult[] | null;
  leftOut: LeftOut[] | null;
  adjustedFor: string[] | null;
  dropped: string[] | null;
  fellOut: LeftOut[] | null;
  whyNot?: string;
  notes: string[] | null;
}
export interface Method {
  name: string;
  formula: string;
  source: string;
  status: string;
  caution: string;
}
export interface Comparison {
  question: CompareQuestion;
  n: { cases: number; operators: number; leftOut: LeftOut[] | null };
  rows: CompareRow[] | null;
  methods: Method[] | null;
}

export interface LearningCase extends ComparePoint {
  /** Counts the person's own operations that held the step, from 1. */
  number: number;
}
export interface SmoothPoint {
  number: number;
  value: number;
}
export interface CurvePoint extends SmoothPoint {
  low: number;
  high: number;
  caseLow: number;
  caseHigh: number;
}
export interface Learning {
  n: number;
  points: LearningCase[] | null;
  /** The factor per doubling of cases. */
  rate: Ratio | null;
  curve: CurvePoint[] | null;
  floor: { level: number; low: number; high: number; curve: SmoothPoint[] | null } | null;
  break: { at: number; before: number; after: number; p: number; curve: SmoothPoint[] | null } | null;
  smooth: SmoothPoint[] | null;
  others: Group | null;
  whyNoGroup?: string;
  leftOut: LeftOut[] | null;
  /** The answer in sentences. */
  words: string[] | null;
  why?: string;
  notes: string[] | null;
  methods: Method[] | null;
}

const query = (q: CompareQuestion) => ({ ...q, gradeFrom: q.gradeFrom || undefined, gradeTo: q.gradeTo || undefined });

export const comparison = (q: CompareQuestion, signal?: AbortSignal) =>
  get<Comparison>(address(['compare'], query(q)), signal);
/** The same numbers as a file. */
export const comparisonFile = (q: CompareQuestion, kind: 'csv' | 'xlsx') => address([`compare.${kind}`], query(q));
/** The learning curve at one item of one person, "me" for oneself. */
export const learning = (
  q: CompareQuestion,
  item: Pick<Item, 'kind' | 'code'>,
  operator: string,
  signal?: AbortSignal,
) =>
  get<Learning>(address(['compare', 'learning'], { ...query(q), kind: item.kind, step: item.code, operator }), signal);
/** The people whom the reader sees by name, themself first. */
export const namedPeople = async () =>
  (await get<Comparison>(address(['compare'], { items: 'operation' }))).rows?.[0]?.lanes ?? [];
