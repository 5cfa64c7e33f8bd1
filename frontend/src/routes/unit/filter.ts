// The filter of the unit's record as it stands in the address.
import type { UnitRecordFilter } from '../../lib/api/unitrecord';
import { daysAfter } from '../../lib/text/format';

export const emptyFilter: UnitRecordFilter = { from: '', to: '', technique: '', operator: '' };

export function readFilter(search: string): UnitRecordFilter {
  const given = new URLSearchParams(search);
  const text = (name: string) => given.get(name) ?? '';
  return { from: text('from'), to: text('to'), technique: text('technique'), operator: text('operator') };
}

/** The search part of the address for a filter; "" for the empty one. */
export function writeFilter(filter: UnitRecordFilter): string {
  const given = new URLSearchParams();
  for (const [name, value] of Object.entries(filter)) if (value) given.set(name, value);
  const text = given.toString();
  return text && `?${text}`;
}

export interface Period {
  name: string;
  from: string;
  to: string;
}

/** The periods that are asked for most: rolling ones and whole years. */
export function periods(today: string): Period[] {
  const year = Number(today.slice(0, 4));
  return [
    { name: 'All operations', from: '', to: '' },
    { name: 'Last 12 months', from: daysAfter(today, -365), to: today },
    { name: `This year, ${year}`, from: `${year}-01-01`, to: today },
    { name: `Last year, ${year - 1}`, from: `${year - 1}-01-01`, to: `${year - 1}-12-31` },
  ];
}
