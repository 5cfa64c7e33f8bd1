// Draws the two time lines.
import { clockText } from './lines';
import type { Palette } from './palette';
import { type Bar, lanes, type Picture, type Sign, shownEnd, type View, xOf } from './picture';

/** A canvas that is as fine as the screen. Gives its context, cleared, in CSS pixels. */
export function begin(canvas: HTMLCanvasElement, width: number, height: number): CanvasRenderingContext2D | undefined {
  const fine = window.devicePixelRatio || 1;
  const [w, h] = [Math.round(width * fine), Math.round(height * fine)];
  if (canvas.width !== w) canvas.width = w;
  if (canvas.height !== h) canvas.height = h;
  const c = canvas.getContext('2d');
  if (!c) return undefined;
  c.setTransform(fine, 0, 0, fine, 0, 0);
  c.clearRect(0, 0, width, height);
  return c;
}

const overviewBar = { top: 2, height: 20 } as const;

/** The whole case: stages in their proportions, gaps, parts, signs. Without the playhead, so that it can be kept. */
export function paintOverview(
  c: CanvasRenderingContext2D,
  p: Palette,
  picture: Picture,
  width: number,
  height: number,
): void {
  const view: View = { ...picture.extent, width };
  c.fillStyle = p.sunk;
  c.fillRect(0, overviewBar.top, width, overviewBar.height);
  for (const bar of picture.bars) {
    if (bar.exclusive && !bar.open) overviewStretch(c, p, view, bar, bar.to);
  }
  paintStageNumbers(c, p, picture, view);
  paintGaps(c, p, picture, view, overviewBar.top, overviewBar.height);
  paintJoints(c, p, picture, view, height, false);
  for (const sign of picture.signs) {
    c.fillStyle = sign.kind === 'complication' ? p.bad : sign.kind === 'event' ? p.ink : p.accent;
    c.globalAlpha = sign.faint ? 0.45 : 1;
    c.fillRect(xOf(view, sign.at) - 1, overviewBar.top + overviewBar.height + 1, 2, 6);
  }
  c.globalAlpha = 1;
}

function overviewStretch(c: CanvasRenderingContext2D, p: Palette, view: View, bar: Bar, to: number): void {
  const x = xOf(view, bar.from);
  const w = Math.max(1, xOf(view, to) - x);
  const fill = p.stage(bar.stage);
  c.fillStyle = w > 5 ? fill.pattern : fill.colour;
  c.fillRect(x, overviewBar.top, w, overviewBar.height);
}

/** The running steps of the whole case, which grow with the playhead. */
export function paintRunning(
  c: CanvasRenderingContext2D,
  p: Palette,
  picture: Picture,
  width: number,
  playhead: number,
): void {
  const view: View = { ...picture.extent, width };
  for (const bar of picture.bars) {
    if (bar.exclusive && bar.open) overviewStretch(c, p, view, bar, shownEnd(bar, playhead));
  }
}

/** The number of the stage on each stretch that has room for it. */
function paintStageNumbers(c: CanvasRenderingContext2D, p: Palette, picture: Picture, view: View): void {
  let run: { stage: string; from: number; to: number } | undefined;
  const write = () => {
    if (!run) return;
    const x = xOf(view, run.from);
    if (xOf(view, run.to) - x < 18) return;
    plate(c, p, String(picture.stages.indexOf(run.stage) + 1 || '?'), x + 3, overviewBar.top + 3);
  };
  for (const bar of picture.bars) {
    if (!bar.exclusive || bar.open) continue;
    if (run && run.stage === bar.stage) run.to = Math.max(run.to, bar.to);
    else {
      write();
      run = { stage: bar.stage, from: bar.from, to: bar.to };
    }
  }
  write();
}

/** A short text on a plate, readable on every pattern. */
function plate(c: CanvasRenderingContext2D, p: Palette, text: string, x: number, y: number, width = 14): void {
  c.font = `600 11px ${p.font}`;
  c.fillStyle = p.paper;
  c.globalAlpha = 0.88;
  c.fillRect(x, y, width, 14);
  c.globalAlpha = 1;
  c.fillStyle = p.ink;
  c.textAlign = 'center';
  c.textBaseline = 'middle';
  c.fillText(text, x + width / 2, y + 7.5);
}

function paintGaps(c: CanvasRenderingContext2D, p: Palette, picture: Picture, view: View, y: number, h: number): void {
  for (const gap of picture.gaps) {
    const x = xOf(view, gap.start);
    const w = Math.max(2, xOf(view, gap.end) - x);
    if (x > view.width || x + w < 0) continue;
    c.fillStyle = p.paper;
    c.fillRect(x, y, w, h);
    c.strokeStyle = p.soft;
    c.lineWidth = 1;
    c.setLineDash([2, 3]);
    c.strokeRect(x + 0.5, y + 0.5, w - 1, h - 1);
    c.setLineDash([]);
    if (w > 90) text(c, p.soft, p.font, 'not recorded', x + w / 2, y + h / 2, 'center');
  }
}

function paintJoints(
  c: CanvasRenderingContext2D,
  p: Palette,
  picture: Picture,
  view: View,
  h: number,
  named: boolean,
): void {
  for (const joint of picture.joints) {
    const x = Math.round(xOf(view, joint.at));
    if (x < -80 || x > view.width) continue;
    c.fillStyle = p.ink;
    c.fillRect(x - 2, 0, 1, h);
    c.fillRect(x + 1, 0, 1, h);
    if (named) text(c, p.soft, p.font, joint.name, x + 5, 8, 'left');
  }
}

function text(
  c: CanvasRenderingContext2D,
  colour: string,
  font: string,
  words: string,
  x: number,
  y: number,
  align: CanvasTextAlign,
): void {
  c.font = `11px ${font}`;
  c.fillStyle = colour;
  c.textAlign = align;
  c.textBaseline = 'middle';
  c.fillText(words, x, y);
}

/** The window round the playhead: ruler, steps, steps beside them, signs. */
export function paintDetail(
  c: CanvasRenderingContext2D,
  p: Palette,
  picture: Picture,
  view: View,
  now: { playhead: number; selected: string },
): void {
  paintRuler(c, p, view);
  c.fillStyle = p.sunk;
  c.fillRect(0, lanes.steps, view.width, lanes.beside - lanes.steps - 2);
  for (const bar of picture.bars) {
    if (shownEnd(bar, now.playhead) < view.start || bar.from > view.end) continue;
    paintBar(c, p, view, { ...bar, to: shownEnd(bar, now.playhead) }, bar.id === now.selected);
  }
  paintGaps(c, p, picture, view, lanes.steps, lanes.beside - lanes.steps - 2);
  paintJoints(c, p, picture, view, lanes.height, true);
  for (const sign of picture.signs) {
    const last = sign.to ?? sign.at;
    if (last >= view.start && sign.at <= view.end) paintSign(c, p, view, sign, sign.id === now.selected);
  }
}

const ticks = [200, 1000, 2000, 5000, 10_000, 15_000, 30_000, 60_000, 120_000, 300_000, 600_000];

function paintRuler(c: CanvasRenderingContext2D, p: Palette, view: View): void {
  const perPixel = (view.end - view.start) / view.width;
  const every = ticks.find((t) => t / perPixel >= 64) ?? 1_200_000;
  for (let ms = Math.ceil(view.start / every) * every; ms <= view.end; ms += every) {
    const x = Math.round(xOf(view, ms));
    c.fillStyle = p.rule;
    c.fillRect(x, 0, 1, lanes.height);
    text(c, p.soft, p.font, clockText(ms, every < 1000), x + 4, 9, 'left');
  }
}

function paintBar(c: CanvasRenderingContext2D, p: Palette, view: View, bar: Bar, selected: boolean): void {
  const y = bar.exclusive ? lanes.steps : lanes.beside;
  const h = bar.exclusive ? lanes.beside - lanes.steps - 2 : lanes.notes - lanes.beside - 2;
  const x = Math.max(-4, xOf(view, bar.from));
  const w = Math.max(2, Math.min(view.width + 4, xOf(view, bar.to)) - x);
  const fill = p.stage(bar.stage);
  c.fillStyle = fill.pattern;
  c.fillRect(x, y, w, h);
  if (w > 26) {
    const from = Math.max(x, 0) + 4;
    const room = Math.min(x + w, view.width) - from - 4;
    if (bar.exclusive) label(c, p, bar.name, from, y + 9, room);
  }
  c.fillStyle = p.ink;
  c.fillRect(x, y, 1, h);
  if (!bar.open) c.fillRect(x + w - 1, y, 1, h);
  if (!selected) return;
  c.strokeStyle = p.accent;
  c.lineWidth = 3;
  c.strokeRect(x + 1.5, y + 1.5, w - 3, h - 3);
}

/** A name on a plate, cut to its room. */
function label(c: CanvasRenderingContext2D, p: Palette, words: string, x: number, y: number, room: number): void {
  c.font = `12px ${p.font}`;
  let shown = words;
  while (shown.length > 1 && c.measureText(shown).width > room - 8) shown = `${shown.slice(0, -2).trimEnd()}…`;
  if (shown === '…') return;
  const width = Math.min(room, c.measureText(shown).width + 8);
  c.fillStyle = p.paper;
  c.globalAlpha = 0.88;
  c.fillRect(x, y, width, 18);
  c.globalAlpha = 1;
  c.fillStyle = p.ink;
  c.textAlign = 'left';
  c.textBaseline = 'middle';
  c.fillText(shown, x + 4, y + 9.5);
}

function paintSign(c: CanvasRenderingContext2D, p: Palette, view: View, sign: Sign, selected: boolean): void {
  const x = xOf(view, sign.at);
  const y = lanes.notes + 13;
  const colour = sign.kind === 'complication' ? p.bad : sign.kind === 'event' ? p.ink : p.accent;
  c.globalAlpha = sign.faint ? 0.5 : 1;
  c.strokeStyle = c.fillStyle = colour;
  c.lineWidth = 1.5;
  c.beginPath();
  if (sign.kind === 'event') {
    c.moveTo(x, y - 9);
    c.lineTo(x + 9, y);
    c.lineTo(x, y + 9);
    c.lineTo(x - 9, y);
    c.closePath();
  } else if (sign.kind === 'complication') {
    c.moveTo(x, y - 9);
    c.lineTo(x + 9, y + 7);
    c.lineTo(x - 9, y + 7);
    c.closePath();
  } else {
    c.rect(x - 1, y - 8, 15, 12);
    c.moveTo(x - 1, y - 8);
    c.lineTo(x - 1, y + 9);
    if (sign.to !== undefined) c.rect(x - 1, y + 6, Math.max(1, xOf(view, sign.to) - x), 1.5);
  }
  c.fillStyle = p.paper;
  c.fill();
  c.stroke();
  const inside = sign.kind === 'event' ? sign.letter : sign.kind === 'complication' ? '!' : '…';
  c.font = `600 11px ${p.font}`;
  c.fillStyle = colour;
  c.textAlign = 'center';
  c.textBaseline = 'middle';
  c.fillText(inside, sign.kind === 'comment' ? x + 6.5 : x, sign.kind === 'comment' ? y - 3 : y + 1);
  c.globalAlpha = 1;
  if (!selected) return;
  c.strokeStyle = p.accent;
  c.lineWidth = 3;
  c.strokeRect(x - 12, lanes.notes + 1, 26, 24);
}

/** The playhead over a time line. */
export function paintPlayhead(c: CanvasRenderingContext2D, p: Palette, x: number, height: number): void {
  c.fillStyle = p.paper;
  c.fillRect(x - 2, 0, 4, height);
  c.fillStyle = p.accent;
  c.fillRect(x - 1, 0, 2, height);
  c.beginPath();
  c.moveTo(x - 6, 0);
  c.lineTo(x + 6, 0);
  c.lineTo(x, 7);
  c.closePath();
  c.fill();
}
