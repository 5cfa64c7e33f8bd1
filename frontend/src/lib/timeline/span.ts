/** The time from start up to but not including end, in whole milliseconds. */
export interface Span {
  start: number;
  end: number;
}

/** Length in ms; a span that ends before it starts has none. */
export function lengthOf(span: Span): number {
  return Math.max(0, span.end - span.start);
}

/** Whether the instant lies in the span. */
export function holds(span: Span, ms: number): boolean {
  return span.start <= ms && ms < span.end;
}

/**
 * The maximal intervals that the spans cover together, in order. Spans that touch become one; spans without length
 * are left out. The input is not changed.
 */
export function union(spans: readonly Span[]): Span[] {
  const sorted = spans.filter((s) => lengthOf(s) > 0).sort((a, b) => a.start - b.start);
  const merged: Span[] = [];
  for (const s of sorted) {
    const last = merged[merged.length - 1];
    if (last && s.start <= last.end) last.end = Math.max(last.end, s.end);
    else merged.push({ start: s.start, end: s.end });
  }
  return merged;
}

/** The time in ms that the spans cover together; time covered twice counts once. */
export function coverage(spans: readonly Span[]): number {
  return union(spans).reduce((total, s) => total + lengthOf(s), 0);
}

/** The maximal intervals that lie both in a and in b. */
export function intersect(a: readonly Span[], b: readonly Span[]): Span[] {
  const left = union(a);
  const right = union(b);
  const both: Span[] = [];
  let i = 0;
  let j = 0;
  while (i < left.length && j < right.length) {
    const l = left[i] as Span;
    const r = right[j] as Span;
    const shared = { start: Math.max(l.start, r.start), end: Math.min(l.end, r.end) };
    if (lengthOf(shared) > 0) both.push(shared);
    if (l.end < r.end) i++;
    else j++;
  }
  return both;
}

/** The maximal intervals that lie in a and not in b. */
export function subtract(a: readonly Span[], b: readonly Span[]): Span[] {
  const holes = union(b);
  const rest: Span[] = [];
  let next = 0;
  for (const s of union(a)) {
    while (next < holes.length && (holes[next] as Span).end <= s.start) next++;
    let from = s.start;
    for (let i = next; i < holes.length && (holes[i] as Span).start < s.end; i++) {
      const hole = holes[i] as Span;
      rest.push({ start: from, end: hole.start });
      from = hole.end;
    }
    rest.push({ start: from, end: s.end });
  }
  return union(rest);
}

/** The part of the spans that lies in the limits. */
export function clip(spans: readonly Span[], limits: Span): Span[] {
  return intersect(spans, [limits]);
}
