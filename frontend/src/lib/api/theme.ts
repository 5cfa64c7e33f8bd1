// What closed meetings had in common, and their minutes: the JSON of package annotate.
import { address, get } from './client';

export interface ThemeQuarter {
  /** Such as "2026 Q2". */
  quarter: string;
  cases: number;
}
/** Cases, each once, in the quarters of the answer. */
export interface Theme {
  code: string;
  name: string;
  counts: number[];
  total: number;
}
export interface ThemePoint {
  quarter: string;
  text: string;
}
export interface ActionsClosed {
  agreed: number;
  closed: number;
}
export interface Themes {
  /** Those with enough cases, oldest first. */
  quarters: ThemeQuarter[];
  meetings: number;
  factors: Theme[];
  reasons: Theme[];
  /** During which complications happened. */
  steps: Theme[];
  harm: Theme[];
  preventability: Theme[];
  /** The latest first. */
  learning: ThemePoint[];
  actions: ActionsClosed;
  notes: string[];
}

export const themes = () => get<Themes>(address(['themes']));
export const themesFileAddress = () => address(['themes.csv']);
export const minutesAddress = (meeting: string, form: 'html' | 'pdf') =>
  address(['meetings', meeting, `minutes.${form}`]);
