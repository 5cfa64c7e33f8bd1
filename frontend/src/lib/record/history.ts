// The history of fields, read out of what was done to a case: who changed what, when, from what to what.
import type { AuditEntry } from '../api/case';

export type RecordedThing = 'case' | 'visit' | 'complication';

export interface FieldChange {
  key: string;
  field: string;
  before: unknown;
  after: unknown;
  actorId: string;
  at: number;
}

interface Detail {
  field: string;
  before: unknown;
  after: unknown;
}

/** The changes of one thing (a case by its id, a visit or complication by its own) whose field is wanted; newest first within a field. */
export function fieldChanges(
  entries: readonly AuditEntry[],
  thing: RecordedThing,
  thingId: string,
  wanted: (field: string) => boolean,
): FieldChange[] {
  const found = entries
    .filter((e) => e.action.startsWith(`${thing}.`) && (thing === 'case' || e.thingId === thingId))
    .flatMap((e) =>
      detailsOf(e)
        .filter((d) => wanted(d.field))
        .map((d) => ({ key: `${e.seq} ${d.field}`, ...d, actorId: e.actorId, at: e.at })),
    );
  const newest = new Map<string, number>();
  for (const c of found) newest.set(c.field, Math.max(newest.get(c.field) ?? 0, c.at));
  return found.sort(
    (a, b) => (newest.get(b.field) ?? 0) - (newest.get(a.field) ?? 0) || a.field.localeCompare(b.field) || b.at - a.at,
  );
}

/** The fields of an entry; other entries keep other things in their detail, or nothing. */
function detailsOf(entry: AuditEntry): Detail[] {
  if (!entry.detail) return [];
  try {
    const read: unknown = JSON.parse(entry.detail);
    return Array.isArray(read) ? (read as Detail[]).filter((d) => typeof d?.field === 'string') : [];
  } catch {
    return [];
  }
}
