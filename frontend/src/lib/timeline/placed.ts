import type { CaseClock, Instant } from './clock';
import type { Mark, TimedStep, TimelineInput } from './marks';
import type { Quality } from './result';
import { lengthOf, type Span, union } from './span';

/** A mark on the case clock. */
export interface PlacedMark extends Mark {
  timed: TimedStep;
  /** Undefined: the mark begins in no part. */
  from: number | undefined;
  /** Undefined: it has no end, or no start. */
  to: number | undefined;
  /** Its end lay beyond the part, or in no part, and was brought back or dropped. */
  clipped: boolean;
  /** The recorded episode; empty when either end is missing or the order is wrong. */
  span: Span;
}

/** A reading laid out on the case clock, the common ground of durations and warnings. */
export interface Sheet extends TimelineInput {
  /** By start, then id; those without a start last. */
  placed: readonly PlacedMark[];
  exclusive: readonly PlacedMark[];
}

const nowhere: Span = { start: 0, end: 0 };

/** Places every mark. A mark of a step that is in no list counts for itself and for nothing else. */
export function layOut(input: TimelineInput): Sheet {
  const steps = new Map(input.steps.map((s) => [s.code, s]));
  const placed = input.marks.map((mark) => {
    const unlisted = { code: mark.step, name: mark.step, stage: '', exclusive: false, required: false };
    return place(input.clock, mark, steps.get(mark.step) ?? unlisted);
  });
  placed.sort((a, b) => compareStarts(a.from, b.from) || compareText(a.id, b.id));
  return { ...input, placed, exclusive: placed.filter((m) => m.timed.exclusive) };
}

function compareStarts(a: number | undefined, b: number | undefined): number {
  if (a === undefined || b === undefined) return a === b ? 0 : a === undefined ? 1 : -1;
  return a - b;
}

/** Orders by code unit, as the server orders ids. */
export function compareText(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

function place(clock: CaseClock, mark: Mark, timed: TimedStep): PlacedMark {
  const { id, step, operator, start, end } = mark;
  const from = clock.caseTime(start);
  const ended = from === undefined || end === null ? undefined : nearest(clock, end);
  const to = ended?.ms;
  const clipped = from !== undefined && end !== null && (ended?.moved ?? true);
  const span = from !== undefined && to !== undefined && to > from ? { start: from, end: to } : nowhere;
  return { id, step, operator, start, end, timed, from, to, clipped, span };
}

/** Case-clock time, with a time outside the part brought back to its nearest end; undefined for an unknown part. */
export function nearest(clock: CaseClock, at: Instant): { ms: number; moved: boolean } | undefined {
  const part = clock.part(at.part);
  if (!part) return undefined;
  const within = Math.min(Math.max(at.ms, 0), part.duration);
  return { ms: clock.caseTime({ part: at.part, ms: within }) as number, moved: within !== at.ms };
}

/** Whether the mark has a start and no end yet. */
export function isRunning(mark: PlacedMark): boolean {
  return mark.from !== undefined && mark.end === null;
}

/** Judges a set of marks by the worst thing about them. */
export function qualityOf(clock: CaseClock, marks: readonly PlacedMark[]): Quality {
  let seen = false;
  let flawed = false;
  for (const mark of marks) {
    if (mark.from === undefined) {
      flawed = true;
      continue;
    }
    seen = true;
    const whole = lengthOf(mark.span) > 0;
    const touched = whole ? mark.span : { start: mark.from, end: mark.from };
    if (clock.edited(touched)) return 'no-statistics';
    flawed ||= !whole || mark.clipped || clock.breaks(mark.span);
  }
  if (!seen) return 'not-recorded';
  return flawed ? 'lower-bound' : 'measured';
}

/** From the first start to the last end of the exclusive steps; undefined when none has a length. */
export function operationExtent(sheet: Sheet): Span | undefined {
  const covered = union(sheet.exclusive.map((m) => m.span));
  const last = covered[covered.length - 1];
  // Marks come by start, and a union that is not empty proves that the first has one.
  return last ? { start: sheet.exclusive[0]?.from as number, end: last.end } : undefined;
}

/**
 * For each of the marks, which come by start, the time it claims: its episode, or for one without an end the time to
 * the next start, else to the end of the recording.
 */
export function covers(clock: CaseClock, marks: readonly PlacedMark[]): Span[] {
  const claimed = marks.map((m) => m.span);
  let until = clock.extent().end;
  for (let i = marks.length - 1; i >= 0; i--) {
    const mark = marks[i] as PlacedMark;
    if (mark.from === undefined) continue;
    if (isRunning(mark)) claimed[i] = { start: mark.from, end: until };
    const before = i > 0 ? marks[i - 1]?.from : undefined;
    if (before === undefined || before < mark.from) until = mark.from;
  }
  return claimed;
}
