// The words of the domain as they travel: the JSON of package annotate. Times are whole milliseconds, instants of
// the wall clock Unix milliseconds, dates YYYY-MM-DD, ids UUIDv7 made by whoever makes the thing.
import type { Consent } from './consent';

export type { Consent } from './consent';
export type * from './tagging';
export type { Recalibration, TriggerRule, Unit, WindowPlan } from './unit';

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
export type Eye = 'OD' | 'OS';
/** Absent means unknown, which is not no. */
export type Answer = 'yes' | 'no';
export type Technique = 'phaco' | 'msics' | 'ecce';
export type Pupil = 'large' | 'medium' | 'small';

/** One image of an exam, counted by itself. */
export interface ImageCount {
  density: number;
  cells: number;
  /** A fraction. */
  cv?: number;
}
export interface EndothelialExam {
  density: number;
  cells?: number;
  /** A fraction: 0.30, not 30. */
  cv?: number;
  hexagonality?: number;
  images?: number;
  /** When given, density, cells and cv of the exam are pooled from them; what was entered wins. */
  imageCounts?: ImageCount[];
  instrument?: string;
  method?: string;
  date?: string;
}
/** Dioptres; the axis in degrees from 0 to 180. */
export interface Refraction {
  sphere?: number;
  cylinder?: number;
  axis?: number;
}
/** Decimal grades of the LOCS III scale. */
export interface Locs {
  nuclearOpalescence?: number;
  nuclearColour?: number;
  cortical?: number;
  posteriorSubcapsular?: number;
}
/** Dioptres; the axis is that of the steep meridian, in degrees. */
export interface Keratometry {
  flat?: number;
  steep?: number;
  axis?: number;
}
export interface FellowEye {
  operated?: Answer;
  acuity?: string;
  exam?: EndothelialExam;
  note?: string;
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
  uncorrectedAcuity?: string;
  refraction?: Refraction;
  /** mmHg. */
  pressure?: number;
  locs?: Locs;
  whiteToWhite?: number;
  keratometry?: Keratometry;
  guttata?: Answer;
  deepSetOrbit?: Answer;
  previousVitrectomy?: Answer;
  previousInjections?: Answer;
  diabetes?: Answer;
  amblyopia?: Answer;
  onlyEye?: Answer;
  cornealScar?: Answer;
  capsulePlaque?: Answer;
  posteriorPolar?: Answer;
  phacodonesis?: Answer;
  fellowEye?: FellowEye;
  exam?: EndothelialExam;
}
export type IncisionSite = 'temporal' | 'superior' | 'superotemporal' | 'nasal' | 'other';
export type Ovd = 'dispersive' | 'cohesive' | 'viscoadaptive' | 'methylcellulose';
export type PupilDevice = 'none' | 'hooks' | 'ring';
export type LensPosition = 'bag' | 'sulcus' | 'anterior-chamber' | 'scleral' | 'none';
/** The settings of the machine in one stage of the operation. */
export interface StageSettings {
  stage: string;
  /** mmHg. */
  vacuum?: number;
  /** ml/min. */
  flow?: number;
  /** Percent. */
  power?: number;
  /** mmHg. */
  pressure?: number;
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
  incisionSite?: IncisionSite;
  /** mm. */
  incisionSize?: number;
  ovds?: Ovd[];
  dye?: Answer;
  pupilDevice?: PupilDevice;
  lensKind?: string;
  lensPower?: number;
  lensPosition?: LensPosition;
  targetRefraction?: number;
  longitudinalTime?: number;
  /** Percent. */
  longitudinalPower?: number;
  torsionalTime?: number;
  /** Percent. */
  torsionalAmplitude?: number;
  /** Seconds. */
  ept?: number;
  aspirationTime?: number;
  settings?: StageSettings[];
  note?: string;
}
export type OperatorRole = 'operator' | 'supervisor' | 'assistant';
export interface Operator {
  userId: string;
  role: OperatorRole;
  grade?: Grade;
}
/** Nobody will examine this eye again; why, and since when. */
export interface LostToFollowUp {
  on: string;
  reason: string;
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
  lostToFollowUp?: LostToFollowUp | null;
  /** Endothelial counts from different instruments or methods are compared all the same. */
  compareInstruments?: boolean;
  consent?: Consent;
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
  | 'report.addendum'
  | 'finding.edit'
  | 'assessment.view'
  | 'case.assess'
  | 'case.discuss';
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
  /** The visit at which it was found. */
  visitId?: string;
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
  uncorrectedAcuity?: string;
  refraction?: Refraction;
  medication?: string;
  pressure?: number;
  oedemaGrade?: number;
  thickness?: number;
  exam?: EndothelialExam;
  /** Of the eye that was not operated on. */
  fellowExam?: EndothelialExam;
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
