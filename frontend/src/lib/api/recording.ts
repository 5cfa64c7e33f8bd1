import { address, get, getList, post, put, remove } from './client';
import type { Part, RateSpan } from './types';

/** One line of a folder below an allowed root. */
export interface FolderEntry {
  name: string;
  /** Below the root, for a folder to open. */
  path: string;
  /** For a file: what a part is registered with. */
  source: string;
  dir: boolean;
  size: number;
  modifiedAt: number;
}
/** What is sent to register a part or change how it is placed. */
export interface PartChange {
  source: string;
  position: number;
  offset?: number;
  rates: RateSpan[];
  cuts: number[];
  realTime: boolean;
  revision: number;
}

export const parts = (caseId: string) => getList<Part>(address(['cases', caseId, 'parts']));
export const putPart = (caseId: string, partId: string, change: PartChange) =>
  put<Part>(address(['cases', caseId, 'parts', partId]), change);
export const removePart = (caseId: string, partId: string, revision: number) =>
  remove(address(['cases', caseId, 'parts', partId], { revision }));
/** Looks at every file again. */
export const checkParts = (caseId: string) => post<Part[]>(address(['cases', caseId, 'parts', 'check']));
export const roots = () => get<{ roots: string[] | null }>(address(['media', 'browse']));
export const folder = (root: string, dir: string) =>
  get<{ entries: FolderEntry[] | null }>(address(['media', 'browse'], { root, dir }));
/** Where the bytes of a part are played from. */
export const partAddress = (partId: string) => address(['media', 'parts', partId]);
