import { address, get, put } from './client';
import type { ComplicationKind, Grade, Role, Technique, Window } from './types';

export interface Unit {
  name: string;
  revision: number;
  /** An endothelial loss above this percentage is flagged. */
  lossLimitPercent: number;
  /** A cell density below this (cells/mm²) is flagged. */
  densityLimit: number;
  /** The plan of follow-up, in the order of the visits; left out, the one that stands is kept. */
  windows?: WindowPlan[];
  /** The published risk fitted to the unit; left out, what stands is kept. null: never asked for. */
  recalibration?: Recalibration | null;
  /** Which cases come to a meeting by themselves; left out, the rules that stand are kept. */
  triggers?: TriggerRule[];
  /** The parts of a report in their order, by code; empty: all in the usual order. Left out, what stands is kept. */
  reportSections?: string[];
  /** The unit's data is made up. */
  invented: boolean;
}

/**
 * One multiplier on the odds of the published risk. To turn it on or to have it computed anew send on, from and to; the
 * server computes the rest, or refuses and says what is lacking.
 */
export interface Recalibration {
  on: boolean;
  /** Dates of operations, inclusive. */
  from: string;
  to: string;
  /** null while off. */
  oddsMultiplier?: number | null;
  /** Operations of the window whose every risk factor is known; the multiplier rests on them. */
  operations?: number;
  /** All operations of the window. */
  inWindow?: number;
  /** Capsule ruptures among the operations. */
  observed?: number;
  /** Mean published risk of the operations. */
  expectedPercent?: number | null;
  computedAt?: number;
}
export interface WindowPlan {
  window: Window;
  /** Days after the operation. */
  dueDays: number;
  /** After this day the visit is overdue. */
  lateDays: number;
  /** A case owes this visit. */
  required: boolean;
}

/** A rule by which cases come to a meeting. */
export interface TriggerRule {
  /** One of the catalogue. */
  kind: string;
  on: boolean;
  /** The least grade, for oedema on the first day. */
  limit?: number;
  /** The step that is looked at, for long steps; absent for every step. */
  step?: string;
}
/** A rule that a unit may switch on, in words. */
export interface TriggerChoice {
  kind: string;
  name: string;
  what: string;
  why: string;
}

/** What the unit may choose from. */
export interface Catalogue {
  complications: ComplicationKind[];
  anaesthesias: string[];
  windows: Window[];
  grades: Grade[];
  roles: Role[];
  techniques: Technique[];
  /** The rules by which cases may come to a meeting, in the order in which they are offered. */
  triggers: TriggerChoice[];
  /** The parts that a report may have, in the usual order. */
  reportSections: ReportSection[];
  /** The possible range of each quantity by its field. */
  limits: Record<string, Limit>;
}
/** A part of the letter in which a report is written. */
export interface ReportSection {
  code: string;
  name: string;
  /** No unit can leave it out. */
  stays: boolean;
}
/** Outside least to most a value is impossible; outside warnLow to warnHigh it is unusual, and taken. */
export interface Limit {
  least: number;
  most: number;
  warnLow?: number;
  warnHigh?: number;
  unit: string;
}

export const unit = () => get<Unit>(address(['unit']));
export const putUnit = (value: Unit) => put<Unit>(address(['unit']), value);
export const catalogue = () => get<Catalogue>(address(['catalogue']));
