/** Parts a series at the given places, each the x of the first point after: no line joins what a review has parted. */
export function broken<P extends { x: number }>(series: readonly P[], at: readonly number[]): P[][] {
  const cuts = [...at].sort((a, b) => a - b);
  const runs: P[][] = [[]];
  let next = 0;
  for (const p of series) {
    while (next < cuts.length && p.x >= (cuts[next] ?? 0)) {
      runs.push([]);
      next++;
    }
    runs.at(-1)?.push(p);
  }
  return runs.filter((r) => r.length > 0);
}
