// Reads one of the two cases that are looked at side by side. Nothing is begun or changed by looking.
import { caseById, permissions } from '../../lib/api/case';
import { session } from '../../lib/session.svelte';
import { firstReading, lookAtMatter, openTagging } from '../operation/opening';
import { Tagging } from '../operation/tagging.svelte';

/** A case that cannot be shown beside another, with the reason in words. */
export class NotShown extends Error {}

/** Opens the accepted reading of a case with its recording. */
export async function openSide(caseId: string, person: string): Promise<Tagging> {
  const [caseData, rights] = await Promise.all([caseById(caseId), permissions(caseId)]);
  if (!rights['recording.view'] || !rights['reading.view'])
    throw new NotShown('You do not see the recording of this case.');
  const matter = await lookAtMatter(caseData, rights, person);
  const reading = firstReading(matter.readings, person);
  if (matter.parts.length === 0) throw new NotShown('This case has no recording yet.');
  if (!reading) throw new NotShown('The steps of this case are not marked yet.');
  const nameOf = (code: string) => session.catalogue?.complications.find((k) => k.code === code)?.name ?? code;
  return new Tagging(await openTagging(matter, reading, nameOf));
}
