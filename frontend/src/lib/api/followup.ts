import { address, get } from './client';
import type { CaseSummary, Window } from './types';

/** A case with the visit that it owes next. */
export interface FollowUpItem {
  case: CaseSummary;
  window: Window;
  dueOn: string;
  /** After this date it is overdue. */
  lateOn: string;
  overdue: boolean;
}
export interface FollowUpPage {
  items: FollowUpItem[];
  next: string;
  total: number;
}
/** Narrows the list; empty values do not narrow. */
export interface FollowUpFilter {
  q: string;
  operator: string;
  window: Window | '';
  overdue: boolean;
}

/** One page of what is owed, the longest overdue first. */
export const followUp = (filter: FollowUpFilter, cursor = '', limit = 60, signal?: AbortSignal) =>
  get<FollowUpPage>(address(['follow-up'], { ...filter, cursor, limit }), signal);
/** Where the whole filtered list is, as a table. */
export const followUpFileAddress = (filter: FollowUpFilter) => address(['follow-up.csv'], { ...filter });
