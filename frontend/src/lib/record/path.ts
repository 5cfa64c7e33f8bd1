// Paths of fields: "before.age", "operation.settings[0].vacuum", "visits[<id>].pressure".
import type { Visit } from '../api/types';

/** Whether a field is the outer one or a part of it. */
export function within(outer: string, field: string): boolean {
  return field === outer || field.startsWith(`${outer}.`) || field.startsWith(`${outer}[`);
}

/** The part of the case's page on which a field stands, as in its address. */
export function pageOf(field: string): 'before' | 'operation' | 'follow-up' {
  if (within('operation', field)) return 'operation';
  return within('visits', field) || within('lostToFollowUp', field) ? 'follow-up' : 'before';
}

/** The address that leads to a field of a case. */
export function fieldAddress(caseId: string, field: string): string {
  const page = pageOf(field);
  return `/cases/${caseId}${page === 'before' ? '' : `/${page}`}#${encodeURIComponent(field)}`;
}

/** The field that an address leads to; "" when its end means something else, such as a moment of the recording. */
export function fieldOf(hash: string): string {
  let text: string;
  try {
    text = decodeURIComponent(hash.replace(/^#/, ''));
  } catch {
    return '';
  }
  return /^[a-zA-Z][\w.[\]-]*$/.test(text) ? text : '';
}

/** A visit's path without the visit: what it is called in the visit itself. */
export function inVisit(field: string): { visitId: string; field: string } | undefined {
  const [, visitId, rest] = /^visits\[([^\]]+)\]\.(.+)$/.exec(field) ?? [];
  return visitId && rest ? { visitId, field: rest } : undefined;
}

/** From a week to three months after the operation: the visits that tell its result. As the server counts it. */
const resultDays = { from: 7, to: 92 };

/**
 * Finds the field that "visits.acuity" stands for: of the visit that tells the result, at month 1 if it has one. "" while
 * there is no such visit.
 */
export function atVisit(field: string, visits: readonly Visit[], operationDate: string): string {
  const days = (v: Visit) => (Date.parse(v.date) - Date.parse(operationDate)) / 86_400_000;
  const visit =
    visits.find((v) => v.window === 'month-1') ??
    visits.find((v) => days(v) >= resultDays.from && days(v) <= resultDays.to);
  return visit ? field.replace(/^visits/, `visits[${visit.id}]`) : '';
}
