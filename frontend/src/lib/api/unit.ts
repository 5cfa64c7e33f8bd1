import { address, get, put } from './client';
import type { ComplicationKind, Grade, Role, Technique, Unit, Window } from './types';

/** What the unit may choose from. */
export interface Catalogue {
  complications: ComplicationKind[];
  anaesthesias: string[];
  windows: Window[];
  grades: Grade[];
  roles: Role[];
  techniques: Technique[];
  /** The possible range of each quantity by its field. */
  limits: Record<string, Limit>;
}
/** Outside least to most a value is impossible; outside warnLow to warnHigh it is unusual, and taken. */
export interface Limit {
  least: number;
  most: number;
  warnLow?: number;
  warnHigh?: number;
  unit: string;
}

export const unit = () => get<Unit>(address(['unit']));
export const putUnit = (value: Unit) => put<Unit>(address(['unit']), value);
export const catalogue = () => get<Catalogue>(address(['catalogue']));
