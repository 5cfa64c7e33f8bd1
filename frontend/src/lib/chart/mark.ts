// The marks of the charts. Points of one look share a single path: five thousand of them cost the page one element.

/** A look is a shape first and a colour second, so that print and colour-blind readers lose nothing. */
export type Shape = 'disc' | 'ring' | 'triangle' | 'square' | 'diamond' | 'cross';
/** Whose point it is: the reader's own, somebody named, the unnamed rest, one that signals. */
export type Tone = 'own' | 'named' | 'rest' | 'signal';

export interface Mark {
  x: number;
  y: number;
  shape: Shape;
  tone: Tone;
}
/** A mark that can be pointed at. */
export interface Spot extends Mark {
  /** Points of one lane are walked through together. */
  lane: number;
  /** What it says; the first line is the most telling. */
  text: readonly string[];
  href?: string;
  /** What its link does: "Open the video at this step". */
  opens?: string;
}

const round = (v: number) => Math.round(v * 10) / 10;

/** The outline of one mark of radius r. */
export function markPath(shape: Shape, x: number, y: number, r: number): string {
  const cx = round(x);
  const cy = round(y);
  switch (shape) {
    case 'disc':
    case 'ring':
      return `M${round(cx - r)} ${cy}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0Z`;
    case 'triangle':
      return `M${cx} ${round(cy - 1.2 * r)}L${round(cx + 1.15 * r)} ${round(cy + 0.9 * r)}L${round(cx - 1.15 * r)} ${round(cy + 0.9 * r)}Z`;
    case 'square':
      return `M${round(cx - r)} ${round(cy - r)}h${2 * r}v${2 * r}h${-2 * r}Z`;
    case 'diamond':
      return `M${cx} ${round(cy - 1.35 * r)}L${round(cx + 1.35 * r)} ${cy}L${cx} ${round(cy + 1.35 * r)}L${round(cx - 1.35 * r)} ${cy}Z`;
    case 'cross':
      return `M${round(cx - r)} ${round(cy - r)}l${2 * r} ${2 * r}M${round(cx - r)} ${round(cy + r)}l${2 * r} ${-2 * r}`;
  }
}

export interface Look {
  shape: Shape;
  tone: Tone;
  path: string;
}

/** One path for each look, the reader's own and signals last and hence on top. Crowds are drawn smaller. */
export function looks(marks: readonly Mark[], r = radiusFor(marks.length)): Look[] {
  const paths = new Map<string, Look & { pieces: string[] }>();
  for (const m of marks) {
    const key = `${m.tone} ${m.shape}`;
    let look = paths.get(key);
    if (!look) {
      look = { shape: m.shape, tone: m.tone, path: '', pieces: [] };
      paths.set(key, look);
    }
    look.pieces.push(markPath(m.shape, m.x, m.y, r));
  }
  const order: Tone[] = ['rest', 'named', 'own', 'signal'];
  return [...paths.values()]
    .sort((a, b) => order.indexOf(a.tone) - order.indexOf(b.tone))
    .map(({ shape, tone, pieces }) => ({ shape, tone, path: pieces.join('') }));
}

export function radiusFor(n: number): number {
  if (n <= 60) return 4;
  if (n <= 300) return 3;
  return n <= 1500 ? 2.2 : 1.6;
}
