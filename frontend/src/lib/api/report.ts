import { address, get, getList, getText, post, put } from './client';
import type { Addendum, SignedReport } from './types';

export type ReportFormat = 'html' | 'pdf' | 'csv' | 'json';

/** A moment as the report leads to it. */
export interface ReportMoment {
  /** Address of the moment on the tagging page. */
  page: string;
}
/** A line of the running sheet with its moment. */
export interface SheetMoment {
  name: string;
  at: { partId: string; ms: number } | null;
}
/** What the page itself reads of a draft report; the report has more. */
export interface Report {
  /** What a signer names: of the content as it is now. */
  hash: string;
  change: number;
  /** The count of changes of the case that the report was made from. */
  caseChange: number;
  warnings: { code: string; message: string; accepted: string; moment: ReportMoment | null }[] | null;
  sheet: SheetMoment[] | null;
  missing: { text: string; at: ReportMoment | null }[] | null;
}

export const draft = (caseId: string) => get<Report>(address(['cases', caseId, 'report']));
/** Where the draft is, as a file. */
export const draftAddress = (caseId: string, format: ReportFormat) => address(['cases', caseId, `report.${format}`]);
/** The report as a page of its own. */
export const letter = (to: string, signal: AbortSignal) => getText(to, signal);
/** Signs what was read: the server refuses when the case has changed since. */
export const sign = (caseId: string, hash: string, change: number) =>
  post<SignedReport>(address(['cases', caseId, 'reports']), { hash, change });
export const signedReports = (caseId: string) => getList<SignedReport>(address(['cases', caseId, 'reports']));
/** What was signed, as data. */
export const signedContent = (reportId: string) =>
  get<Omit<Report, 'hash' | 'change'>>(signedAddress(reportId, 'json'));
/** Where what was signed is, as a file. */
export const signedAddress = (reportId: string, format: ReportFormat) =>
  address(['reports', reportId, `content.${format}`]);
export const addAddendum = (reportId: string, id: string, text: string) =>
  put<Addendum>(address(['reports', reportId, 'addenda', id]), { text });
