import { describe, expect, it } from 'vitest';
import { act, at, desk, phaco } from '../../lib/reading/desk.fixture';
import { endStep, startStep } from '../../lib/reading/marking';
import { addComment, addEvent } from '../../lib/reading/noting';
import { linesOf } from '../../lib/reading/sheet';
import { CaseClock } from '../../lib/timeline/clock';
import { dragTo, dropped, onFrame, withDrag } from './drag';
import { follow, handleAt, lanes, nearestInstant, pictureOf, shownEnd, snap, thingAt } from './picture';

function marked() {
  const d = desk();
  act(d, startStep(d, 'side-port', at(10)));
  act(d, startStep(d, 'rhexis', at(20)));
  act(d, endStep(d, at(40)));
  act(d, startStep(d, 'removal', at(50)));
  act(d, startStep(d, 'second', at(12)));
  act(d, addEvent(d, 'view-lost', at(30)));
  act(d, addComment(d, { at: at(35), text: 'here' }));
  return { d, picture: pictureOf(linesOf(d, [], [], String), d.clock, phaco) };
}

const view = { start: 0, end: 60_000, width: 600 };
const inSteps = lanes.steps + 5;

describe('the picture of a reading', () => {
  it('has bars for episodes and signs for what happened; a running one grows with the playhead', () => {
    const { picture } = marked();
    expect(picture.bars.map((b) => `${b.name} ${b.from}${b.open ? '' : `-${b.to}`}`)).toEqual([
      'side-port 10000-20000',
      'second 12000',
      'rhexis 20000-40000',
      'removal 50000',
    ]);
    expect(picture.signs.map((s) => s.kind)).toEqual(['event', 'comment']);
    const running = picture.bars[3] as (typeof picture.bars)[number];
    expect([40_000, 70_000].map((playhead) => shownEnd(running, playhead))).toEqual([50_000, 70_000]);
    expect(picture.joints).toEqual([{ at: 600_000, name: 'Part 2' }]);
  });

  it('knows what is under the pointer', () => {
    const { picture } = marked();
    const name = (x: number, y: number) => thingAt(picture, view, 55_000, x, y)?.kind;
    expect([name(150, inSteps), name(450, inSteps), name(300, lanes.notes + 5), name(150, 2)]).toEqual([
      'marker',
      undefined,
      'event',
      undefined,
    ]);
    expect(handleAt(picture, view, 402, inSteps, 7)).toMatchObject({ what: 'boundary', side: 'end', at: 40_000 });
    expect(handleAt(picture, view, 420, inSteps, 7)).toBeUndefined();
    expect(handleAt(picture, view, 122, lanes.beside + 2, 7)).toMatchObject({ side: 'start', at: 12_000 });
    expect(handleAt(picture, view, 352, lanes.notes + 5, 7)).toMatchObject({ what: 'comment' });
  });

  it('snaps to what is near, never to the handle itself', () => {
    const { picture } = marked();
    const rhexis = picture.bars[2]?.id ?? '';
    expect(snap(picture, 55_000, 29_800, 500, rhexis)).toBe(30_000);
    expect(snap(picture, 55_000, 54_900, 500, rhexis)).toBe(55_000);
    expect(snap(picture, 0, 40_200, 500, rhexis)).toBe(40_200);
  });
});

describe('dragging', () => {
  it('moves both sides of a shared boundary, on a frame', () => {
    const { d, picture } = marked();
    const handle = handleAt(picture, view, 200, inSteps, 7);
    if (!handle) throw new Error('no handle');
    const drag = dragTo(d, picture, handle, 24_031, { playhead: 0, reach: 0, alone: false });
    if (!drag) throw new Error('no drag');
    expect(drag.to).toEqual({ part: 'A', ms: 24_000 });
    const shown = withDrag(d, picture, drag);
    expect(shown.bars.filter((b) => b.exclusive).map((b) => b.from)).toEqual([10_000, 24_000, 50_000]);
    act(d, dropped(d, drag));
    expect([...d.items.markers.values()].map((m) => m.start.ms)).toEqual([10_000, 24_000, 50_000, 12_000]);
  });

  it('keeps the end of a part, and goes to the nearest recorded instant in a gap', () => {
    const d = desk();
    expect(onFrame(d, { part: 'A', ms: 600_000 })).toEqual({ part: 'A', ms: 600_000 });
    const part = { rates: [], cuts: [], realTime: true, duration: 10_000 };
    const clock = new CaseClock([
      { id: 'A', name: 'A', ...part },
      { id: 'B', name: 'B', offset: 30_000, ...part },
    ]);
    expect([12_000, 29_000, 50_000, -5].map((ms) => nearestInstant(clock, ms))).toEqual([
      { part: 'A', ms: 10_000 },
      { part: 'B', ms: 0 },
      { part: 'B', ms: 10_000 },
      { part: 'A', ms: 0 },
    ]);
  });
});

describe('the window of the detail line', () => {
  const extent = { start: 0, end: 600_000 };
  it('stays while the playhead is inside and moves on before it leaves', () => {
    const window = { start: 0, end: 60_000 };
    expect(follow(window, extent, 30_000)).toBe(window);
    expect(follow(window, extent, 58_000)).toEqual({ start: 49_000, end: 109_000 });
    expect(follow({ start: 100_000, end: 160_000 }, extent, 50_000)).toEqual({ start: 20_000, end: 80_000 });
    const last = follow({ start: 500_000, end: 560_000 }, extent, 599_000);
    expect(follow(last, extent, 600_000)).toBe(last);
  });
});
