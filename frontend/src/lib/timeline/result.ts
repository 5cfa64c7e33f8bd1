import type { Instant } from './clock';
import type { TimedStep } from './marks';
import type { Span } from './span';

/**
 * What a duration is worth. Measured: recorded from start to end. Lower bound: say "at least". Not recorded: never 0.
 * No statistics: the part is edited without declaring how.
 */
export type Quality = 'measured' | 'lower-bound' | 'not-recorded' | 'no-statistics';

/** The time of one step, stage or operator, in ms of the case clock; null: there is none. */
export interface Figure {
  total: number | null;
  episodes: number;
  firstStart: number | null;
  lastEnd: number | null;
  span: number | null;
  interrupted: number | null;
  unrecorded: number;
  running: boolean;
  quality: Quality;
}

export interface OperatorFigure extends Figure {
  operator: string;
}

/** The time of one step, and where its first episode starts in the recording. */
export interface StepFigure extends TimedStep, Figure {
  at: Instant | null;
  operators: OperatorFigure[];
}

export interface StageFigure extends Figure {
  stage: string;
}

/** The whole: time = end - start = tagged + untagged + unrecorded. */
export interface Operation {
  time: number | null;
  start: number | null;
  end: number | null;
  tagged: number | null;
  untagged: number | null;
  unrecorded: number;
  quality: Quality;
  operators: OperatorFigure[];
}

/** One marker on the case clock. */
export interface MarkFigure {
  id: string;
  step: string;
  start: number | null;
  end: number | null;
  total: number | null;
  quality: Quality;
}

export type WarningCode =
  | 'overlap'
  | 'no-length'
  | 'end-before-start'
  | 'no-end'
  | 'beyond-recording'
  | 'required-step-absent'
  | 'unusual-order'
  | 'untagged-gap'
  | 'complication-outside'
  | 'implausible-length';

/** Something about a reading that a person should look at. It may be accepted with a reason, under its key. */
export interface Warning {
  key: string;
  code: WarningCode;
  message: string;
  /** Where to look; null when there is no such place. */
  at: Instant | null;
  /** Ids of the markers concerned. */
  marks: string[];
  /** Code of the step concerned, or "". */
  step: string;
  /** Id of the complication concerned, if it is about one. */
  complication?: string;
}

/** Everything that one reading says about time. */
export interface TimelineResult {
  steps: StepFigure[];
  stages: StageFigure[];
  operation: Operation;
  marks: MarkFigure[];
  gaps: Span[];
  warnings: Warning[];
}
