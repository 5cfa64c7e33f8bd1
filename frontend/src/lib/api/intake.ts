import { address, get, post, put, send } from './client';

export type IntakeState = 'to-match' | 'checking' | 'checked' | 'applying' | 'applied' | 'cancelled';
export type Verdict = 'new' | 'changes' | 'same' | 'refused' | 'no-case' | 'ambiguous';

export interface IntakeFile {
  name: string;
  /** SHA-256 in hex. */
  hash: string;
  kind: string;
  encoding: string;
  separator: string;
  sheet: string;
  sheets: string[];
}
export interface IntakeMatching {
  /** The field that each column holds; "" is not read. */
  fields: string[];
  dates: string;
  decimals: string;
  /** Rows that name no visit, dated before the operation or on its day, are about the eye before. */
  baseline: boolean;
}
export interface Intake {
  id: string;
  ownerId: string;
  file: IntakeFile;
  columns: string[];
  matching: IntakeMatching;
  remembered: boolean;
  state: IntakeState;
  rows: number;
  hidden: number;
  done: number;
  /** Rows by verdict. */
  counts: Partial<Record<Verdict, number>>;
  written: number;
  madeAt: number;
}
export interface IntakeRow {
  number: number;
  cells: string[];
  hidden: boolean;
  verdict: Verdict | '';
  written: boolean;
  caseId?: string;
  field?: string;
  message?: string;
  changes?: { field: string; before: unknown; after: unknown }[];
}
export interface IntakeField {
  code: string;
  required: boolean;
}
export interface ImportPage {
  import: Intake;
  rows: IntakeRow[];
  fields: IntakeField[];
}

/** Sends a file; nothing of the record changes. */
export const beginImport = (file: File, sheet = '') =>
  send<Intake>('POST', address(['imports'], { name: file.name, sheet }), file);
/** The import with at most 50 of its rows after the one with the number. */
export const importById = (id: string, verdict: Verdict | '' = '', after = 0) =>
  get<ImportPage>(address(['imports', id], { verdict, after: after || undefined }));
export const putMatching = (id: string, matching: IntakeMatching) =>
  put<Intake>(address(['imports', id, 'matching']), matching);
/** Checks the next batch of rows. */
export const checkImport = (id: string) => post<Intake>(address(['imports', id, 'check']));
/** Writes the next batch of accepted rows. */
export const applyImport = (id: string) => post<Intake>(address(['imports', id, 'apply']), { whole: false });
/** Writes the whole file or, when it is stopped, nothing. */
export const applyWholeImport = (id: string, stop: AbortSignal) =>
  send<Intake>('POST', address(['imports', id, 'apply']), { whole: true }, stop);
export const cancelImport = (id: string) => post<Intake>(address(['imports', id, 'cancel']));
export const importReportAddress = (id: string) => address(['imports', id, 'report.csv']);
