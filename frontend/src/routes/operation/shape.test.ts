import { describe, expect, it } from 'vitest';
import { clockText, exactText } from './lines';
import { drawn, extended, inFrame, pathOf, pictureBox } from './shape';

describe('shapes', () => {
  it('stay inside the frame and need two points apart', () => {
    expect(inFrame(-0.2, 1.7)).toEqual([0, 1]);
    const arrow = extended(extended({ kind: 'arrow', points: [] }, [0.1, 0.1]), [0.4, 0.5]);
    expect([
      drawn(arrow),
      drawn({
        kind: 'ring',
        points: [
          [0.1, 0.1],
          [0.1, 0.101],
        ],
      }),
      drawn(undefined),
    ]).toEqual([true, false, false]);
    expect(extended(arrow, [0.9, 0.9]).points).toEqual([
      [0.1, 0.1],
      [0.9, 0.9],
    ]);
  });

  it('let a line grow up to what the server takes', () => {
    let line = extended({ kind: 'line', points: [] }, [0, 0]);
    for (let i = 0; i < 700; i++) line = extended(line, [0.5, 0.5]);
    expect(line.points).toHaveLength(500);
  });

  it('become paths on the pixels of the frame', () => {
    expect(
      pathOf(
        {
          kind: 'line',
          points: [
            [0, 0],
            [0.5, 1],
          ],
        },
        200,
        100,
      ),
    ).toBe('M0 0L100 100');
    expect(
      pathOf(
        {
          kind: 'ring',
          points: [
            [0.5, 0.5],
            [0.6, 0.5],
          ],
        },
        100,
        100,
      ),
    ).toBe('M40 50a10 10 0 1 0 20 0a10 10 0 1 0 -20 0');
    expect(pathOf({ kind: 'arrow', points: [[0, 0]] }, 100, 100)).toBe('');
  });

  it('lie on the picture and not on the bars beside it', () => {
    expect(pictureBox(1000, 300, { width: 400, height: 300 })).toEqual({ left: 300, top: 0, width: 400, height: 300 });
    expect(pictureBox(640, 480, { width: 0, height: 0 })).toEqual({ left: 0, top: 0, width: 640, height: 480 });
  });
});

describe('times for people', () => {
  it('are a clock, rounded down', () => {
    expect([0, 111_999, 3_725_000, -5200].map((ms) => clockText(ms))).toEqual(['0:00', '1:51', '1:02:05', '−0:05']);
    expect([clockText(83_120, true), exactText(151_480)]).toEqual(['1:23.1', '2:31.480']);
  });
});
