import { address, getList, put, remove } from './client';
import type { Complication, Visit } from './types';

export const complications = (caseId: string) => getList<Complication>(address(['cases', caseId, 'complications']));
/** Revision 0 makes a new one. */
export const putComplication = (c: Complication) =>
  put<Complication>(address(['cases', c.caseId, 'complications', c.id]), c);
export const removeComplication = (c: Complication) =>
  remove(address(['cases', c.caseId, 'complications', c.id], { revision: c.revision }));
export const visits = (caseId: string) => getList<Visit>(address(['cases', caseId, 'visits']));
/** Revision 0 makes a new one. */
export const putVisit = (v: Visit) => put<Visit>(address(['cases', v.caseId, 'visits', v.id]), v);
export const removeVisit = (v: Visit) => remove(address(['cases', v.caseId, 'visits', v.id], { revision: v.revision }));
