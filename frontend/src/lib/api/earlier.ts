// A case beside earlier operations on the same patient.
import { address, get } from './client';
import type { Eye, SignedReport, Technique, Window } from './types';

/** Null is not known. Times are ms, densities cells/mm². */
export interface BesideCase {
  caseId: string;
  date: string;
  eye: Eye;
  /** As the case that is asked about. */
  sameEye: boolean;
  technique: Technique;
  nuclearGrade: number | null;
  operation: number | null;
  nucleus: number | null;
  cde: number | null;
  densityBefore: number | null;
  /** At the latest visit with a count. */
  densityAfter: number | null;
  /** Of that visit, empty without one. */
  window: Window | '';
  /** Names. */
  complications: string[];
  /** The latest signed one. */
  report: SignedReport | null;
}
export interface EarlierCases {
  here: BesideCase;
  /** The latest first. */
  earlier: BesideCase[];
}

export const earlierCases = (caseId: string) => get<EarlierCases>(address(['cases', caseId, 'earlier']));
