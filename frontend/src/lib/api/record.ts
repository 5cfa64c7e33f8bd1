// What follows from the clinical record of a case, as the server computes it. Nothing is rounded; null does not follow.
import { address, get } from './client';
import type { Eye, Window } from './types';

/** A typed acuity and what it means. */
export interface Converted {
  typed: string;
  decimal: number | null;
  logMAR: number | null;
  /** Which published value stands for a category such as CF; "" for a measured acuity. */
  convention: string;
  /** Why it has no logMAR; "" when it has one. */
  why: string;
}
export interface VisitAcuity {
  visitId: string;
  corrected: Converted | null;
  uncorrected: Converted | null;
  /** logMAR before minus logMAR at the visit: above 0 the eye sees better. */
  gain: number | null;
}
export interface AcuityRecord {
  before: Converted | null;
  uncorrectedBefore: Converted | null;
  fellowEye: Converted | null;
  visits: VisitAcuity[];
}
/** One factor of the expected risk; low and high are its odds ratio, apart while the answer is unknown. */
export interface RiskFactor {
  code: string;
  name: string;
  level: string;
  known: boolean;
  low: number;
  high: number;
  /** Of the published odds ratio: "found" or "from memory". */
  status: string;
}
/** The published chance of capsule rupture or vitreous loss in cases like this, factor by factor. */
export interface ExpectedRisk {
  /** null while a factor is unknown: see the range. */
  percent: number | null;
  lowPercent: number;
  highPercent: number;
  compositeLow: number;
  compositeHigh: number;
  factors: RiskFactor[];
  /** What the unit multiplies the odds by; null when it does not. */
  oddsMultiplier: number | null;
  source: string;
  status: string;
  limits: string;
}
/** The loss between two counts, in percent; null where it cannot be said. */
export interface DensityLoss {
  lossPercent: number | null;
  low: number | null;
  high: number | null;
  beyondCountingError: boolean | null;
  smallestTold: number | null;
  /** Cells/mm² that ageing alone would have left; only after more than half a year. */
  expectedWithoutSurgery: number | null;
  instrumentMismatch: boolean;
  notes: string[];
}
/** One count with the 95 % interval of its counting error, cells/mm². */
export interface DensityPoint {
  eye: Eye;
  /** "" before the operation. */
  window: Window | '';
  visitId: string;
  date: string;
  density: number;
  low: number | null;
  high: number | null;
  /** Against the count of the same eye before the operation. */
  loss: DensityLoss | null;
  /** Cells/mm² that ageing alone would have left; null until half a year has passed. */
  expectedWithoutSurgery: number | null;
  /** Which limits of the unit it passes, in words. */
  flags: string[];
}
export interface MissingItem {
  item: string;
  /** Codes of the sets that ask for it, joined by ", ". */
  set: string;
  part: 'before' | 'operation' | 'after';
  /** Where to enter it: a path in the case, or "visits." and a path in a visit. */
  field: string;
}
/** How much of a published minimum set a case has. */
export interface SetShare {
  code: string;
  citation: string;
  /** How far the list of items was checked. */
  status: string;
  leftOut: string;
  have: number;
  of: number;
}
export interface Completeness {
  have: number;
  of: number;
  missing: MissingItem[];
  sets: SetShare[];
}
/** A value that was kept and that a person should look at again. */
export interface Doubt {
  /** A path in the case, or "visits[<id>]." and a path in the visit. */
  field: string;
  message: string;
}
/** The audit definition of capsule rupture. */
export interface RuptureDefinition {
  definition: string;
  source: string;
  /** How far it was checked. */
  status: string;
}
/** The definition applied to one case. */
export interface RuptureJudgement extends RuptureDefinition {
  counts: boolean;
  /** Codes of the recorded complications that count. */
  kinds: string[];
  /** In words, with what was recorded. */
  why: string;
}
/** What follows from times and powers beside the entered energy, which counts. */
export interface EnergyRecord {
  cdeComputed: number | null;
  cdeDifferencePercent: number | null;
  /** By more than 5 %. */
  cdeDiffers: boolean;
  /** Seconds. */
  eptComputed: number | null;
  eptDifferencePercent: number | null;
  eptDiffers: boolean;
}
export interface ClinicalRecord {
  warnings: Doubt[];
  acuity: AcuityRecord;
  energy: EnergyRecord;
  /** Fitted to the unit when the unit says so (oddsMultiplier is then a number), else as published. */
  risk: ExpectedRisk;
  /** As published, when risk is fitted to the unit; else null. */
  riskPublished: ExpectedRisk | null;
  rupture: RuptureJudgement;
  completeness: Completeness;
  /** The operated eye and then the fellow eye, each by date with the count before first. */
  endothelium: DensityPoint[];
  /** Counts from different instruments are compared, because the case says so. */
  compareInstruments: boolean;
}

export const clinicalRecord = (caseId: string, signal?: AbortSignal) =>
  get<ClinicalRecord>(address(['cases', caseId, 'record']), signal);
