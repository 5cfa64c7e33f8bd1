// Findings and learning points of a case, and whose picture may be shown.
import { address, getList, put, remove } from './client';
import type { ReportFormat } from './report';
import type { Part } from './types';

export type FindingKind = 'finding' | 'learning';
/** Free words of the review; moments are written into the text, such as @3:12. */
export interface Finding {
  id: string;
  caseId: string;
  revision: number;
  kind: FindingKind;
  /** 1, 2, ... within the kind, in the order of the report. */
  place: number;
  text: string;
  /** Whoever wrote it says that nobody can be told from it; only then it stands in the blinded edition. */
  namesNobody: boolean;
  authorId: string;
}

export const findings = (caseId: string) => getList<Finding>(address(['cases', caseId, 'findings']));
export const putFinding = (value: Finding) =>
  put<Finding>(address(['cases', value.caseId, 'findings', value.id]), value);
export const removeFinding = (caseId: string, id: string, revision: number) =>
  remove(address(['cases', caseId, 'findings', id], { revision }));
/** Says that nothing is burned into the picture of a part, or takes it back. */
export const clearPart = (caseId: string, partId: string, cleared: boolean) =>
  put<Part>(address(['cases', caseId, 'parts', partId, 'cleared']), { cleared });

/** Where the edition is that tells nobody, of the draft. */
export const blindedDraft = (caseId: string, format: Exclude<ReportFormat, 'csv'>) =>
  address(['cases', caseId, `blinded.${format}`]);
/** The same of a signed report. */
export const blindedSigned = (reportId: string, format: Exclude<ReportFormat, 'csv'>) =>
  address(['reports', reportId, `blinded.${format}`]);
