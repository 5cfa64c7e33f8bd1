// The words of the domain as they travel: the JSON of package annotate. Times are whole milliseconds, instants of
// the wall clock Unix milliseconds, dates YYYY-MM-DD, ids UUIDv7 made by whoever makes the thing.

export type * from './tagging';

export interface Instant {
  part: string;
  /** Media time in ms since the first frame of the part. */
  ms: number;
}
export interface FrameRate {
  num: number;
  den: number;
}
export interface RateSpan {
  start: number;
  end: number;
  perMille: number;
}

export type Role = 'surgeon' | 'trainee' | 'trainer' | 'chair' | 'member' | 'clinic' | 'administrator';
export type Grade =
  | 'consultant'
  | 'associate-specialist'
  | 'specialty-doctor'
  | 'fellow'
  | 'senior-trainee'
  | 'junior-trainee';

export interface User {
  id: string;
  revision: number;
  login: string;
  name: string;
  roles: Role[];
  grade?: Grade;
  active: boolean;
  mustChangePassword: boolean;
  createdAt: number;
}
export interface Person {
  id: string;
  name: string;
  grade?: Grade;
  roles: Role[];
  /** May sign in; one who has left is still named in cases. */
  active: boolean;
}
export interface Unit {
  name: string;
  revision: number;
  /** An endothelial loss above this percentage is flagged. */
  lossLimitPercent: number;
  /** A cell density below this (cells/mm²) is flagged. */
  densityLimit: number;
  /** The unit's data is made up. */
  invented: boolean;
}

export type Eye = 'OD' | 'OS';
/** Absent means unknown, which is not no. */
export type Answer = 'yes' | 'no';
export type Technique = 'phaco' | 'msics' | 'ecce';
export type Pupil = 'large' | 'medium' | 'small';

export interface EndothelialExam {
  density: number;
  cells?: number;
  /** A fraction: 0.30, not 30. */
  cv?: number;
  hexagonality?: number;
  images?: number;
  instrument?: string;
  method?: string;
  date?: string;
}
export interface EyeBefore {
  age?: number;
  sex?: 'female' | 'male';
  nuclearGrade?: number;
  pupil?: Pupil;
  axialLength?: number;
  chamberDepth?: number;
  thickness?: number;
  acuity?: string;
  glaucoma?: Answer;
  diabeticRetinopathy?: Answer;
  brunescentOrWhite?: Answer;
  noFundalView?: Answer;
  pseudoexfoliation?: Answer;
  alphaBlocker?: Answer;
  cannotLieFlat?: Answer;
  exam?: EndothelialExam;
}
export interface Operation {
  techniquePlanned: Technique;
  techniquePerformed: Technique;
  conversionReason?: string;
  anaesthesia?: string;
  machineFamily?: string;
  cde?: number;
  /** Seconds. */
  ultrasoundTime?: number;
  /** Millilitres. */
  fluidUsed?: number;
  note?: string;
}
export type OperatorRole = 'operator' | 'supervisor' | 'assistant';
export interface Operator {
  userId: string;
  role: OperatorRole;
  grade?: Grade;
}
export interface Case {
  id: string;
  /** 0 asks for a new case. */
  revision: number;
  pseudonym: string;
  eye: Eye;
  date: string;
  before: EyeBefore;
  operation: Operation;
  operators: Operator[];
  sharedWith: string[];
  createdBy: string;
  createdAt: number;
  updatedAt: number;
  change: number;
}
export interface StageShare {
  stage: string;
  total: number;
}
export type ReportState = 'draft' | 'signed';
export interface CaseSummary {
  id: string;
  pseudonym: string;
  eye: Eye;
  date: string;
  nuclearGrade?: number;
  techniquePlanned: Technique;
  techniquePerformed: Technique;
  operators: Operator[];
  stages: StageShare[];
  operation: number | null;
  recorded: boolean;
  tagged: boolean;
  followUp: 'due' | 'overdue' | 'complete' | '';
  report: ReportState;
  complications: string[];
  openComments: number;
}
export interface CasePage {
  cases: CaseSummary[];
  next: string;
  total: number;
}
export type Action =
  | 'case.view'
  | 'case.edit'
  | 'case.share'
  | 'recording.view'
  | 'recording.edit'
  | 'reading.view'
  | 'reading.mark'
  | 'reading.comment'
  | 'reading.accept'
  | 'outcome.edit'
  | 'report.view'
  | 'report.sign'
  | 'report.addendum';
export type Permissions = Partial<Record<Action, boolean>>;

export interface ComplicationKind {
  code: string;
  name: string;
  phase: 'intraoperative' | 'postoperative';
  capsuleRupture: boolean;
}
export interface Complication {
  id: string;
  caseId: string;
  revision: number;
  kind: string;
  at?: Instant;
  onDate?: string;
  /** 1 slight, 2 moderate, 3 severe; 0 not graded. */
  severity: number;
  action?: string;
  resolvedOn?: string;
  note?: string;
}
export type Window = 'day-1' | 'week-1' | 'month-1' | 'month-3' | 'year-1' | 'other';
export interface Visit {
  id: string;
  caseId: string;
  revision: number;
  window: Window;
  date: string;
  acuity?: string;
  pressure?: number;
  oedemaGrade?: number;
  thickness?: number;
  exam?: EndothelialExam;
  note?: string;
}

export interface Addendum {
  id: string;
  reportId: string;
  authorId: string;
  authorName: string;
  text: string;
  madeAt: number;
  hash: string;
}
export interface SignedReport {
  id: string;
  caseId: string;
  number: number;
  hash: string;
  signedBy: string;
  signerName: string;
  signedAt: number;
  caseChange: number;
  addenda: Addendum[];
}
