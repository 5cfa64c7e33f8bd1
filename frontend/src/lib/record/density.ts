// Endothelial counts in words: what became of the cells, and how sure a count can be of it.
import type { DensityLoss, DensityPoint } from '../api/record';
import type { Eye } from '../api/types';
import type { Table } from '../chart/table';
import { dateText } from '../text/format';
import { eyeInText, windowNames } from '../text/words';

const cells = (value: number) => value.toFixed(0);
const percent = (value: number) =>
  value
    .toFixed(1)
    .replace(/^-0\.0$/, '0.0')
    .replace('-', '−');

/** When a count was made: before the operation, or at which visit. */
export const momentOf = (p: DensityPoint) => (p.window ? windowNames[p.window] : 'Before');

/** Whether a loss can be told from the error of counting. */
export function verdictOf(loss: DensityLoss | null): string {
  if (!loss || loss.lossPercent === null) return '';
  if (loss.beyondCountingError === null) return 'counting error not known';
  return loss.beyondCountingError ? 'beyond counting error' : 'within counting error';
}

/** A loss with its interval: "5.7 % (−1.2 to 12.1 %)"; "" where it cannot be said. A gain stays negative. */
export function lossText(loss: DensityLoss | null): string {
  if (!loss || loss.lossPercent === null) return '';
  const range = loss.low === null || loss.high === null ? '' : ` (${percent(loss.low)} to ${percent(loss.high)} %)`;
  return `${percent(loss.lossPercent)} %${range}`;
}

/** What followed from the count at one visit, in sentences. */
export function pointFindings(point: DensityPoint): string[] {
  const { loss } = point;
  const found: string[] = [];
  if (loss && loss.lossPercent !== null) {
    const interval = loss.low === null ? '' : ', 95 % interval of counting error';
    const what = loss.lossPercent < 0 ? 'Gain of endothelial cells; loss' : 'Loss of endothelial cells';
    const within = loss.beyondCountingError === false ? ': it may be no loss at all' : '';
    found.push(`${what} ${lossText(loss)}${interval}, ${verdictOf(loss)}${within}.`);
  }
  if (point.expectedWithoutSurgery !== null)
    found.push(`Ageing alone would have left ${cells(point.expectedWithoutSurgery)} cells/mm².`);
  for (const flag of point.flags) found.push(`Beyond the limit of the unit: ${flag}.`);
  return [...found, ...(loss?.notes ?? [])];
}

/** The change of corneal thickness since the operation; "" while it cannot be told. */
export function thicknessText(before: number | undefined, now: number | undefined): string {
  if (!before || !now) return '';
  const change = (100 * (now - before)) / before;
  return `${percent(Math.abs(change))} % ${change < 0 ? 'thinner' : 'thicker'}`;
}

/** The counts of both eyes in a few sentences, for those who do not see the chart. */
export function densitySummary(points: readonly DensityPoint[], operated: Eye): string {
  return [operated, operated === 'OD' ? 'OS' : 'OD']
    .flatMap((eye) => {
      const own = points.filter((p) => p.eye === eye);
      if (own.length === 0) return [];
      const told = own.map((p) => {
        const loss = lossText(p.loss);
        return `${momentOf(p).toLowerCase()} ${cells(p.density)} cells/mm²${loss && `, loss ${loss}, ${verdictOf(p.loss)}`}`;
      });
      const name = eyeInText[eye as Eye];
      return `The ${name}${eye === operated ? ', operated' : ', fellow eye'}: ${told.join('; ')}.`;
    })
    .join(' ');
}

export function densityTable(points: readonly DensityPoint[], operated: Eye): Table {
  return {
    columns: [
      { name: 'When' },
      { name: 'Date' },
      { name: 'Eye' },
      { name: 'Cells/mm²', number: true },
      { name: '95 % interval', number: true },
      { name: 'Loss', number: true },
      { name: 'The loss is' },
      { name: 'Expected without surgery', number: true },
    ],
    rows: points.map((p) => [
      momentOf(p),
      dateText(p.date),
      `${p.eye === operated ? 'operated' : 'fellow'} (${p.eye})`,
      cells(p.density),
      p.low === null || p.high === null ? null : `${cells(p.low)} to ${cells(p.high)}`,
      lossText(p.loss) || null,
      verdictOf(p.loss) || null,
      p.expectedWithoutSurgery === null ? null : cells(p.expectedWithoutSurgery),
    ]),
  };
}
