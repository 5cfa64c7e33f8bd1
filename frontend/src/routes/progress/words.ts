// The summary of a person's period, in words and numbers as people read them. Pure.
import type { CodeCount, Progress, ProgressStep } from '../../lib/api/teaching';
import type { IntervalLine } from '../../lib/chart/intervals';
import { counted, plainNumber, ratioWithInterval, timeLength } from '../../lib/chart/number';
import type { Table } from '../../lib/chart/table';
import { dateText } from '../../lib/text/format';

/** Offered periods: months back from the last day, 0 for everything. */
export const periods = [
  { months: 3, name: 'Last 3 months' },
  { months: 6, name: 'Last 6 months' },
  { months: 12, name: 'Last 12 months' },
  { months: 0, name: 'Everything' },
] as const;

/** The day after the same day some months before; "" for 0. A day that the month lacks becomes its last. */
export function monthsBefore(day: string, months: number): string {
  if (months === 0) return '';
  const [year = 0, month = 1, date = 1] = day.split('-').map(Number);
  const last = new Date(Date.UTC(year, month - months, 0)).getUTCDate();
  const start = Date.UTC(year, month - 1 - months, Math.min(date, last) + 1);
  return new Date(start).toISOString().slice(0, 10);
}

/** "from 1 Mar 2026 to 31 May 2026", "up to 31 May 2026", "so far". */
export function periodText(from: string, to: string): string {
  if (from && to) return `from ${dateText(from)} to ${dateText(to)}`;
  if (from) return `since ${dateText(from)}`;
  return to ? `up to ${dateText(to)}` : 'so far';
}

/** What was operated, and whether any time is clearly off, in two sentences; own speaks to the person. */
export function leadSentence(p: Progress, own: boolean): string {
  const who = own ? 'You' : p.person.name;
  const { led, shared } = p.cases;
  const when = periodText(p.from, p.to);
  if (led + shared === 0) return `${who} operated no tagged case ${when}.`;
  const parts = shared > 0 ? ` and a part of ${counted(shared, 'case')}` : '';
  const told = (p.steps ?? []).filter((s) => s.against);
  const slow = told.filter((s) => s.against && s.against.low > 1).length;
  const fast = told.filter((s) => s.against && s.against.high < 1).length;
  const opening = `${who} operated ${counted(led, 'whole case')}${parts} ${when}.`;
  if (told.length === 0) return `${opening} There are too few cases to hold a time against others.`;
  if (slow + fast === 0) return `${opening} No time differs clearly from what is expected on like eyes.`;
  const some = [slow > 0 ? `${slow} clearly longer` : '', fast > 0 ? `${fast} clearly shorter` : ''].filter(Boolean);
  return `${opening} Of ${counted(told.length, 'time')} held against like eyes, ${some.join(' and ')} than expected; a longer time is not a worse one.`;
}

/** "Steps, stages and the whole operation": the name of one line. */
export const stepName = (s: ProgressStep) =>
  s.kind === 'operation' ? 'Whole operation' : s.kind === 'stage' ? `${s.name} (stage)` : s.name;

/** The times against like eyes, a line each. */
export function stepLines(steps: readonly ProgressStep[]): IntervalLine[] {
  return steps
    .filter((s) => s.against)
    .map((s) => ({
      name: stepName(s),
      strong: s.kind !== 'step',
      main: s.against
        ? { value: s.against.ratio, low: s.against.low, high: s.against.high, text: ratioWithInterval(s.against) }
        : undefined,
    }));
}

/** The same numbers, and those that are not told with why. */
export function stepTable(steps: readonly ProgressStep[]): Table {
  return {
    columns: [
      { name: 'Step' },
      ...['Cases', 'Median', 'Median of the group', 'Adjusted ratio', '95 % low', '95 % high'].map((name) => ({
        name,
        number: true,
      })),
      { name: 'Note' },
    ],
    rows: steps.map((s) => [
      stepName(s),
      s.n,
      s.median === null ? null : timeLength(s.median),
      s.group === null ? null : timeLength(s.group),
      s.against ? plainNumber(s.against.ratio) : null,
      s.against ? plainNumber(s.against.low) : null,
      s.against ? plainNumber(s.against.high) : null,
      s.why ?? '',
    ]),
  };
}

/** "Iris prolapse: 3 times in 2 cases". */
export const countText = (c: CodeCount) =>
  c.times === c.cases
    ? `${c.name}: in ${counted(c.cases, 'case')}`
    : `${c.name}: ${counted(c.times, 'time')} in ${counted(c.cases, 'case')}`;
