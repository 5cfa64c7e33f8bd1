// Refraction: what follows from sphere, cylinder and axis.
import type { Refraction } from '../api/types';

/** Sphere + cylinder/2, D; undefined while one of them is unknown. Common practice. */
export function sphericalEquivalent(r: Refraction | undefined): number | undefined {
  return r?.sphere === undefined || r.cylinder === undefined ? undefined : r.sphere + r.cylinder / 2;
}

/** Dioptres with their sign, as they are written: +0.25 D, −1.50 D. */
export function dioptres(value: number): string {
  const rounded = value.toFixed(2);
  if (Number(rounded) === 0) return '0.00 D';
  return `${value > 0 ? '+' : '−'}${rounded.replace('-', '')} D`;
}

/** The spherical equivalent and, when there is a target, how far it is from it. */
export function equivalentText(r: Refraction | undefined, target?: number): string {
  const found = sphericalEquivalent(r);
  if (r?.sphere !== undefined && r.cylinder === undefined)
    return 'For the spherical equivalent: a cylinder, 0 if none.';
  if (found === undefined) return '';
  const text = `Spherical equivalent ${dioptres(found)}`;
  if (target === undefined) return `${text}.`;
  return `${text}: ${dioptres(found - target)} from the target of ${dioptres(target)}.`;
}

/** Keeps what holds something; an object of unknowns is unknown itself. */
export function orNothing<T extends object>(value: T): T | undefined {
  return Object.values(value).some((v) => v !== undefined && v !== '') ? value : undefined;
}
