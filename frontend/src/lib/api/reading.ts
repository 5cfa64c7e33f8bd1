import { address, get, getList, post, put } from './client';
import type { Edit, EditAnswer, Reading, ReadingState, StepListRef } from './types';

export const readings = (caseId: string) => getList<Reading>(address(['cases', caseId, 'readings']));
/** Opens a reading under an id made here; the first of a case becomes the accepted one. */
export const putReading = (caseId: string, readingId: string, stepList: StepListRef) =>
  put<Reading>(address(['cases', caseId, 'readings', readingId]), { stepList });
export const acceptReading = (readingId: string, reason: string) =>
  post<void>(address(['readings', readingId, 'accept']), { reason });
export const readingState = (readingId: string) => get<ReadingState>(address(['readings', readingId]));
export const editsAfter = (readingId: string, after: number) =>
  get<{ edits: Edit[] }>(address(['readings', readingId, 'edits'], { after }));
/** All or nothing; an edit sent twice counts once. */
export const addEdits = (readingId: string, edits: Edit[]) =>
  post<{ answers: EditAnswer[]; seq: number }>(address(['readings', readingId, 'edits']), { edits });
/** The timeline's result for the reading, computed by the server. */
export const durations = <T>(readingId: string) => get<T>(address(['readings', readingId, 'durations']));
