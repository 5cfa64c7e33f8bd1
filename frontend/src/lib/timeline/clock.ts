import { clip, holds, type Span, subtract } from './span';

/** A media time in a named part of a recording. */
export interface Instant {
  part: string;
  /** Since the first frame of the part. */
  ms: number;
}

/** A stretch of media time that an edit has sped up or slowed down. */
export interface RateSpan {
  start: number;
  end: number;
  /** Real time per thousand of media time: 1000 is real time, 2000 an edit that runs twice as fast. */
  perMille: number;
}

/** One file of a recording, as far as its time goes. */
export interface ClockPart {
  id: string;
  name: string;
  /** Media time in ms; the part covers [0, duration). */
  duration: number;
  /** Case-clock time of the first frame in ms; without it the part follows the one before without a gap. */
  offset?: number | null;
  rates: readonly RateSpan[];
  /** Media ms at which unknown time is missing. */
  cuts: readonly number[];
  /** The part is unedited, or its edits are all declared. */
  realTime: boolean;
}

/** Says which part cannot be placed on the case clock and why. */
export class PartError extends Error {
  readonly part: string;
  readonly other: string;
  readonly field: string;

  constructor(part: string, other: string, field: string, message: string) {
    super(message);
    this.part = part;
    this.other = other;
    this.field = field;
  }
}

// The same limits as on the server: some 34 years in ms, and a thousand times real time.
const timeLimit = 2 ** 40;
const rateLimit = 1_000_000;

interface PlacedPart extends ClockPart {
  span: Span;
}

/** Turns media time into case-clock time: real time that runs across the parts, in ms. */
export class CaseClock {
  readonly parts: readonly PlacedPart[];
  private readonly cuts: readonly number[];
  private readonly unrecorded: readonly Span[];
  private readonly byId: ReadonlyMap<string, PlacedPart>;

  /** Places the parts, given in their order, on one clock. Throws a PartError when they cannot be placed. */
  constructor(parts: readonly ClockPart[]) {
    const placed: PlacedPart[] = [];
    const byId = new Map<string, PlacedPart>();
    const cuts: number[] = [];
    let end = 0;
    for (const part of parts) {
      checkPart(part);
      if (byId.has(part.id)) throw new PartError(part.id, '', 'id', `Two parts have the id "${part.id}".`);
      const start = part.offset ?? end;
      end = start + realTime(part, part.duration);
      const one = { ...part, span: { start, end } };
      placed.push(one);
      byId.set(part.id, one);
      for (const cut of part.cuts) cuts.push(start + realTime(part, cut));
    }
    this.parts = placed.sort((a, b) => a.span.start - b.span.start);
    this.byId = byId;
    this.cuts = cuts.sort((a, b) => a - b);
    checkOverlap(this.parts);
    this.unrecorded = subtract(
      [this.extent()],
      this.parts.map((p) => p.span),
    );
  }

  /** The part with the id, with its place on the case clock. */
  part(id: string): PlacedPart | undefined {
    return this.byId.get(id);
  }

  /** Case-clock time of an instant; undefined when it lies in no part. The end of a part is allowed. */
  caseTime(at: Instant): number | undefined {
    const part = this.byId.get(at.part);
    if (!part || at.ms < 0 || at.ms > part.duration) return undefined;
    return part.span.start + realTime(part, at.ms);
  }

  /** The first media millisecond at or after a case-clock time; undefined in gaps and outside the recording. */
  media(caseMs: number): Instant | undefined {
    const part = this.parts.find((p) => holds(p.span, caseMs));
    if (!part) return undefined;
    let low = 0;
    let high = part.duration;
    while (low < high) {
      const middle = Math.floor((low + high) / 2);
      if (part.span.start + realTime(part, middle) >= caseMs) high = middle;
      else low = middle + 1;
    }
    return { part: part.id, ms: low };
  }

  /** Case-clock time from the first frame to the end of the last part; empty without parts. */
  extent(): Span {
    const first = this.parts[0];
    const last = this.parts[this.parts.length - 1];
    return first && last ? { start: first.span.start, end: last.span.end } : { start: 0, end: 0 };
  }

  /** The unrecorded case-clock time between parts. */
  gaps(): readonly Span[] {
    return this.unrecorded;
  }

  /** Whether a case-clock span crosses a cut or an unrecorded gap, so that its length is a lower bound. */
  breaks(span: Span): boolean {
    if (this.cuts.some((cut) => span.start < cut && cut < span.end)) return true;
    return this.unrecorded.length > 0 && clip(this.unrecorded, span).length > 0;
  }

  /** Whether a case-clock span touches a part that is edited without declaring how. */
  edited(span: Span): boolean {
    const end = Math.max(span.end, span.start + 1);
    return this.parts.some((p) => !p.realTime && p.span.start < end && span.start < p.span.end);
  }
}

/** The integral of the rate over the first ms of the part, summed in thousandths and rounded once, half away from zero. */
export function realTime(part: ClockPart, ms: number): number {
  let thousandths = ms * 1000;
  for (const rate of part.rates) {
    const within = Math.min(ms, rate.end) - rate.start;
    if (within > 0) thousandths += within * (rate.perMille - 1000);
  }
  return Math.floor((thousandths + 500) / 1000);
}

function checkPart(part: ClockPart): void {
  const refuse = (field: string, why: string): never => {
    throw new PartError(part.id, '', field, `${part.name}: ${why}`);
  };
  if (part.duration < 0 || part.duration > timeLimit) {
    refuse('duration', `a length of ${part.duration} ms is not possible.`);
  }
  if (part.offset != null && Math.abs(part.offset) > timeLimit) {
    refuse('offset', `a start at ${part.offset} ms of the case is not possible.`);
  }
  let last = 0;
  part.rates.forEach((rate, i) => {
    const field = `rates[${i}]`;
    if (rate.perMille <= 0 || rate.perMille > rateLimit) {
      refuse(field, 'the speed must be above 0 and at most 1000 times real time.');
    }
    if (rate.start >= rate.end || rate.start < 0 || rate.end > part.duration) {
      refuse(field, `the span from ${rate.start} to ${rate.end} ms is empty or outside the part.`);
    }
    if (rate.start < last) {
      refuse(field, `speed spans must be in order and not overlap; move its start to ${last} ms or later.`);
    }
    last = rate.end;
  });
  part.cuts.forEach((cut, i) => {
    if (cut < 0 || cut > part.duration) refuse(`cuts[${i}]`, `a cut at ${cut} ms is outside the part.`);
  });
}

/** Names the first two parts that share case-clock time. */
function checkOverlap(parts: readonly PlacedPart[]): void {
  let before: PlacedPart | undefined;
  for (const part of parts) {
    const shared = before ? Math.min(before.span.end, part.span.end) - part.span.start : 0;
    if (before && shared > 0) {
      const message = `${part.name} starts before ${before.name} has ended; they share ${shared} ms.`;
      throw new PartError(part.id, before.id, 'offset', message);
    }
    if (!before || part.span.end > before.span.end) before = part;
  }
}
