// What an operator usually does alike from case to case, offered from the last one and never taken by itself.
import type { Operation } from '../api/types';
import { same } from '../save/differences';

const carried = [
  'anaesthesia',
  'incisionSite',
  'incisionSize',
  'ovds',
  'lensKind',
  'lensPosition',
  'machineFamily',
] as const satisfies readonly (keyof Operation)[];
export type Carried = (typeof carried)[number];

function known(value: unknown): boolean {
  return value !== undefined && value !== null && value !== '' && !(Array.isArray(value) && value.length === 0);
}

/** The fields that the last case can fill, because they are unknown in this one and nobody declined them. */
export function offered(now: Operation, last: Operation | undefined, declined: readonly Carried[]): Carried[] {
  if (!last) return [];
  return carried.filter((f) => known(last[f]) && !known(now[f]) && !declined.includes(f));
}

/** Puts a field of the last case into this one. */
export function take(now: Operation, last: Operation, field: Carried): void {
  Object.assign(now, { [field]: structuredClone(last[field]) });
}

/** Whether a field says the same as last time, so that it can be marked as taken from there. */
export function asLast(now: Operation, last: Operation | undefined, field: Carried): boolean {
  return last !== undefined && known(now[field]) && same(now[field], last[field]);
}

/** The newest case of a list that is not this one and not after it; of one day the one begun last, as ids tell. */
export function lastBefore<T extends { id: string; date: string }>(
  cases: readonly T[],
  id: string,
  date: string,
): T | undefined {
  return cases
    .filter((c) => c.id !== id && (date === '' || c.date <= date))
    .sort((a, b) => b.date.localeCompare(a.date) || b.id.localeCompare(a.id))
    .at(0);
}
