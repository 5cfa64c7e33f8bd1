import type { Instant } from './clock';
import type { TimelineInput } from './marks';
import { covers, isRunning, layOut, operationExtent, type PlacedMark, qualityOf, type Sheet } from './placed';
import type {
  Figure,
  MarkFigure,
  Operation,
  OperatorFigure,
  Quality,
  StageFigure,
  StepFigure,
  TimelineResult,
} from './result';
import { clip, coverage, holds, intersect, lengthOf, subtract, union } from './span';
import { warningsOf } from './warnings';

/**
 * Every time of a reading and what is doubtful about it. Total = length of the union of the episodes; interrupted =
 * span - total; the operation runs from the first start to the last end of the exclusive steps; untagged is what no
 * exclusive step covers of it. The server computes the same; a report shows the server's numbers.
 */
export function durations(input: TimelineInput): TimelineResult {
  const sheet = layOut(input);
  const steps = stepFigures(sheet);
  return {
    steps,
    stages: stageFigures(sheet),
    operation: operationFigure(sheet),
    marks: sheet.placed.map((mark) => markFigure(sheet, mark)),
    gaps: sheet.clock.gaps().map((g) => ({ ...g })),
    warnings: warningsOf(sheet, steps),
  };
}

function figureOf(sheet: Sheet, marks: readonly PlacedMark[]): Figure {
  let first: number | null = null;
  let running = false;
  for (const mark of marks) {
    if (mark.from !== undefined && (first === null || mark.from < first)) first = mark.from;
    running ||= isRunning(mark);
  }
  const joined = union(marks.map((m) => m.span));
  const head = joined[0];
  const tail = joined[joined.length - 1];
  const covered = joined.reduce((sum, s) => sum + lengthOf(s), 0);
  const whole = head && tail ? { start: head.start, end: tail.end } : undefined;
  const gaps = sheet.clock.gaps();
  const unrecorded = gaps.length === 0 ? 0 : coverage(intersect(joined, gaps));
  return {
    total: whole ? covered - unrecorded : null,
    episodes: joined.length,
    firstStart: whole ? whole.start : first,
    lastEnd: whole ? whole.end : null,
    span: whole ? lengthOf(whole) : null,
    interrupted: whole ? lengthOf(whole) - covered : null,
    unrecorded,
    running,
    quality: qualityOf(sheet.clock, marks),
  };
}

/** The same for each operator, in the order in which they began. */
function operatorFigures(sheet: Sheet, marks: readonly PlacedMark[]): OperatorFigure[] {
  const byOperator = new Map<string, PlacedMark[]>();
  for (const mark of marks) {
    const theirs = byOperator.get(mark.operator);
    if (theirs) theirs.push(mark);
    else byOperator.set(mark.operator, [mark]);
  }
  return [...byOperator].map(([operator, theirs]) => ({ operator, ...figureOf(sheet, theirs) }));
}

/** The listed steps in their order, then marked steps that are in no list. */
function stepFigures(sheet: Sheet): StepFigure[] {
  const byStep = new Map<string, PlacedMark[]>(sheet.steps.map((s) => [s.code, []]));
  const steps = [...sheet.steps];
  for (const mark of sheet.placed) {
    const of = byStep.get(mark.step);
    if (of) {
      of.push(mark);
      continue;
    }
    byStep.set(mark.step, [mark]);
    steps.push(mark.timed);
  }
  return steps.flatMap((step) => {
    const of = byStep.get(step.code) ?? [];
    const first = of[0];
    if (!first && !step.required) return [];
    const { code, name, stage, exclusive, required } = step;
    const at = first && first.from !== undefined ? first.start : null;
    const operators = operatorFigures(sheet, of);
    return [{ code, name, stage, exclusive, required, ...figureOf(sheet, of), at, operators }];
  });
}

function stageFigures(sheet: Sheet): StageFigure[] {
  return sheet.stages.map((stage) => ({
    stage,
    ...figureOf(
      sheet,
      sheet.exclusive.filter((m) => m.timed.stage === stage),
    ),
  }));
}

/** A marker that is not whole may hide a later end or an earlier start, so the time is then a lower bound too. */
function operationFigure(sheet: Sheet): Operation {
  const quality = qualityOf(sheet.clock, sheet.exclusive);
  const operators = operatorFigures(sheet, sheet.exclusive);
  const whole = operationExtent(sheet);
  if (!whole) {
    return { time: null, start: null, end: null, tagged: null, untagged: null, unrecorded: 0, quality, operators };
  }
  const gaps = clip(sheet.clock.gaps(), whole);
  const unrecorded = coverage(gaps);
  const spans = sheet.exclusive.map((m) => m.span);
  const tagged = coverage(subtract(spans, gaps));
  return {
    time: lengthOf(whole),
    start: whole.start,
    end: whole.end,
    tagged,
    untagged: lengthOf(whole) - tagged - unrecorded,
    unrecorded,
    quality: wholeQuality(sheet, whole, quality),
    operators,
  };
}

function wholeQuality(sheet: Sheet, whole: { start: number; end: number }, ofMarks: Quality): Quality {
  if (sheet.clock.edited(whole)) return 'no-statistics';
  return ofMarks === 'measured' && sheet.clock.breaks(whole) ? 'lower-bound' : ofMarks;
}

function markFigure(sheet: Sheet, mark: PlacedMark): MarkFigure {
  const { total, quality } = figureOf(sheet, [mark]);
  return { id: mark.id, step: mark.step, start: mark.from ?? null, end: mark.to ?? null, total, quality };
}

/** The exclusive step that runs at an instant; where two overlap, the one that began last. */
export function stepAt(input: TimelineInput, at: Instant): { step: string; mark: string } | undefined {
  const ms = input.clock.caseTime(at);
  if (ms === undefined) return undefined;
  const sheet = layOut(input);
  let found: { step: string; mark: string } | undefined;
  covers(sheet.clock, sheet.exclusive).forEach((cover, i) => {
    const mark = sheet.exclusive[i] as PlacedMark;
    if (holds(cover, ms)) found = { step: mark.step, mark: mark.id };
  });
  return found;
}
