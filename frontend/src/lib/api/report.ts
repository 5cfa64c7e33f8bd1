import { address, get, getList, post, put } from './client';
import type { Addendum, SignedReport } from './types';

export type ReportFormat = 'html' | 'pdf' | 'csv' | 'json';

/** What the page itself reads of a draft report; the report has more. */
export interface DraftReport {
  hash: string;
  change: number;
  warnings?: string[];
}

/** What the report itself says is missing or doubtful. */
export const warningsOf = (report: DraftReport) => report.warnings ?? [];
export const draft = (caseId: string) => get<DraftReport>(address(['cases', caseId, 'report']));
/** Where the draft is, as a file. */
export const draftAddress = (caseId: string, format: ReportFormat) => address(['cases', caseId, `report.${format}`]);
/** Signs what was read: the server refuses when the case has changed since. */
export const sign = (caseId: string, hash: string, change: number) =>
  post<SignedReport>(address(['cases', caseId, 'reports']), { hash, change });
export const signedReports = (caseId: string) => getList<SignedReport>(address(['cases', caseId, 'reports']));
/** Where what was signed is, as a file. */
export const signedAddress = (reportId: string, format: ReportFormat) =>
  address(['reports', reportId, `content.${format}`]);
export const addAddendum = (reportId: string, id: string, text: string) =>
  put<Addendum>(address(['reports', reportId, 'addenda', id]), { text });
