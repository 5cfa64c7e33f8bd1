// What agreement means, in words and numbers as people read them. Pure.
import type { Agreement, Boundaries, ReadingsBeside, StepAgreement } from '../../lib/api/agreement';
import type { Table } from '../../lib/chart/table';
import { duration } from '../../lib/text/format';

/** Seconds with one decimal; "" for what does not exist. */
export function seconds(ms: number | null | undefined): string {
  return ms == null ? '' : `${(ms / 1000).toFixed(1)} s`;
}

/** A share of one with two decimals. */
export function share(value: number | null | undefined): string {
  return value == null ? '' : value.toFixed(2);
}

/** How far two readings of a case agree, in a sentence or two. */
export function besideSummary(b: ReadingsBeside): string {
  const real = (b.differences ?? []).filter((d) => !d.within);
  const apart = real.reduce((sum, d) => sum + d.end - d.start, 0);
  const kappa = b.agreement.kappa;
  const said = kappa === null ? '' : ` Cohen’s kappa over the time is ${share(kappa)}.`;
  if (real.length === 0) return `The readings agree everywhere to within a second.${said}`;
  const times = real.length === 1 ? 'one place' : `${real.length} places`;
  return `The readings differ in ${times}, together ${duration(apart)} of ${duration(b.extent.end - b.extent.start)}; differences of up to a second count as agreement, since no instant can be picked closer.${said}`;
}

/** How far two readers agree over many cases. */
export function agreementSummary(a: Agreement): string {
  if (a.cases === 0) return 'No case was marked by both, as far as you may see.';
  const cases = a.cases === 1 ? 'One case was' : `${a.cases} cases were`;
  if (!a.kappa) return `${cases} marked by both.`;
  const interval = a.kappa.interval
    ? `, 95 % interval ${share(a.kappa.interval.lower)} to ${share(a.kappa.interval.upper)}`
    : '; an interval needs five cases';
  return `${cases} marked by both. Cohen’s kappa over the time is ${share(a.kappa.value)}${interval}.`;
}

/** One sentence on a step: which reader calls it longer, and how far single cases are apart. */
export function stepSummary(s: StepAgreement): string {
  const both = s.both === 1 ? 'One case' : `${s.both} cases`;
  if (!s.limits) return `${both}. ${s.why ?? ''}`.trim();
  const { bias, lower, upper } = s.limits;
  const longer = bias.value >= 0 ? 'second' : 'first';
  return `${both}. On average the ${longer} reading is ${seconds(Math.abs(bias.value))} longer; in 95 of 100 cases the second minus the first lies between ${seconds(lower.value)} and ${seconds(upper.value)}.`;
}

function boundaryCells(b: Boundaries): (string | number | null)[] {
  return [b.matched, b.within, seconds(b.medianAbs), seconds(b.p90Abs), b.unmatchedA + b.unmatchedB];
}

const boundaryColumns = [
  { name: 'Boundaries matched', number: true },
  { name: 'Within a second', number: true },
  { name: 'Median distance', number: true },
  { name: '90th percentile', number: true },
  { name: 'Unmatched', number: true },
];

/** Step by step, for one case. */
export function besideTable(b: ReadingsBeside): Table {
  const name = new Map(b.items.map((i) => [i.code, i.name]));
  return {
    columns: [
      { name: 'Step' },
      { name: 'First reading', number: true },
      { name: 'Second reading', number: true },
      { name: 'Overlap', number: true },
      ...boundaryColumns,
    ],
    rows: b.agreement.labels
      .filter((l) => l.totalA > 0 || l.totalB > 0)
      .map((l) => [
        name.get(l.label) ?? l.label,
        seconds(l.totalA),
        seconds(l.totalB),
        share(l.iou),
        ...boundaryCells(l.boundaries),
      ]),
  };
}

/** Step by step, over many cases. */
export function agreementTable(a: Agreement): Table {
  return {
    columns: [
      { name: 'Step' },
      { name: 'Cases with both', number: true },
      { name: 'Only first', number: true },
      { name: 'Only second', number: true },
      { name: 'Mean difference', number: true },
      { name: 'Limits of agreement' },
      { name: 'Overlap', number: true },
      ...boundaryColumns,
    ],
    rows: (a.steps ?? []).map((s) => [
      s.name,
      s.both,
      s.onlyFirst,
      s.onlySecond,
      s.limits ? seconds(s.limits.bias.value) : '',
      s.limits ? `${seconds(s.limits.lower.value)} to ${seconds(s.limits.upper.value)}` : (s.why ?? ''),
      share(s.overlap),
      ...boundaryCells(s.boundaries),
    ]),
  };
}
