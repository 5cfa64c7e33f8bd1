import type { Instant } from './clock';
import { compareText, covers, isRunning, nearest, operationExtent, type PlacedMark, type Sheet } from './placed';
import type { StepFigure, Warning, WarningCode } from './result';
import { lengthOf, type Span, subtract } from './span';

// The same limits as on the server: ms in no exclusive step without a warning, and the factor beyond which a total is
// implausible beside the median of the reference group.
const untaggedLimit = 10_000;
const implausibleFactor = 10;

/** Everything that a person should look at, by place; what has no place comes last. */
export function warningsOf(sheet: Sheet, figures: readonly StepFigure[]): Warning[] {
  const all = [
    ...sheet.placed.flatMap(markWarnings),
    ...overlaps(sheet),
    ...absences(sheet),
    ...disorder(sheet),
    ...untagged(sheet),
    ...complicationsOutside(sheet),
    ...implausible(sheet, figures),
  ];
  const place = (w: Warning) => (w.at ? (nearest(sheet.clock, w.at)?.ms ?? Infinity) : Infinity);
  return all
    .map((warning) => ({ warning, place: place(warning) }))
    .sort((a, b) => (a.place === b.place ? compareText(a.warning.key, b.warning.key) : a.place - b.place))
    .map(({ warning }) => warning);
}

function warn(code: WarningCode, message: string, ids: readonly string[], rest: Partial<Warning>): Warning {
  const key = [code, ids.join('+')].filter((s) => s !== '').join(':');
  return { key, code, message, at: null, marks: [], step: '', ...rest };
}

/** What is wrong with one marker by itself. */
function markWarnings(m: PlacedMark): Warning[] {
  const { name } = m.timed;
  const tell = (code: WarningCode, at: Instant, message: string) =>
    warn(code, message, [m.id], { at, marks: [m.id], step: m.step });
  if (m.from === undefined) {
    return [tell('beyond-recording', m.start, `${name} begins outside the recording; it is not counted.`)];
  }
  if (m.end === null) return [tell('no-end', m.start, `${name} has no end; its length is not known.`)];
  const found: Warning[] = [];
  if (m.clipped) {
    const message = `${name} ends outside the recording; it is counted only as far as it was recorded.`;
    found.push(tell('beyond-recording', m.end, message));
  }
  if (m.to === undefined || lengthOf(m.span) > 0) return found;
  if (m.to === m.from) found.push(tell('no-length', m.start, `${name} begins and ends at the same instant.`));
  else {
    found.push(tell('end-before-start', m.start, `${name} ends ${lengthInWords(m.from - m.to)} before it begins.`));
  }
  return found;
}

/** Each exclusive marker that begins before an earlier one has ended; of several, the one that ends last is named. */
function overlaps(sheet: Sheet): Warning[] {
  const found: Warning[] = [];
  let longest: PlacedMark | undefined;
  for (const mark of sheet.exclusive) {
    if (lengthOf(mark.span) === 0) continue;
    const shared = longest ? Math.min(longest.span.end, mark.span.end) - mark.span.start : 0;
    if (longest && shared > 0) {
      const ids = [longest.id, mark.id];
      const message =
        longest.step === mark.step
          ? `Two markers of ${mark.timed.name} overlap for ${lengthInWords(shared)}; the time counts once.`
          : `${longest.timed.name} and ${mark.timed.name} overlap for ${lengthInWords(shared)}; only one of them can run at a time.`;
      const key = [...ids].sort(compareText);
      found.push(warn('overlap', message, key, { at: mark.start, marks: ids, step: mark.step }));
    }
    if (!longest || mark.span.end > longest.span.end) longest = mark;
  }
  return found;
}

/** The required steps that no marker names. */
function absences(sheet: Sheet): Warning[] {
  const marked = new Set(sheet.placed.map((m) => m.step));
  return sheet.steps
    .filter((s) => s.required && !marked.has(s.code))
    .map((s) => {
      const message = `${s.name} is not marked; every operation of this kind has it.`;
      return warn('required-step-absent', message, [s.code], { step: s.code });
    });
}

/** Required exclusive steps whose first start follows directly on a step which the list has after them. */
function disorder(sheet: Sheet): Warning[] {
  const index = new Map(sheet.steps.map((s, i) => [s.code, i]));
  const firsts = sheet.steps
    .filter((s) => s.required && s.exclusive)
    .flatMap((s) => sheet.placed.find((m) => m.step === s.code && m.from !== undefined) ?? [])
    .sort((a, b) => (a.from as number) - (b.from as number));
  return firsts.slice(1).flatMap((after, i) => {
    const before = firsts[i] as PlacedMark;
    if ((index.get(after.step) ?? 0) >= (index.get(before.step) ?? 0)) return [];
    const message = `${after.timed.name} begins after ${before.timed.name}; the step list has it before.`;
    const marks = [before.id, after.id];
    return [warn('unusual-order', message, [before.step, after.step], { at: after.start, marks, step: after.step })];
  });
}

/** Each recorded stretch of the operation that is longer than the limit and lies in no exclusive step. */
function untagged(sheet: Sheet): Warning[] {
  const whole = operationExtent(sheet);
  if (!whole) return [];
  const claimed = [...covers(sheet.clock, sheet.exclusive), ...sheet.clock.gaps()];
  return subtract([whole], claimed)
    .filter((gap) => lengthOf(gap) > untaggedLimit)
    .map((gap) => {
      const at = sheet.clock.media(gap.start) ?? null;
      const marks = neighbours(sheet.exclusive, gap);
      const message = `${lengthInWords(lengthOf(gap))} of the operation lies in no step.`;
      // The part tells apart the two sides of an unrecorded gap between the same markers.
      return warn('untagged-gap', message, [...marks, at?.part ?? ''], { at, marks });
    });
}

/** The ids of the markers on both sides of a gap: the last to end before it, the first to begin after. */
function neighbours(marks: readonly PlacedMark[], gap: Span): string[] {
  let before: PlacedMark | undefined;
  let after: PlacedMark | undefined;
  for (const m of marks) {
    const ended = lengthOf(m.span) > 0 && m.span.end <= gap.start;
    if (ended && (!before || m.span.end > before.span.end)) before = m;
    if (!after && m.from !== undefined && m.from >= gap.end) after = m;
  }
  return [before, after].flatMap((m) => (m ? [m.id] : []));
}

/** Complications before the operation, after it, or in no part. While a step has no end, the operation has none. */
function complicationsOutside(sheet: Sheet): Warning[] {
  const whole = operationExtent(sheet);
  const open = sheet.exclusive.some(isRunning);
  return sheet.complications.flatMap((c) => {
    const ms = sheet.clock.caseTime(c.at);
    if (ms !== undefined && (!whole || (ms >= whole.start && (ms <= whole.end || open)))) return [];
    const code = ms === undefined ? 'beyond-recording' : 'complication-outside';
    const place = ms === undefined ? 'outside the recording' : 'before the first step or after the last';
    const message = `A complication (${c.kind.replaceAll('-', ' ')}) is placed ${place}.`;
    return [warn(code, message, [c.id], { at: c.at, complication: c.id })];
  });
}

/** Totals far from the reference median. A lower bound cannot be too short. */
function implausible(sheet: Sheet, figures: readonly StepFigure[]): Warning[] {
  return figures.flatMap((figure) => {
    const median = sheet.reference?.[figure.code] ?? 0;
    if (median <= 0 || figure.total === null || figure.quality === 'no-statistics') return [];
    const short = figure.total * implausibleFactor < median && figure.quality === 'measured';
    if (!short && figure.total <= median * implausibleFactor) return [];
    const marks = sheet.placed.filter((m) => m.step === figure.code).map((m) => m.id);
    const message = `${figure.name} took ${lengthInWords(figure.total)}; the median of the reference group is ${lengthInWords(median)}.`;
    return [warn('implausible-length', message, [figure.code], { at: figure.at, marks, step: figure.code })];
  });
}

/** A length for a sentence: "9.250 s", "2 min 05 s". */
export function lengthInWords(ms: number): string {
  if (ms < 60_000) return `${Math.floor(ms / 1000)}.${String(ms % 1000).padStart(3, '0')} s`;
  const seconds = Math.floor((ms + 500) / 1000);
  return `${Math.floor(seconds / 60)} min ${String(seconds % 60).padStart(2, '0')} s`;
}
