// How far a case has come, part by part.
import type { Case, Part, Reading, SignedReport, Visit, Window } from '../../lib/api/types';
import { windowNames } from '../../lib/text/words';

export interface Progress {
  complete: boolean;
  /** What is there, or what is waited for, in a few words. */
  text: string;
}

/** Lists the eye-before facts that the review cannot do without. */
export function beforeProgress(c: Case): Progress {
  const b = c.before;
  const lacking = [
    b.age === undefined ? 'age' : '',
    b.sex ? '' : 'sex',
    b.nuclearGrade === undefined ? 'nuclear grade' : '',
    b.pupil ? '' : 'pupil',
    b.exam ? '' : 'cell count',
  ].filter(Boolean);
  return lacking.length === 0
    ? { complete: true, text: 'complete' }
    : { complete: false, text: `waiting for ${lacking.join(', ')}` };
}

/** The operation is complete once its recording is marked and no expected step is open. */
export function operationProgress(parts: readonly Part[], readings: readonly Reading[], stepsOpen: number): Progress {
  if (readings.some((r) => r.accepted && r.seq > 0)) {
    if (stepsOpen === 0) return { complete: true, text: 'tagged' };
    return { complete: false, text: `${stepsOpen} expected ${stepsOpen === 1 ? 'step' : 'steps'} not marked` };
  }
  if (parts.length === 0) return { complete: false, text: 'waiting for a recording' };
  return { complete: false, text: 'waiting to be tagged' };
}

/** The visits that every case is to have. */
export const wantedVisits: readonly Window[] = ['day-1', 'month-1'];

/** A count before the operation asks for another at month 1; without it the month-1 visit is not all there. */
export function followUpProgress(visits: readonly Visit[], counted: boolean): Progress {
  const lacking = wantedVisits.filter((w) => !visits.some((v) => v.window === w));
  if (lacking.length > 0) {
    return { complete: false, text: `waiting for ${lacking.map((w) => windowNames[w].toLowerCase()).join(' and ')}` };
  }
  if (counted && !visits.some((v) => v.window === 'month-1' && v.exam)) {
    return { complete: false, text: 'waiting for the cell count of month 1' };
  }
  return { complete: true, text: 'day 1 and month 1 recorded' };
}

export function reviewProgress(reports: readonly SignedReport[]): Progress {
  const newest = reports.reduce<SignedReport | undefined>((a, b) => (a && a.number > b.number ? a : b), undefined);
  return newest
    ? { complete: true, text: `report ${newest.number} signed` }
    : { complete: false, text: 'waiting for a signature' };
}
