// The unit's plan of follow-up: when each visit is due, and what a case still owes. The server's rule is the same one.
import type { EndothelialExam, LostToFollowUp, Window, WindowPlan } from '../api/types';
import { daysAfter } from '../text/format';

/** The visits in their order; "other" is never planned. */
export const windowOrder: readonly Window[] = ['day-1', 'week-1', 'month-1', 'month-3', 'year-1', 'other'];
export const plannedWindows = windowOrder.filter((w) => w !== 'other');

/** The visits that a case owes, in their order. */
export function requiredWindows(plans: readonly WindowPlan[]): Window[] {
  return plans.filter((p) => p.required).map((p) => p.window);
}

/** The required visits first, in their order, then the others. */
export function rankOf(window: Window, plans: readonly WindowPlan[]): number {
  const required = requiredWindows(plans).indexOf(window);
  return required >= 0 ? required : windowOrder.length + windowOrder.indexOf(window);
}

/** The date to begin a visit with: the day on which the unit plans it, but never one to come. */
export function firstDate(window: Window, plans: readonly WindowPlan[], operated: string, today: string): string {
  const plan = plans.find((p) => p.window === window);
  const planned = plan ? daysAfter(operated, plan.dueDays) : today;
  return planned < today ? planned : today;
}

export interface Due {
  dueOn: string;
  /** After this date it is overdue. */
  lateOn: string;
  /** "later" before it is due. */
  state: 'later' | 'due' | 'overdue';
}

/** When the visit of a window is due; undefined for one that the unit does not plan. */
export function dueOf(window: Window, plans: readonly WindowPlan[], operated: string, today: string): Due | undefined {
  const plan = plans.find((p) => p.window === window);
  if (!plan) return undefined;
  const dueOn = daysAfter(operated, plan.dueDays);
  const lateOn = daysAfter(operated, plan.lateDays);
  return { dueOn, lateOn, state: today > lateOn ? 'overdue' : today >= dueOn ? 'due' : 'later' };
}

export interface Followed {
  visits: readonly { window: Window; exam?: EndothelialExam }[];
  /** There was an endothelial count before the operation. */
  counted: boolean;
  lost?: LostToFollowUp | null;
}

export interface Owed {
  window: Window;
  /** The visit itself, or only the repeat count that belongs to it. */
  what: 'visit' | 'count';
}

/**
 * What a case owes, in the order of the visits; nothing once it is declared lost. After a count before the operation the
 * last required visit also asks for a count, at that visit or at a later one.
 */
export function owedOf(plans: readonly WindowPlan[], { visits, counted, lost }: Followed): Owed[] {
  if (lost) return [];
  const required = requiredWindows(plans);
  const last = required.at(-1);
  const owed: Owed[] = [];
  for (const window of required) {
    if (!visits.some((v) => v.window === window)) owed.push({ window, what: 'visit' });
    else if (window === last && counted && !visits.some((v) => v.exam && reaches(v.window, window)))
      owed.push({ window, what: 'count' });
  }
  return owed;
}

const reaches = (window: Window, last: Window) => windowOrder.indexOf(window) >= windowOrder.indexOf(last);

/** Common practice, for a visit that the unit's plan leaves out; local policy decides. */
const usualDays: Partial<{ [w in Window]: [due: number, late: number] }> = {
  'day-1': [1, 7],
  'week-1': [7, 14],
  'month-1': [28, 56],
  'month-3': [84, 140],
  'year-1': [365, 450],
};

/** The plan with a row for every visit that can be planned. */
export function wholePlan(plans: readonly WindowPlan[]): WindowPlan[] {
  return plannedWindows.map((window) => {
    const [dueDays, lateDays] = usualDays[window] ?? [0, 0];
    return { ...(plans.find((p) => p.window === window) ?? { window, dueDays, lateDays, required: false }) };
  });
}

/** What is wrong with a plan, by the JSON path of the field. The server's rule is the same one. */
export function planFaults(plans: readonly WindowPlan[]): Map<string, string> {
  const faults = new Map<string, string>();
  let due = 0;
  for (const [i, plan] of plans.entries()) {
    if (plan.lateDays < plan.dueDays)
      faults.set(`windows[${i}].lateDays`, 'lies before the day on which the visit is due');
    if (plan.dueDays < due) faults.set(`windows[${i}].dueDays`, 'lies before the visit that comes first');
    due = Math.max(due, plan.dueDays);
  }
  return faults;
}
