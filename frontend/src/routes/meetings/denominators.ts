// From the denominators of a meeting to what their chart draws and its table holds.
import type { MeetingChart, MeetingChartPoint } from '../../lib/api/meeting';
import { counted } from '../../lib/chart/number';
import type { Table } from '../../lib/chart/table';
import type { XYPoint } from '../../lib/chart/xy';

/** Over so many operations only those with a rupture are drawn as points; the line holds all. */
const mostPoints = 60;

export function chartPoints({ points, signalledAt }: MeetingChart): XYPoint[] {
  const drawn = points.length <= mostPoints ? points : points.filter((p) => p.event || signalledAt.includes(p.number));
  return drawn.map((p): XYPoint => {
    const signal = signalledAt.includes(p.number);
    const text = [`Operation ${p.number}: ${happened(p)}`, ...(signal ? ['The chart reached its limit here.'] : [])];
    if (signal) return { x: p.number, y: p.worse, tone: 'signal', shape: 'diamond', text };
    return { x: p.number, y: p.worse, tone: p.event ? 'named' : 'rest', shape: p.event ? 'triangle' : 'disc', text };
  });
}
const happened = (p: MeetingChartPoint) => (p.event ? 'capsule rupture' : 'no capsule rupture');

/** The limit with the false alarms that it means. */
export const chartLimits = ({ limit, falseAlarmEvery }: MeetingChart) => [
  { at: limit, text: `1 false alarm in ${counted(Math.round(falseAlarmEvery), 'operation')}` },
];

export const chartTable = ({ points }: MeetingChart): Table => ({
  columns: [
    { name: 'Operation', number: true },
    { name: 'Capsule rupture' },
    { name: 'Evidence for more than expected', number: true },
    { name: 'Ruptures above expectation', number: true },
  ],
  rows: points.map((p) => [p.number, p.event ? 'yes' : 'no', rounded(p.worse), rounded(p.excess)]),
});
const rounded = (n: number) => Number(n.toFixed(3));
