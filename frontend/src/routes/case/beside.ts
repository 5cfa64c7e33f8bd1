// One case beside the unit's other cases, in words and lines to draw.
import type { CaseExposure, CaseLoss, CaseShare, LevelComplication } from '../../lib/api/level';
import type { Window } from '../../lib/api/types';
import type { IntervalLine } from '../../lib/chart/intervals';
import { counted, timeLength } from '../../lib/chart/number';
import type { Table } from '../../lib/chart/table';
import { windowNames } from '../../lib/text/words';

/** From here on, at either end, a place is marked; as the server's sentence has it. */
const outer = 90;

const upper = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);
const decimal = (value: number) => String(Number(value.toFixed(1))).replace('-', '−');
const tenth = (value: number) => value.toFixed(1).replace('-', '−');
const percent = (value: number) => `${tenth(value)} %`;

/** A value with its unit; minutes as a length of time. */
export function valueText(e: CaseExposure, value: number): string {
  if (e.unit === 'min') return timeLength(value * 60_000);
  return e.unit === '' ? decimal(value) : `${decimal(value)} ${e.unit}`;
}

/** A percentile as 87th, never 0th or 100th: a group of cases cannot tell that much. */
export function placeText(percentile: number): string {
  const n = Math.min(Math.max(Math.round(percentile), 1), 99);
  const tens = n % 100;
  const ending = tens > 10 && tens < 14 ? 'th' : (['th', 'st', 'nd', 'rd'][n % 10] ?? 'th');
  return `${n}${ending}`;
}

export function placeLines(exposures: readonly CaseExposure[]): IntervalLine[] {
  return exposures.map((e) => {
    const name = upper(e.name);
    if (e.value === null || e.percentile === null) {
      return { name, why: e.value === null ? 'not known' : `${valueText(e, e.value)}, n ${e.n}` };
    }
    return {
      name,
      strong: e.percentile > outer || e.percentile < 100 - outer,
      main: { value: e.percentile, low: 25, high: 75, text: `${valueText(e, e.value)} · ${placeText(e.percentile)}` },
    };
  });
}

export function exposureTable(exposures: readonly CaseExposure[]): Table {
  const columns = ['This case', 'Other cases', 'Median', 'First quartile', 'Third quartile', 'Percentile'];
  return {
    columns: [
      { name: 'Measured' },
      ...columns.map((name) => ({ name, number: true })),
      { name: 'Why there is no place' },
    ],
    rows: exposures.map((e) => {
      const told = (value: number | undefined) => (value === undefined ? null : valueText(e, value));
      const { median, q1, q3 } = e.reference ?? {};
      const place = e.percentile === null ? null : placeText(e.percentile);
      return [upper(e.name), told(e.value ?? undefined), e.n, told(median), told(q1), told(q3), place, e.why];
    }),
  };
}

export function lossLines(loss: CaseLoss): IntervalLine[] {
  const known = loss.observedLow !== null && loss.observedHigh !== null;
  const low = loss.observedLow ?? loss.observed;
  const high = loss.observedHigh ?? loss.observed;
  return [
    {
      name: 'Expected',
      main: {
        value: loss.expected,
        low: loss.low,
        high: loss.high,
        text: withBounds(loss.expected, loss.low, loss.high),
      },
    },
    {
      name: 'Counted in this eye',
      strong: loss.beyond || loss.below,
      main: {
        value: loss.observed,
        low,
        high,
        text: known ? withBounds(loss.observed, low, high) : percent(loss.observed),
      },
    },
  ];
}

const withBounds = (value: number, low: number, high: number) => `${percent(value)} (${tenth(low)} to ${tenth(high)})`;

export function lossTable(loss: CaseLoss): Table {
  return {
    columns: [{ name: 'Loss' }, ...['%', 'From', 'To', 'Cases behind it'].map((name) => ({ name, number: true }))],
    rows: [
      ['Expected, with the 95 % prediction interval', loss.expected, loss.low, loss.high, loss.n].map(rounded),
      ['Counted, with the 95 % interval of counting', loss.observed, loss.observedLow, loss.observedHigh, null].map(
        rounded,
      ),
    ],
  };
}

const rounded = (value: string | number | null) => (typeof value === 'number' ? Number(value.toFixed(1)) : value);

export const lossTitle = (loss: CaseLoss) =>
  `Loss of cells at ${(windowNames[loss.window as Window] ?? loss.window).toLowerCase()}: expected and counted`;

/** "3 of 34, 8.8 % (95 % interval 3.0 to 23.0)". */
export function shareText(share: CaseShare): string {
  const text = `${share.events} of ${share.cases}`;
  if (share.percent === null || share.low === null || share.high === null) return text;
  return `${text}, ${percent(share.percent)} (95 % interval ${tenth(share.low)} to ${tenth(share.high)})`;
}

/** How long the step had run, how long it took in all, and how long elsewhere. */
export function stepText(c: LevelComplication): string {
  const before = c.before;
  if (!before || c.clock === null) return '';
  if (before.since === null) return 'No marked step was running.';
  const all =
    before.stepLength === null
      ? ''
      : `; with what followed it took ${lengthText(before.stepLength, before.stepQuality)} in all`;
  const run = `${upper(c.stepName)} had run for ${timeLength(c.clock - before.since)}${all}`;
  const ref = before.stepReference;
  if (!ref) return `${run}.`;
  if (ref.median === null || ref.q1 === null || ref.q3 === null)
    return `${run}. Others: ${counted(ref.n, 'case')}, too few to place.`;
  return `${run}. Others took ${timeLength(ref.median)} at the median, half of them ${timeLength(ref.q1)} to ${timeLength(ref.q3)} (${counted(ref.n, 'case')}).`;
}

const lengthText = (ms: number, quality: string) =>
  quality === 'lower-bound' ? `at least ${timeLength(ms)}` : timeLength(ms);
