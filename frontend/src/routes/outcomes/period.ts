// Periods that people ask about, and the days they are.
import type { Population } from '../../lib/api/study';

export type Period = 'all' | 'year' | 'two-years' | 'between';
export const periods: readonly { value: Period; text: string }[] = [
  { value: 'all', text: 'at any time' },
  { value: 'year', text: 'in the last year' },
  { value: 'two-years', text: 'in the last 2 years' },
  { value: 'between', text: 'between' },
];
const years: Partial<Record<Period, number>> = { year: 1, 'two-years': 2 };

/** The first day of a period that runs to today; "" for all dates. */
export function periodStart(period: Period, today: string): string {
  const back = years[period];
  if (!back) return '';
  const from = new Date(`${today}T00:00:00Z`);
  // The day after today, years ago: a year that ends with the 29th of February began with the 1st of March.
  from.setUTCDate(from.getUTCDate() + 1);
  from.setUTCFullYear(from.getUTCFullYear() - back);
  return from.toISOString().slice(0, 10);
}

/** The period that two days are. */
export function periodOf({ from, to }: Pick<Population, 'from' | 'to'>, today: string): Period {
  if (!from && !to) return 'all';
  const usual = periods.find((p) => years[p.value] && periodStart(p.value, today) === from && !to);
  return usual?.value ?? 'between';
}
