// What waits for a meeting, as it travels: the JSON of package annotate.
import { address, get, getList, post, put } from './client';
import type { Eye, Technique } from './types';

/** On an agenda a reason is scheduled; a change of the record withdraws one that waits. */
export type InboxState = 'waiting' | 'scheduled' | 'dismissed' | 'withdrawn';

/** One reason to discuss a case. */
export interface InboxEntry {
  id: string;
  /** Absent for who may not see the case. */
  caseId?: string;
  /** Names the case within the inbox and tells nothing else. */
  label: string;
  number: number;
  /** A rule of the catalogue. */
  kind: string;
  /** Names nobody and no date. */
  reason: string;
  raisedAt: number;
  state: InboxState;
  /** Why it was dismissed or withdrawn. */
  dismissedReason?: string;
  meetingId?: string;
  technique: Technique;
  eye: Eye;
  nuclearGrade: number | null;
}
export interface Inbox {
  entries: InboxEntry[];
  /** Cases are still to be held against the rules: reading again goes on. */
  more: boolean;
}
export interface InboxDecision {
  state: InboxState;
  reason?: string;
}

export const inbox = () => get<Inbox>(address(['inbox']));
export const decideInbox = (id: string, decision: InboxDecision) => put<InboxEntry>(address(['inbox', id]), decision);
/** Why a case is or was to be discussed, for those who took part in it. */
export const caseReasons = (caseId: string) => getList<InboxEntry>(address(['cases', caseId, 'discuss']));
export const askToDiscuss = (caseId: string, words: string) =>
  post<InboxEntry>(address(['cases', caseId, 'discuss']), { words });
