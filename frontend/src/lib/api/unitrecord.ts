// What became of the unit's operations, and how complete their record is. Shares are in percent; null under 5 cases.
import { address, get } from './client';
import type { RuptureDefinition, SetShare } from './record';
import type { Eye, Technique } from './types';

/** With Wilson's 95 % interval. */
export interface Rate {
  percent: number | null;
  low: number | null;
  high: number | null;
}
/** Operations with a kind of complication, each once. */
export interface KindCount {
  code: string;
  name: string;
  count: number;
}
export interface UnitRupture extends RuptureDefinition {
  /** Operations that count, each once. */
  events: number;
  operations: number;
  rate: Rate;
  kinds: KindCount[];
  /** Mean published risk of the expectedOf operations whose every factor is known; observedOf ruptured among these. */
  expectedPercent: number | null;
  expectedOf: number;
  observedOf: number;
  /** Means of the ends of the ranges over all operations. */
  expectedLowPercent: number | null;
  expectedHighPercent: number | null;
}
export interface KindRate extends Rate {
  kind: string;
  name: string;
  phase: string;
  count: number;
  /** All operations; for what comes after the operation those that were seen again. */
  of: number;
}
/** One item of the minimum sets over the operations of which it can be expected by now. */
export interface UnitItem {
  item: string;
  part: string;
  field: string;
  sets: string[];
  have: number;
  of: number;
  /** The newest cases without it that the viewer may see, at most 50. */
  lacking: LackingCase[];
}
export interface LackingCase {
  id: string;
  pseudonym: string;
  eye: Eye;
}
export interface UnitCompleteness {
  cases: number;
  items: UnitItem[];
  sets: SetShare[];
}
export interface UnitRecord {
  from: string;
  to: string;
  technique: Technique | '';
  operator: string;
  /** "unit": all operations of the unit; "seen": those that the viewer may see. */
  scope: 'unit' | 'seen';
  operations: number;
  signed: number;
  rupture: UnitRupture;
  complications: KindRate[];
  completeness: UnitCompleteness;
  lostToFollowUp: number;
  owing: number;
  overdue: number;
  /** What the figures do not say, in words. */
  notes: string[];
}
/** Empty values do not narrow. */
export interface UnitRecordFilter {
  from: string;
  to: string;
  technique: string;
  operator: string;
}

export const unitRecord = (filter: Partial<UnitRecordFilter>, signal?: AbortSignal) =>
  get<UnitRecord>(address(['unit', 'record'], { ...filter }), signal);
export const unitRecordFileAddress = (filter: Partial<UnitRecordFilter>) =>
  address(['unit', 'record.csv'], { ...filter });
