// Meetings, their agenda, record and actions, as members get them: the JSON of package annotate.
import { address, get, getList, post, put, remove } from './client';
import type { OperatorRole } from './types';
import type { KindRate, Rate } from './unitrecord';

export type MeetingState = 'planned' | 'running' | 'closed';
export interface Attendee {
  userId: string;
  present: boolean;
  apology: boolean;
}
export interface Meeting {
  id: string;
  /** 0 asks for a new one. */
  revision: number;
  title: string;
  date: string;
  /** HH:MM, or "". */
  start: string;
  room: string;
  chairId: string;
  /** Who presents what no other person presents; "" is the chair. */
  presenterId: string;
  attendees: Attendee[];
  state: MeetingState;
  /** Members see it from the one day to the other; "" asks for the usual ones. */
  opensOn: string;
  closesOn: string;
  /** The operations that are the denominators; "" asks for the 90 days up to the meeting. */
  from: string;
  to: string;
  takesVotes: boolean;
  takesRemarks: boolean;
  namesOperators: boolean;
  namesReason: string;
}

export type ItemKind = 'actions' | 'case' | 'topic';
export interface Moment {
  id: string;
  /** Number, from 1, of the part of the recording. */
  part: number;
  /** Media time in it. */
  ms: number;
  /** What to look at. */
  line: string;
  step: string;
  /** On the case clock, such as "12:41"; set by the server. */
  clock: string;
}
export interface Pack {
  situation: string;
  background: string;
  assessment: string;
  recommendation: string;
  moments: Moment[];
}
export interface ItemPart {
  part: number;
  duration: number;
  width: number;
  height: number;
  playable: boolean;
  /** Why it is not. */
  reason: string;
}
export interface ItemOperator {
  userId: string;
  role: OperatorRole;
}
export type FactorFamily = 'patient' | 'task' | 'individual' | 'team' | 'environment' | 'organisation' | 'institution';
export type Harm = '' | 'none' | 'low' | 'moderate' | 'severe' | 'death';
export type Preventability = '' | 'not' | 'probably-not' | 'probably' | 'clearly';
export interface Factor {
  family: FactorFamily;
  text: string;
}
export interface LearningPoint {
  text: string;
  /** The moment that shows it, or "". */
  momentId: string;
}
/** What was said about one item; it has a revision of its own. */
export interface ItemRecord {
  revision: number;
  discussion: string;
  factors: Factor[];
  harm: Harm;
  preventability: Preventability;
  learning: LearningPoint[];
  writtenBy: string;
  writtenAt: number;
}
export type VoteQuestion = 'harm' | 'preventability';
export interface VoteCount {
  value: string;
  count: number;
}
export interface ItemVote {
  question: VoteQuestion;
  open: boolean;
  voted: number;
  own: boolean;
  /** Null until the vote is closed and enough have voted; `why` says why. */
  counts: VoteCount[] | null;
  why: string;
}
export interface AgendaItem {
  id: string;
  revision: number;
  /** From 1; 1 holds the open actions. */
  place: number;
  kind: ItemKind;
  title: string;
  label: string;
  minutes: number;
  presenterId: string;
  /** Given with a new item; later only the chair reads them. */
  inboxIds: string[];
  pack: Pack;
  /** Says that consent was withdrawn, or "". */
  withdrawn: string;
  operators: ItemOperator[];
  recording: ItemPart[];
  record: ItemRecord;
  votes: ItemVote[];
}

export type ActionState = 'open' | 'done' | 'closed';
export interface MeetingAction {
  id: string;
  revision: number;
  /** "" for who may not see that meeting. */
  meetingId: string;
  itemId: string;
  text: string;
  ownerId: string;
  dueOn: string;
  state: ActionState;
  evidence: string;
  reviewOn: string;
  /** The later meeting that closed it, or "". */
  closedAt: string;
  closedReason: string;
  closedOn: string;
  agreedOn: string;
  overdue: boolean;
}
export interface Remark {
  id: string;
  itemId: string;
  authorId: string;
  text: string;
  madeAt: number;
}
export interface MeetingRights {
  chair: boolean;
  /** Ids of the items that the viewer may lead through, prepare and write the record of. */
  present: string[];
  prepare: string[];
  write: string[];
}
export interface MeetingSheet extends Meeting {
  agenda: AgendaItem[];
  earlierActions: MeetingAction[];
  actions: MeetingAction[];
  remarks: Remark[];
  may: MeetingRights;
  /** Counts every change to anything of the meeting. */
  change: number;
}
export interface MeetingLine {
  id: string;
  title: string;
  date: string;
  start: string;
  room: string;
  state: MeetingState;
  items: number;
  minutes: number;
  chair: boolean;
  closesOn: string;
}

/** Where a running meeting is. */
export interface Place {
  seq: number;
  itemId: string;
  momentId: string;
  /** The text of the pack that is shown; "" none. */
  slide: '' | 'situation' | 'background' | 'assessment' | 'recommendation';
  /** Number of the part of the recording; 0 none. */
  part: number;
  /** Media time when the presenter sent it. */
  ms: number;
  playing: boolean;
  /** 0 stands for 1. */
  rate: number;
  at: number;
  /** Unix ms on the server when the meeting came to the item. */
  itemAt: number;
  presenterId: string;
  state: MeetingState;
}
/** A place as the line brings it, with the server's time when it was sent. */
export interface LivePlace extends Place {
  sentAt: number;
}

export interface MeetingChartPoint {
  number: number;
  event: boolean;
  worse: number;
  excess: number;
}
export interface MeetingChart {
  operations: number;
  events: number;
  expected: number;
  basis: string;
  limit: number;
  falseAlarmEvery: number;
  points: MeetingChartPoint[];
  signalledAt: number[];
  text: string;
}
export interface MeetingDenominators {
  from: string;
  to: string;
  operations: number;
  ruptureEvents: number;
  rupture: Rate;
  complications: KindRate[];
  chart: MeetingChart | null;
  notes: string[];
}

export const meetings = () => getList<MeetingLine>(address(['meetings']));
export const meeting = (id: string) => get<MeetingSheet>(address(['meetings', id]));
export const putMeeting = (m: Meeting) => put<MeetingSheet>(address(['meetings', m.id]), m);
export const removeMeeting = (id: string, revision: number) => remove(address(['meetings', id], { revision }));
export const setMeetingState = (id: string, state: MeetingState) =>
  post<MeetingSheet>(address(['meetings', id, 'state']), { state });
export const putAttendance = (id: string, attendee: Attendee) =>
  put<MeetingSheet>(address(['meetings', id, 'attendance']), attendee);
export const denominators = (id: string) => get<MeetingDenominators>(address(['meetings', id, 'denominators']));
export const putMeetingItem = (id: string, item: AgendaItem) =>
  put<AgendaItem>(address(['meetings', id, 'items', item.id]), item);
export const removeMeetingItem = (id: string, item: string, revision: number) =>
  remove(address(['meetings', id, 'items', item], { revision }));
export const composePack = (id: string, item: string) =>
  post<Pack>(address(['meetings', id, 'items', item, 'compose']));
export const putItemRecord = (id: string, item: string, record: ItemRecord) =>
  put<ItemRecord>(address(['meetings', id, 'items', item, 'record']), record);
export const putVote = (id: string, item: string, question: VoteQuestion, value: string) =>
  put<ItemVote>(address(['meetings', id, 'items', item, 'vote']), { question, value });
export const putVoting = (id: string, item: string, question: VoteQuestion, open: boolean) =>
  put<ItemVote>(address(['meetings', id, 'items', item, 'voting']), { question, open });
export const putRemark = (id: string, remark: Remark) =>
  put<Remark>(address(['meetings', id, 'remarks', remark.id]), remark);
export const leadMeeting = (id: string, place: Place) => post<Place>(address(['meetings', id, 'live']), place);
export const liveAddress = (id: string) => address(['meetings', id, 'live']);
export const itemPartAddress = (id: string, item: string, part: number) =>
  address(['meetings', id, 'items', item, 'media', String(part)]);
export const itemStillAddress = (id: string, item: string, moment: string, width: number) =>
  address(['meetings', id, 'items', item, 'stills', moment], { width });
export const meetingActions = () => getList<MeetingAction>(address(['actions']));
export const putMeetingAction = (action: MeetingAction) => put<MeetingAction>(address(['actions', action.id]), action);
