// The line on which the server tells where the meeting is. It mends itself; an end that the server gave a reason for is final.
import { type LivePlace, liveAddress } from '../../../lib/api/meeting';
import { pause } from '../../../lib/save/autosave';
import type { LineState } from './words';

export interface Heard {
  state: (state: LineState, reason: string) => void;
  place: (place: LivePlace) => void;
  /** Something of the meeting changed. */
  change: () => void;
}

export class Line {
  readonly #address: string;
  readonly #heard: Heard;
  #source: EventSource | undefined;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #tries = 0;
  #ended = false;

  constructor(meetingId: string, heard: Heard) {
    this.#address = liveAddress(meetingId);
    this.#heard = heard;
  }

  /** Connects, or connects anew. */
  open = (): void => {
    if (this.#ended) return;
    this.#drop();
    const source = new EventSource(this.#address);
    this.#source = source;
    source.onopen = () => {
      this.#tries = 0;
      this.#heard.state('connected', '');
      // A device that was away may have missed changes.
      this.#heard.change();
    };
    source.onerror = () => this.#cut();
    source.addEventListener('place', (event) => this.#heard.place(JSON.parse(event.data) as LivePlace));
    source.addEventListener('change', () => this.#heard.change());
    source.addEventListener('end', (event) => {
      this.end();
      this.#heard.state('ended', (JSON.parse(event.data) as { reason: string }).reason);
    });
  };

  /** The device says that it has no network: a browser notices a silent line late. */
  lost = (): void => {
    if (this.#ended) return;
    this.#drop();
    this.#heard.state('again', '');
    this.#again();
  };

  end(): void {
    this.#ended = true;
    this.#drop();
  }

  /** The browser tries again after a cut by itself, but gives up on an answer that is no line: then it is tried here. */
  #cut(): void {
    this.#heard.state('again', '');
    if (this.#source?.readyState === EventSource.CLOSED) this.#again();
  }

  #again(): void {
    clearTimeout(this.#timer);
    this.#tries++;
    this.#timer = setTimeout(this.open, Math.min(pause(this.#tries), 5000));
  }

  #drop(): void {
    clearTimeout(this.#timer);
    this.#source?.close();
    this.#source = undefined;
  }
}
