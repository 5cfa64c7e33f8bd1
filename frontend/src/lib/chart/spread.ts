// Points of a lane side by side instead of on top of each other. The offset says nothing; only the place along the axis does.

/**
 * Offsets from the middle of the lane, in px, for points at x: a few are set apart so that none covers another, a
 * crowd is strewn evenly over the lane. The same input gives the same picture.
 */
export function spread(x: readonly number[], size: number, half: number): number[] {
  return x.length <= 150 ? setApart(x, size, half) : x.map((_, i) => (2 * evenly(i + 1) - 1) * half);
}

function setApart(x: readonly number[], size: number, half: number): number[] {
  const order = x.map((_, i) => i).sort((a, b) => (x[a] ?? 0) - (x[b] ?? 0));
  const offsets: number[] = new Array(x.length).fill(0);
  const placed: { x: number; y: number }[] = [];
  for (const i of order) {
    const at = x[i] ?? 0;
    const near = placed.filter((p) => Math.abs(p.x - at) < size);
    const free = (y: number) => near.every((p) => (p.x - at) ** 2 + (p.y - y) ** 2 >= size * size * 0.98);
    let y = 0;
    for (let step = 0; step * size * 0.5 <= half; step++) {
      const away = step * size * 0.5;
      if (free(away)) {
        y = away;
        break;
      }
      if (free(-away)) {
        y = -away;
        break;
      }
      // A full lane: what is left lies over its neighbours, at a place that depends on its order alone.
      if ((step + 1) * size * 0.5 > half) y = (2 * evenly(i + 1) - 1) * half;
    }
    offsets[i] = y;
    placed.push({ x: at, y });
  }
  return offsets;
}

/** Van der Corput's sequence in base 2: fills 0 to 1 evenly, without chance. */
function evenly(n: number): number {
  let value = 0;
  let part = 0.5;
  for (let rest = n; rest > 0; rest = Math.floor(rest / 2)) {
    value += (rest % 2) * part;
    part /= 2;
  }
  return value;
}
