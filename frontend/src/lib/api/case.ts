import { address, get, getList, put } from './client';
import type { MeetingAction, MeetingLine } from './meeting';
import type { Case, CasePage, CaseSummary, Permissions, Window } from './types';

export type CaseState = '' | 'to-record' | 'to-tag' | 'follow-up-due' | 'to-sign' | 'signed';
export type CaseSort = 'date' | 'pseudonym' | 'grade' | 'duration';

/** Narrows and orders the list; empty values do not narrow. */
export interface CaseFilter {
  q: string;
  eye: string;
  technique: string;
  operator: string;
  from: string;
  to: string;
  complication: string;
  state: CaseState;
  sort: CaseSort;
  descending: boolean;
}

/** One thing that waits, with the case it belongs to. */
export interface Waiting {
  case: CaseSummary;
  window?: Window;
  dueOn?: string;
  overdue?: boolean;
  comments?: number;
}
export interface Today {
  toRecord: Waiting[];
  toTag: Waiting[];
  followUpDue: Waiting[];
  commentsToAnswer: Waiting[];
  toSign: Waiting[];
  /** Cases that wait for a meeting; 0 for who makes no agenda. */
  inbox: number;
  /** Own actions of meetings that are not reported done. */
  actions: MeetingAction[];
  /** Meetings that are running or lie ahead, the next first. */
  meetings: MeetingLine[];
}
/** The lists of Today that hold cases. */
export type TodayList = Exclude<keyof Today, 'inbox' | 'actions' | 'meetings'>;

/** One thing that was done to a case; detail is JSON, for a change the fields before and after. */
export interface AuditEntry {
  seq: number;
  at: number;
  actorId: string;
  action: string;
  thingId?: string;
  detail?: string;
}

export const cases = (filter: Partial<CaseFilter>, cursor = '', limit = 60, signal?: AbortSignal) =>
  get<CasePage>(address(['cases'], { ...filter, cursor, limit }), signal);
export const caseById = (id: string) => get<Case>(address(['cases', id]));
/** Revision 0 makes a new case. A stale revision is refused with both versions. */
export const putCase = (value: Case) => put<Case>(address(['cases', value.id]), value);
export const permissions = (id: string) => get<Permissions>(address(['cases', id, 'permissions']));
/** What was done to the case, newest first. */
export const caseHistory = (id: string) => getList<AuditEntry>(address(['cases', id, 'history']));
export const today = () => get<Today>(address(['today']));
