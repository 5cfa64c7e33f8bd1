// Complications case after case beside what such eyes expect, as package timeline/cohort answers it.

import { address, get, put } from './client';
import type { LeftOut, Method } from './compare';

export interface MonitoringQuestion {
  /** Code of a complication, or capsule-rupture for what the audit definition counts. */
  kind: string;
  /** "me", the id of a person, or "" for the unit. */
  operator: string;
  technique: string;
  from: string;
  to: string;
}
export interface MonitoringPoint {
  number: number;
  caseId: string;
  date: string;
  /** Percent. */
  expected: number;
  event: boolean;
  worse: number;
  better: number;
  /** Events so far less those expected, and its spread if the chances hold. */
  excess: number;
  excessSd: number;
  /** The reason of a review, on the first case after it. */
  restart?: string;
}
export interface Chance {
  cases: number;
  percent: number;
}
export interface ControlChart {
  oddsRatio: number;
  limit: number;
  falseAlarmEvery: number;
  falseAlarms: Chance[] | null;
  foundAfter: number;
  text: string;
}
export interface Signal {
  direction: 'worse' | 'better';
  number: number;
  caseId: string;
  date: string;
  sinceNumber: number;
  sinceDate: string;
  cases: number;
  events: number;
  expected: number;
  /** Ids of the cases with the complication; "" where the viewer may not see one. */
  behind: string[] | null;
  reviewed: string;
  text: string;
}
export interface Competence {
  adequate: number;
  inadequate: number;
  limit: number;
  wrongWithin: Chance[] | null;
  foundAfter: number;
  /** One value for each case; empty when the points are thinned. */
  path: number[] | null;
  reached: number | null;
  date: string;
  text: string;
}
export interface Sensitivity {
  risks: 'lowest' | 'middle' | 'highest';
  expected: number;
  worse: boolean;
  better: boolean;
}
export interface Monitoring {
  question: MonitoringQuestion & { restarts: { date: string; reason: string }[] | null };
  n: number;
  events: number;
  expected: number;
  basis: string;
  leftOut: LeftOut[] | null;
  points: MonitoringPoint[] | null;
  thinned: boolean;
  worse: ControlChart | null;
  better: ControlChart | null;
  signals: Signal[] | null;
  competence: Competence | null;
  sensitivity: Sensitivity[] | null;
  why: string;
  text: string[] | null;
  notes: string[] | null;
  methods: Method[] | null;
}

export interface FunnelPoint {
  index: number;
  own: boolean;
  n: number;
  events: number;
  expected: number;
  /** Percent, not adjusted. */
  raw: number;
  /** Percent, adjusted for the eyes. */
  rate: number;
  outside: '' | '95' | '99.8';
  few: boolean;
}
export interface FunnelCurve {
  n: number;
  lower95: number;
  upper95: number;
  lower998: number;
  upper998: number;
}
export interface Funnel {
  n: number;
  events: number;
  target: number;
  basis: string;
  leftOut: LeftOut[] | null;
  points: FunnelPoint[] | null;
  curves: FunnelCurve[] | null;
  why: string;
  text: string[] | null;
  notes: string[] | null;
  methods: Method[] | null;
}

export const monitoring = (q: MonitoringQuestion, signal?: AbortSignal) =>
  get<Monitoring>(address(['compare', 'monitoring'], { ...q }), signal);
export const funnel = ({ operator: _, ...q }: MonitoringQuestion, signal?: AbortSignal) =>
  get<Funnel>(address(['compare', 'funnel'], q), signal);

/** A review of the cases behind a chart, after which the chart begins again. It never changes. */
export interface MonitoringReview {
  id: string;
  /** "me" or an id; "" for the unit. */
  operator: string;
  kind: string;
  /** The chart begins again with the first case after this day. */
  date: string;
  reason: string;
}
export const putReview = (review: MonitoringReview) =>
  put<MonitoringReview>(address(['compare', 'monitoring', 'reviews', review.id]), review);
