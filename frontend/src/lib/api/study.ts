// Studies of what came of the eyes, as package timeline/outcome answers them, and what is kept of them.
import { address, get, getList, post, put, remove, sendForLines } from './client';
import type { LeftOut, Method } from './compare';
import { Problem, type ProblemBody } from './problem';

export type OutcomeKind = 'loss' | 'oedema' | 'thickness' | 'acuity' | 'complication';
export interface Outcome {
  kind: OutcomeKind;
  /** The visit at which it is read; "" for complications. */
  window: string;
  /** A code; "" for other kinds. */
  complication: string;
}
export type Scale = 'unit' | 'doubling';
export interface Exposure {
  kind: string;
  /** Of the step, stage or kind of event; "" for other kinds. */
  code: string;
  scale: Scale;
}
/** Empty texts and null choose all. */
export interface Population {
  technique: string;
  from: string;
  to: string;
  gradeFrom: number | null;
  gradeTo: number | null;
  /** Who led: "me" or an id. */
  operator: string;
  withRuptures: boolean;
}
export interface Definition {
  outcome: Outcome;
  exposures: Exposure[];
  /** Codes of factors; null takes the usual set of the outcome, as far as the data carry it. */
  adjust: string[] | null;
  population: Population;
}

export interface Measure {
  code: string;
  name: string;
  unit: string;
}
export interface Spread {
  n: number;
  mean: number;
  sd: number;
  median: number;
  q1: number;
  q3: number;
}
export interface Difference extends Measure {
  kept: Spread;
  fell: Spread;
  /** Kept minus fell in pooled standard deviations. */
  standardised: number | null;
}
export interface Adjustment {
  code: string;
  name: string;
  reason: string;
}
/** The size of a relation: an odds ratio for complications, percent fewer cells left for a loss, else units of the outcome. */
export interface Size {
  value: number;
  low: number;
  /** The largest number there is where an odds ratio has no upper bound. */
  high: number;
  p: number | null;
  n: number;
  interval: string;
  otherLow: number | null;
  otherHigh: number | null;
  eventsPerParameter: number | null;
}
export interface Sensitivity {
  name: string;
  size: Size | null;
  why: string;
}
export interface RelationPoint {
  /** "" where the viewer may not see the case. */
  caseId: string;
  x: number;
  y: number;
  /** Standard error of y from counting. */
  error?: number;
}
export interface RelationChart {
  points: RelationPoint[];
  line: { x: number; y: number; low: number; high: number }[];
  smooth: { x: number; y: number }[];
  added: RelationPoint[];
  thinned: boolean;
}
export interface Relation extends Measure {
  exposure: Exposure;
  per: string;
  summary: Spread;
  unadjusted: Size | null;
  adjusted: Size | null;
  together: Size | null;
  why: string;
  holm: number | null;
  benjaminiHochberg: number | null;
  rank: { rho: number; low: number | null; high: number | null; p: number } | null;
  sensitivity: Sensitivity[];
  driving: { caseId: string; share: number }[];
  checks: string[];
  smallestSeen: number | null;
  chart: RelationChart | null;
  text: string;
}
export interface CountingError {
  known: number;
  assumed: number;
  share: number;
  text: string;
}
export interface StudyResult {
  definition: Definition;
  outcome: Measure;
  population: number;
  n: number;
  operators: number;
  events: number;
  summary: Spread | null;
  fellOut: LeftOut[];
  differences: Difference[];
  adjustedFor: Adjustment[];
  notAdjusted: Adjustment[];
  relations: Relation[];
  collinear: string[];
  countingError: CountingError | null;
  /** What is missing, where nothing is modelled. */
  why: string;
  answer: string[];
  cannotSay: string[];
  notes: string[];
  methods: Method[];
}

/** What there is to choose from; n counts the cases that know it. */
export interface OutcomeChoices {
  outcomes: {
    kind: OutcomeKind;
    name: string;
    windows: { window: string; name: string; n: number }[];
    /** Events is null where too few people led the cases for it to be told. */
    complications: { code: string; name: string; events: number | null }[];
    /** The usual set of factors. */
    usual: string[];
  }[];
  exposures: {
    kind: string;
    code: string;
    name: string;
    unit: string;
    scales: Scale[];
    n: number;
    group: 'times' | 'energy' | 'events';
  }[];
  covariates: (Adjustment & { n: number })[];
  operators: { id: string; name: string; own: boolean }[];
  techniques: { code: string; name: string; n: number }[];
  from: string;
  to: string;
  cases: number;
  /** How many people must have led the cases before anything is told; 0 for who answers for the unit. */
  smallestGroup: number;
}

export interface Study {
  id: string;
  revision: number;
  name: string;
  /** Why it is asked. */
  question: string;
  ownerId: string;
  definition: Definition;
  shared: boolean;
  madeAt: number;
  updatedAt: number;
}
/** A study as the viewer sees it. */
export interface StudyEntry extends Study {
  ownerName: string;
  own: boolean;
  /** How many times it was frozen, of which the viewer may read. */
  frozen: number;
}
export interface FrozenStudy {
  id: string;
  studyId: string;
  number: number;
  name: string;
  question: string;
  definition: Definition;
  hash: string;
  dataHash: string;
  rules: string;
  operators: number;
  fewest?: number;
  frozenBy: string;
  frozenName: string;
  frozenAt: number;
}
/** An answer with the fingerprints that are named to freeze it. */
export interface StudyAnswer {
  answer: StudyResult;
  hash: string;
  dataHash: string;
}
/** How far the work is, or, last, what it found or why it was given up. */
interface AnswerLine {
  done?: number;
  of?: number;
  answer?: StudyResult;
  hash?: string;
  dataHash?: string;
  problem?: ProblemBody & { status: number };
}
export type StudyReportFormat = 'html' | 'pdf';
export type StudyTableFormat = 'csv' | 'xlsx';
export type FrozenFormat = StudyReportFormat | StudyTableFormat | 'json';

export const outcomeChoices = (signal?: AbortSignal) => get<OutcomeChoices>(address(['outcomes', 'choices']), signal);

/** Answers a question; progress is told how many of its exposures are done. Aborting the signal ends the work. */
export async function answerStudy(
  definition: Definition,
  progress: (done: number, of: number) => void,
  signal: AbortSignal,
): Promise<StudyAnswer> {
  let found: StudyAnswer | undefined;
  await sendForLines(
    address(['outcomes', 'answers']),
    definition,
    (given) => {
      const line = given as AnswerLine;
      if (line.problem) throw new Problem(line.problem.status, line.problem);
      if (line.answer) found = { answer: line.answer, hash: line.hash ?? '', dataHash: line.dataHash ?? '' };
      else if (line.done !== undefined && line.of !== undefined) progress(line.done, line.of);
    },
    signal,
  );
  if (!found) throw new Problem(200, { code: 'unavailable', detail: 'The answer was cut off. Ask again.' });
  return found;
}

export const studies = () => getList<StudyEntry>(address(['studies']));
export const study = (id: string, signal?: AbortSignal) =>
  get<{ study: StudyEntry; frozen: FrozenStudy[] | null }>(address(['studies', id]), signal);
/** Revision 0 makes a new one. */
export const putStudy = (s: Study) => put<Study>(address(['studies', s.id]), s);
export const removeStudy = (s: Study) => remove(address(['studies', s.id], { revision: s.revision }));
/** Where the report on today's data is, as a file. */
export const studyReport = (id: string, format: StudyReportFormat) => address(['studies', id, `report.${format}`]);
/** Where the table of its cases is, without pseudonyms. */
export const studyTable = (id: string, format: StudyTableFormat) => address(['studies', id, `table.${format}`]);
/** Keeps the answer that was read: the server refuses when today's data give another. */
export const freezeStudy = (id: string, hash: string, dataHash: string) =>
  post<FrozenStudy>(address(['studies', id, 'frozen']), { hash, dataHash });
/** Everything frozen that the viewer may read, the latest first, also of studies that were deleted. */
export const frozenStudies = () => getList<FrozenStudy>(address(['frozen-studies']));
export const frozenStudy = (id: string) => get<FrozenStudy>(address(['frozen-studies', id]));
/** Where what was frozen is, as a file. */
export const frozenContent = (id: string, format: FrozenFormat) => address(['frozen-studies', id, `content.${format}`]);
