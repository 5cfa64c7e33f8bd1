// What came of fitting the published risk to the unit, in words.
import type { Recalibration } from '../../lib/api/types';

export interface RecalibrationFacts {
  multiplier: string;
  observed: string;
  expected: string;
  base: string;
}

/** What the server found; undefined while there is no multiplier. */
export function recalibrationFacts(r: Recalibration): RecalibrationFacts | undefined {
  if (r.oddsMultiplier == null || r.expectedPercent == null) return undefined;
  const operations = r.operations ?? 0;
  const inWindow = r.inWindow ?? operations;
  const observed = r.observed ?? 0;
  const expected = (operations * r.expectedPercent) / 100;
  return {
    multiplier: r.oddsMultiplier.toFixed(2),
    observed: `${observed} of ${operations} (${((100 * observed) / operations).toFixed(1)} %)`,
    expected: `${expected.toFixed(1)} of ${operations} (${r.expectedPercent.toFixed(1)} %)`,
    base: `${operations} of ${inWindow} operations, those with every risk factor known`,
  };
}
