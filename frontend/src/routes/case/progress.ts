// How far a case has come, part by part.
import type { MissingItem } from '../../lib/api/record';
import type { Case, Part, Reading, SignedReport, Window, WindowPlan } from '../../lib/api/types';
import { type Followed, owedOf, requiredWindows } from '../../lib/record/windows';
import { windowNames } from '../../lib/text/words';

export interface Progress {
  complete: boolean;
  /** What is there, or what is waited for, in a few words. */
  text: string;
  /** Items of the published minimum sets are missing. */
  lacksItems?: boolean;
}

/** Adds what the published minimum sets miss of a part to how far it has come. */
export function withMissing(progress: Progress, missing: readonly MissingItem[], part: MissingItem['part']): Progress {
  const count = missing.filter((m) => m.part === part).length;
  if (count === 0) return progress;
  const items = `${count} ${count === 1 ? 'item' : 'items'} of the minimum sets missing`;
  return { ...progress, lacksItems: true, text: `${progress.text}; ${items}` };
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

/** Complete once the visits that the unit requires are in, with the repeat count, or the case is lost to follow-up. */
export function followUpProgress(plans: readonly WindowPlan[], followed: Followed): Progress {
  if (followed.lost) return { complete: true, text: 'lost to follow-up' };
  const name = (w: Window) => windowNames[w].toLowerCase();
  const owed = owedOf(plans, followed);
  const visits = owed.filter((o) => o.what === 'visit').map((o) => name(o.window));
  if (visits.length > 0) return { complete: false, text: `waiting for ${listed(visits)}` };
  const count = owed[0];
  if (count) return { complete: false, text: `waiting for the cell count of ${name(count.window)}` };
  const required = requiredWindows(plans).map(name);
  return { complete: true, text: required.length > 0 ? `${listed(required)} recorded` : 'no visit is required' };
}

const listed = (words: readonly string[]) =>
  words.length > 1 ? `${words.slice(0, -1).join(', ')} and ${words.at(-1)}` : words.join('');

export function reviewProgress(reports: readonly SignedReport[]): Progress {
  const newest = reports.reduce<SignedReport | undefined>((a, b) => (a && a.number > b.number ? a : b), undefined);
  return newest
    ? { complete: true, text: `report ${newest.number} signed` }
    : { complete: false, text: 'waiting for a signature' };
}
