// Ultrasound energy from the machine's own parts, to stand beside what was read off it.
import type { Operation } from '../api/types';

/** Weighs torsional time. From memory; the same 60 s at full power gave 24 against 61 (Ricks, Med Devices 2024; found). */
const torsionalFactor = 0.4;
/** Percent of the entered value beyond which the two are told apart. Our definition. */
const tolerance = 5;

/** Longitudinal time x power + 0.4 x torsional time x amplitude; undefined while a part of it is unknown. */
export function cdeOf(o: Operation): number | undefined {
  const longitudinal = product(o.longitudinalTime, o.longitudinalPower);
  const torsional = product(o.torsionalTime, o.torsionalAmplitude);
  if (longitudinal === 'half' || torsional === 'half') return undefined;
  if (longitudinal === undefined && torsional === undefined) return undefined;
  return (longitudinal ?? 0) + torsionalFactor * (torsional ?? 0);
}

/** Seconds at full longitudinal power. From memory. */
export function eptOf(o: Operation): number | undefined {
  const found = product(o.longitudinalTime, o.longitudinalPower);
  return found === 'half' ? undefined : found;
}

/** Seconds times percent as a fraction; "half" when only one of the two is known. No time needs no power. */
function product(seconds: number | undefined, percent: number | undefined): number | undefined | 'half' {
  if (seconds === 0) return 0;
  if (seconds === undefined && percent === undefined) return undefined;
  if (seconds === undefined || percent === undefined) return 'half';
  return (seconds * percent) / 100;
}

/** What stands beside an entered value: the computed one, and whether the two are apart. */
export function compared(entered: number | undefined, computed: number | undefined, unit = ''): Compared {
  if (computed === undefined) return { text: '', differs: false };
  const value = `${Number(computed.toFixed(2))}${unit && ` ${unit}`}`;
  if (entered === undefined) return { text: `computed ${value}`, differs: false };
  const differs = Math.abs(computed - entered) * 100 > tolerance * Math.abs(entered);
  if (!differs) return { text: `computed ${value}, in agreement`, differs };
  const apart = entered === 0 ? '' : ` (${Math.round((100 * Math.abs(computed - entered)) / entered)} % apart)`;
  return { text: `computed ${value}${apart}: the entered value counts; check both`, differs };
}

export interface Compared {
  text: string;
  differs: boolean;
}
