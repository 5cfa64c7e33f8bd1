// Feedback, assessments, goals and the summary of a person's period, as they travel: the JSON of package annotate.
import { address, get, getList, post, put } from './client';
import type { Method, Ratio } from './compare';
import type { Eye, Instant, Person } from './types';

/** What somebody else said on a moment of a case in which the reader took part, or in answer to them. */
export interface Feedback {
  caseId: string;
  pseudonym: string;
  eye: Eye;
  date: string;
  readingId: string;
  commentId: string;
  replyTo?: string;
  authorId: string;
  madeAt: number;
  at: Instant;
  end: Instant | null;
  text: string;
  settled: boolean;
  seen: boolean;
}

export interface ScaleLevel {
  value: number;
  label: string;
}
export interface AssessmentItem {
  code: string;
  text: string;
  /** Absent for the operation as a whole. */
  step?: string;
}
/** A version never changes once stored. */
export interface AssessmentForm {
  id: string;
  version: number;
  name: string;
  /** From the least to the most able. */
  scale: ScaleLevel[];
  items: AssessmentItem[];
  shipped: boolean;
  retired: boolean;
  createdAt: number;
}
export interface AssessmentFormRef {
  id: string;
  version: number;
}
/** An item that was not seen has no mark. */
export interface Mark {
  item: string;
  value: number;
  note?: string;
}
export interface Assessment {
  id: string;
  caseId: string;
  /** 0 asks for a new one. */
  revision: number;
  form: AssessmentFormRef;
  subjectId: string;
  assessorId: string;
  marks: Mark[];
  remark?: string;
  madeAt: number;
  updatedAt: number;
}

export type GoalState = 'open' | 'met' | 'dropped';
export interface Goal {
  id: string;
  revision: number;
  traineeId: string;
  authorId: string;
  text: string;
  step?: string;
  agreedOn: string;
  dueOn?: string;
  state: GoalState;
  outcome?: string;
  closedOn?: string;
}

export interface CodeCount {
  code: string;
  name: string;
  times: number;
  cases: number;
}
/** Counts of cases; events and complications are of those operated, wholly or in part. */
export interface Tally {
  led: number;
  shared: number;
  assisted: number;
  supervised: number;
  events: CodeCount[] | null;
  complications: CodeCount[] | null;
  caseIds: string[];
}
/** Times in ms; the ratio is to the average operator on like eyes. */
export interface ProgressStep {
  kind: 'step' | 'stage' | 'operation';
  code: string;
  name: string;
  n: number;
  /** Null under 5 cases. */
  median: number | null;
  group: number | null;
  against: Ratio | null;
  why?: string;
}
export interface ProgressComments {
  received: number;
  unseen: number;
  open: number;
  latest: Feedback[] | null;
}
export interface AssessedLine {
  text: string;
  step?: string;
  value: number;
  label: string;
  note?: string;
}
export interface ProgressAssessment extends Assessment {
  /** Empty for who may not see the case. */
  pseudonym: string;
  date: string;
  formName: string;
  lines: AssessedLine[];
}
export interface Progress {
  person: Person;
  from: string;
  to: string;
  madeOn: string;
  cases: Tally;
  steps: ProgressStep[] | null;
  comments: ProgressComments;
  assessments: ProgressAssessment[] | null;
  goals: Goal[] | null;
  methods: Method[] | null;
}

export const feedback = () => getList<Feedback>(address(['feedback']));
/** Notes that the reader has seen comments of a reading. */
export const seeComments = (reading: string, comments: string[]) =>
  post<void>(address(['readings', reading, 'seen']), { comments });

/** Every version of every form, by name and version. */
export const assessmentForms = () => getList<AssessmentForm>(address(['assessment-forms']));
/** A new id makes version 1; an existing one its next version. */
export const putAssessmentForm = (form: AssessmentForm) =>
  put<AssessmentForm>(address(['assessment-forms', form.id]), form);
export const assessments = (caseId: string) => getList<Assessment>(address(['cases', caseId, 'assessments']));
export const putAssessment = (value: Assessment) =>
  put<Assessment>(address(['cases', value.caseId, 'assessments', value.id]), value);

/** Of whose training the reader may read: themself first. */
export const followed = () => getList<Person>(address(['people', 'followed']));
export const goals = (person: string) => getList<Goal>(address(['people', person, 'goals']));
export const putGoal = (goal: Goal) => put<Goal>(address(['people', goal.traineeId, 'goals', goal.id]), goal);
/** Empty dates do not restrict. */
export const progress = (person: string, from: string, to: string, signal?: AbortSignal) =>
  get<Progress>(address(['people', person, 'progress'], { from, to }), signal);
export const progressFileAddress = (person: string, from: string, to: string) =>
  address(['people', person, 'progress.pdf'], { from, to });
