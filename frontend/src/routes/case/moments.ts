// Moments in the words of a review: which instant of the recording is meant, and how one is written.
import type { Instant, Part } from '../../lib/api/types';
import { CaseClock, PartError } from '../../lib/timeline/clock';
import { type WrittenMoment, writeMoment } from '../../lib/timeline/written';

/** The case clock of the parts; undefined when they cannot be placed on one. */
export function clockOf(parts: readonly Part[]): CaseClock | undefined {
  try {
    return new CaseClock(
      parts.map((p) => ({
        id: p.id,
        name: `Part ${p.position}`,
        duration: p.facts.duration,
        offset: p.offset,
        rates: p.rates ?? [],
        cuts: p.cuts ?? [],
        realTime: p.realTime,
      })),
    );
  } catch (thrown) {
    if (thrown instanceof PartError) return undefined;
    throw thrown;
  }
}

/** The instant that a written moment means; undefined when the recording does not hold it. */
export function meant(
  written: WrittenMoment,
  parts: readonly Part[],
  clock: CaseClock | undefined,
): Instant | undefined {
  if (written.part === 0) return clock?.media(written.ms);
  const part = parts.find((p) => p.position === written.part);
  return part && written.ms <= part.facts.duration ? { part: part.id, ms: written.ms } : undefined;
}

/** An instant as it is written into a text: on the case clock if that leads back to it, else in its part. */
export function written(at: Instant, parts: readonly Part[], clock: CaseClock | undefined): string {
  const ms = Math.max(0, Math.round(at.ms));
  const caseMs = clock?.caseTime({ part: at.part, ms });
  if (caseMs !== undefined && caseMs >= 0) {
    const back = clock?.media(caseMs);
    if (back?.part === at.part && Math.abs(back.ms - ms) <= 1) return writeMoment(0, caseMs);
  }
  return writeMoment(parts.find((p) => p.id === at.part)?.position ?? 1, ms);
}

/** Puts a moment into a text where the cursor stands, with spaces where words would run together; gives where the cursor goes. */
export function inserted(text: string, from: number, to: number, moment: string): { text: string; cursor: number } {
  const before = text.slice(0, from);
  const after = text.slice(to);
  const lead = before && !/[\s([{"'“‘—–-]$/u.test(before) ? ' ' : '';
  const tail = after && !/^[\s.,;:!?)\]}"'”’]/u.test(after) ? ' ' : '';
  return { text: before + lead + moment + tail + after, cursor: (before + lead + moment).length };
}
