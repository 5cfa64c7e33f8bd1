// One case beside the unit's other cases, as package annotate tells it. Times are ms of the case clock.
import { address, get } from './client';
import type { Measure, Spread } from './study';
import type { Instant } from './types';

export interface ClockSpan {
  start: number;
  end: number;
}
export interface CaseExposure extends Measure {
  exposure: { kind: string; code: string; scale: string };
  /** Null when it is not known; minutes, seconds, ml or counts, as unit says. */
  value: number | null;
  /** Other cases in which it is known. */
  n: number;
  /** Null under 20 cases, as the percentile. */
  reference: Spread | null;
  percentile: number | null;
  why: string;
}
/** Percent of the cells before. */
export interface CaseLoss {
  window: string;
  observed: number;
  /** From counting error; null when it is not known. */
  observedLow: number | null;
  observedHigh: number | null;
  expected: number;
  /** Of the 95 % prediction interval. */
  low: number;
  high: number;
  /** More was lost than the interval holds. */
  beyond: boolean;
  /** Less was. */
  below: boolean;
  n: number;
  adjustedFor: string[] | null;
  text: string;
}
export interface CaseShare {
  events: number;
  cases: number;
  /** With Wilson's interval; null under five cases. */
  percent: number | null;
  low: number | null;
  high: number | null;
}
export interface HappenedBefore {
  kind: string;
  name: string;
  complication: boolean;
  at: Instant;
  clock: number;
}
export interface StepReference {
  n: number;
  median: number | null;
  q1: number | null;
  q3: number | null;
}
export interface MinutesBefore {
  minutes: number;
  span: ClockSpan;
  events: HappenedBefore[] | null;
  /** In no marked step. */
  gaps: ClockSpan[] | null;
  unrecorded: ClockSpan[] | null;
  /** When the episode of the running step began; null when none ran. */
  since: number | null;
  stepLength: number | null;
  stepQuality: string;
  stepReference: StepReference | null;
}
export interface LevelComplication {
  id: string;
  kind: string;
  name: string;
  step: string;
  stepName: string;
  after: boolean;
  inStep: CaseShare | null;
  ever: CaseShare;
  withheld: string;
  longer: number | null;
  published: string;
  text: string;
  at: Instant | null;
  clock: number | null;
  before: MinutesBefore | null;
}
export interface CaseLevel {
  technique: string;
  others: number;
  exposures: CaseExposure[] | null;
  loss: CaseLoss | null;
  whyNoLoss: string;
  complications: LevelComplication[] | null;
  standsOut: string;
  cannotSay: string;
  notes: string[] | null;
}

export const caseLevel = (caseId: string) => get<CaseLevel>(address(['cases', caseId, 'level']));
