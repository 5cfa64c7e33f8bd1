// What lies behind a closed line, in a few words, so that nobody has to open it to know.
import type { EyeBefore, Operation, Visit } from '../../lib/api/types';

type Told = readonly (readonly [unknown, string])[];

function told(list: Told): string {
  return list
    .filter(
      ([value]) =>
        value !== undefined && value !== null && value !== '' && !(Array.isArray(value) && value.length === 0),
    )
    .map(([, words]) => words)
    .join(', ');
}

export function moreOfEye(b: EyeBefore): string {
  return told([
    [b.uncorrectedAcuity, 'uncorrected acuity'],
    [b.whiteToWhite, 'white to white'],
    [b.refraction, 'refraction'],
    [b.keratometry, 'keratometry'],
    [b.locs, 'LOCS III'],
  ]);
}

export function energyParts(o: Operation): string {
  return told([
    [o.longitudinalTime ?? o.longitudinalPower, 'longitudinal'],
    [o.torsionalTime ?? o.torsionalAmplitude, 'torsional'],
    [o.ept, 'EPT'],
    [o.aspirationTime, 'aspiration time'],
  ]);
}

export function settingsOf(o: Operation): string {
  const count = o.settings?.length ?? 0;
  return count === 0 ? '' : `${count} ${count === 1 ? 'stage' : 'stages'}`;
}

export function moreOfVisit(v: Visit): string {
  return told([
    [v.uncorrectedAcuity, 'uncorrected acuity'],
    [v.refraction, 'refraction'],
    [v.medication, 'medication'],
  ]);
}
