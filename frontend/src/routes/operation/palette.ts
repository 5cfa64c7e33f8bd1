// The colours and patterns of the stages on a canvas. They are those of the theme, which the operator may change.

/** What the time lines are painted with. */
export interface Palette {
  paper: string;
  ink: string;
  soft: string;
  rule: string;
  accent: string;
  accentSoft: string;
  bad: string;
  warn: string;
  sunk: string;
  stageInk: string;
  font: string;
  /** Colour and pattern of a stage; of none for "". */
  stage: (code: string) => { colour: string; pattern: CanvasPattern | string };
}

type Draw = (c: CanvasRenderingContext2D, size: number) => void;

const lines =
  (slope: 1 | -1): Draw =>
  (c, size) => {
    c.lineWidth = 1.4;
    c.beginPath();
    for (const shift of [-size, 0, size]) {
      c.moveTo(shift, slope > 0 ? size : 0);
      c.lineTo(shift + size, slope > 0 ? 0 : size);
    }
    c.stroke();
  };

const patterns: Record<string, Draw> = {
  opening: () => {},
  capsule: lines(1),
  nucleus: (c, size) => {
    c.beginPath();
    c.arc(size / 2, size / 2, 1.3, 0, 7);
    c.fill();
  },
  cortex: lines(-1),
  lens: (c, size) => {
    c.strokeStyle = c.fillStyle = '#ffffff';
    c.fillRect(0, size / 2, size, 1.4);
  },
  closing: (c, size) => {
    lines(1)(c, size);
    lines(-1)(c, size);
  },
};

/** Reads the theme as it is now. */
export function readPalette(from: Element): Palette {
  const style = getComputedStyle(from);
  const value = (name: string) => style.getPropertyValue(name).trim();
  const made = new Map<string, { colour: string; pattern: CanvasPattern | string }>();
  const stageInk = value('--stage-ink');
  return {
    paper: value('--paper'),
    ink: value('--ink'),
    soft: value('--ink-soft'),
    rule: value('--rule'),
    accent: value('--accent'),
    accentSoft: value('--accent-soft'),
    bad: value('--bad'),
    warn: value('--warn'),
    sunk: value('--sunk'),
    stageInk,
    font: style.fontFamily,
    stage(code) {
      const known = made.get(code);
      if (known) return known;
      const colour = value(patterns[code] ? `--stage-${code}` : '--stage-none');
      const fill = { colour, pattern: makePattern(colour, stageInk, patterns[code]) };
      made.set(code, fill);
      return fill;
    },
  };
}

function makePattern(colour: string, ink: string, draw: Draw | undefined): CanvasPattern | string {
  if (!draw) return colour;
  const size = 7;
  const tile = document.createElement('canvas');
  // Twice as fine as the page, so that it is sharp on a dense screen too.
  tile.width = tile.height = size * 2;
  const c = tile.getContext('2d');
  if (!c) return colour;
  c.scale(2, 2);
  c.fillStyle = colour;
  c.fillRect(0, 0, size, size);
  c.fillStyle = c.strokeStyle = ink;
  c.globalAlpha = 0.55;
  draw(c, size);
  const pattern = c.createPattern(tile, 'repeat');
  pattern?.setTransform(new DOMMatrix().scale(0.5));
  return pattern ?? colour;
}
