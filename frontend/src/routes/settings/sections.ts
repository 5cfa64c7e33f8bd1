// Which parts a report has, in which order.
import type { ReportSection } from '../../lib/api/unit';

export interface SectionLine extends ReportSection {
  /** In the report. */
  on: boolean;
}

/** Every part: those of the unit in its order, then those that it leaves out. An empty choice is all in the usual order. */
export function sectionLines(known: readonly ReportSection[], chosen: readonly string[]): SectionLine[] {
  if (chosen.length === 0) return known.map((s) => ({ ...s, on: true }));
  const on = chosen.flatMap((code) => known.filter((s) => s.code === code)).map((s) => ({ ...s, on: true }));
  return [...on, ...known.filter((s) => !chosen.includes(s.code)).map((s) => ({ ...s, on: false }))];
}

/** The choice that is kept. What stays is always in it. */
export function chosenOf(lines: readonly SectionLine[]): string[] {
  return lines.filter((l) => l.on || l.stays).map((l) => l.code);
}

/** Moves a part that is in the report one place up or down. */
export function moved(lines: readonly SectionLine[], code: string, by: -1 | 1): SectionLine[] {
  const at = lines.findIndex((l) => l.code === code);
  const to = at + by;
  const other = lines[to];
  const line = lines[at];
  if (!line || !other?.on) return [...lines];
  const next = [...lines];
  next[to] = line;
  next[at] = other;
  return next;
}
