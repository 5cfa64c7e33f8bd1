// Moments that a person wrote into running text: @3:12 on the case clock, @2/3:12 in media time of part 2. The server reads
// them alike; both are held against testdata/moments/written.txt.

export interface WrittenMoment {
  /** Places in the text. */
  start: number;
  end: number;
  /** 1, 2, ... in the order of the operation; 0: on the case clock. */
  part: number;
  ms: number;
}

const pattern =
  /(?<![\p{L}\p{M}\p{N}_])@(?:(\d{1,3})\/)?(\d{1,3}):(\d{2})(?::(\d{2}))?(?:\.(\d{1,3}))?(?![\p{L}\p{M}\p{N}_]|[:.]\d)/gu;

/** The moments in a text, in order. An @ within a word begins none, and what goes on as another number stays text. */
export function writtenMoments(text: string): WrittenMoment[] {
  return [...text.matchAll(pattern)].flatMap((found) => {
    const [whole, part, first = '', second = '', third, fraction = ''] = found;
    if (part !== undefined && Number(part) === 0) return [];
    if (Number(second) > 59 || (third !== undefined && (Number(third) > 59 || first.length > 2))) return [];
    const minutes = Number(first) * 60 + Number(second);
    const seconds = third === undefined ? minutes : minutes * 60 + Number(third);
    const ms = seconds * 1000 + Number(fraction.padEnd(3, '0'));
    return [{ start: found.index, end: found.index + whole.length, part: Number(part ?? 0), ms }];
  });
}

/** Writes a moment as it is read; part 0 is the case clock. */
export function writeMoment(part: number, ms: number): string {
  const seconds = Math.floor(ms / 1000);
  const two = (n: number) => String(n).padStart(2, '0');
  const hours = Math.floor(seconds / 3600);
  const clock =
    hours > 0
      ? `${hours}:${two(Math.floor(seconds / 60) % 60)}:${two(seconds % 60)}`
      : `${Math.floor(seconds / 60)}:${two(seconds % 60)}`;
  const fraction = String(ms % 1000)
    .padStart(3, '0')
    .replace(/0+$/, '');
  return `@${part > 0 ? `${part}/` : ''}${clock}${fraction ? `.${fraction}` : ''}`;
}
