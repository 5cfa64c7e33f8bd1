// What a line of the list of follow-up due says, and where it leads.
import type { FollowUpItem } from '../../lib/api/followup';
import type { Window } from '../../lib/api/types';
import { dateText, daysBetween } from '../../lib/text/format';

/** The follow-up part of the case, with the visit that it owes open. */
export const visitAddress = (caseId: string, window: Window) => `/cases/${caseId}/follow-up?visit=${window}`;

/** Since when, or from when, the visit is wanted. */
export function when(item: Pick<FollowUpItem, 'dueOn' | 'lateOn' | 'overdue'>, today: string): string {
  if (item.overdue) {
    const days = daysBetween(item.lateOn, today) ?? 0;
    return `overdue by ${days} ${days === 1 ? 'day' : 'days'}`;
  }
  return item.dueOn <= today ? `due until ${dateText(item.lateOn)}` : `due from ${dateText(item.dueOn)}`;
}

/** Where the arrows lead in a list of lines; undefined for another key, or where there is no further line. */
export function step(key: string, at: number, count: number): number | undefined {
  const to = { ArrowDown: at + 1, ArrowUp: at - 1, Home: 0, End: count - 1 }[key];
  return to !== undefined && to >= 0 && to < count ? to : undefined;
}
