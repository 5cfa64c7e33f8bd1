// The filter of the list of follow-up due as it stands in the address, so that the way back leads to the same list.
import type { FollowUpFilter } from '../../lib/api/followup';
import { plannedWindows } from '../../lib/record/windows';

export const emptyFilter: FollowUpFilter = { q: '', operator: '', window: '', overdue: false };

/** Reads a filter out of the search part of an address. Unknown words are left out. */
export function readFilter(search: string): FollowUpFilter {
  const given = new URLSearchParams(search);
  return {
    q: given.get('q') ?? '',
    operator: given.get('operator') ?? '',
    window: plannedWindows.find((w) => w === given.get('visit')) ?? '',
    overdue: given.get('overdue') === 'yes',
  };
}

/** The search part of the address for a filter; "" for the empty one. */
export function writeFilter(filter: FollowUpFilter): string {
  const given = new URLSearchParams();
  if (filter.q) given.set('q', filter.q);
  if (filter.operator) given.set('operator', filter.operator);
  if (filter.window) given.set('visit', filter.window);
  if (filter.overdue) given.set('overdue', 'yes');
  const text = given.toString();
  return text && `?${text}`;
}

let left = '';

/** Keeps how the list was last filtered, for the way back from a case. */
export function leaveList(search: string): void {
  left = search;
}
/** The list as it was left. */
export const listAddress = () => `/follow-up${left}`;

export const narrows = (filter: FollowUpFilter): boolean => writeFilter(filter) !== '';
