import type { CaseClock, Instant } from './clock';

/** One step of a step list, as far as its time goes. */
export interface TimedStep {
  code: string;
  name: string;
  stage: string;
  /** Exclusive steps run one at a time; the others may run beside them. */
  exclusive: boolean;
  required: boolean;
}

/** The start and end of one episode of a step. Without an end it is still running. */
export interface Mark {
  id: string;
  step: string;
  operator: string;
  start: Instant;
  end: Instant | null;
}

/** Something at an instant: an event or a complication. */
export interface Happening {
  id: string;
  kind: string;
  at: Instant;
}

/** One reading of one case. */
export interface TimelineInput {
  clock: CaseClock;
  /** Stage codes, in order. */
  stages: readonly string[];
  /** In usual order; mergeSteps joins the lists of a converted case. */
  steps: readonly TimedStep[];
  marks: readonly Mark[];
  /** The intraoperative ones that have an instant. */
  complications: readonly Happening[];
  /** Median total in ms by step code, against which an implausible length is told. */
  reference?: Readonly<Record<string, number>>;
}

/**
 * Joins the lists of the two techniques of a converted case. The first keeps its order; what only the second has comes
 * after the step that it follows there. Only what both lists require stays required.
 */
export function mergeSteps<S extends TimedStep>(first: readonly S[], second: readonly S[]): S[] {
  const requiredBySecond = new Set(second.filter((s) => s.required).map((s) => s.code));
  const merged = first.map((s) => ({ ...s, required: s.required && requiredBySecond.has(s.code) }));
  let after = 0;
  for (const step of second) {
    const at = merged.findIndex((s) => s.code === step.code);
    if (at >= 0) {
      after = at + 1;
      continue;
    }
    merged.splice(after, 0, { ...step, required: false });
    after++;
  }
  return merged;
}
