import type { Instant } from '../timeline/clock';
import { address, get, getList } from './client';
import type { Reading } from './types';

/** A span of the case clock, ms. */
interface Timed {
  start: number;
  end: number;
}
export interface ComparedItem {
  kind: 'step' | 'stage' | 'operation';
  code: string;
  name: string;
}
/** A time in which the readings say different things; "" is no step. Within: no longer than a hand-picked instant is good for. */
export interface ReadingDifference extends Timed {
  first: string;
  second: string;
  within: boolean;
}
export interface Boundaries {
  matched: number;
  unmatchedA: number;
  unmatchedB: number;
  within: number;
  meanAbs: number | null;
  medianAbs: number | null;
  p90Abs: number | null;
  meanSigned: number | null;
}
export interface LabelAgreement {
  label: string;
  totalA: number;
  totalB: number;
  iou: number | null;
  boundaries: Boundaries;
}
/** Two readings of one case on one axis. */
export interface ReadingsBeside {
  firstReading: Reading;
  secondReading: Reading;
  items: ComparedItem[];
  extent: Timed;
  first: (Timed & { label: string })[] | null;
  second: (Timed & { label: string })[] | null;
  differences: ReadingDifference[] | null;
  moments: (Instant | null)[] | null;
  agreement: { labels: LabelAgreement[]; kappa: number | null; boundaries: Boundaries; notes?: string[] };
}
/** Two people who marked the same cases. */
export interface Readers {
  first: string;
  second: string;
  cases: number;
}
interface Estimate {
  value: number;
  interval: { lower: number; upper: number } | null;
}
export interface StepAgreement extends ComparedItem {
  both: number;
  onlyFirst: number;
  onlySecond: number;
  points: { caseId?: string; date: string; mean: number; difference: number }[] | null;
  limits: { bias: Estimate; lower: Estimate; upper: Estimate } | null;
  overlap: number | null;
  boundaries: Boundaries;
  why?: string;
}
export interface Agreement {
  cases: number;
  leftOut: { reason: string; cases: number }[] | null;
  kappa: Estimate | null;
  steps: StepAgreement[] | null;
  notes: string[] | null;
  methods: { name: string; formula: string; source: string; status: string; caution: string }[] | null;
}

export const readingsBeside = (caseId: string, first: string, second: string) =>
  get<ReadingsBeside>(address(['cases', caseId, 'agreement'], { first, second }));
export const readers = () => getList<Readers>(address(['agreement', 'readers']));
export const agreement = (first: string, second: string) => get<Agreement>(address(['agreement'], { first, second }));
