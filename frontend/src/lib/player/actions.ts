/** What the tagging page can do from the keyboard, apart from the steps and events that a step list brings. */
export type ActionId =
  | 'next-step'
  | 'end-step'
  | 'complication'
  | 'comment'
  | 'play'
  | 'frame-back'
  | 'frame-on'
  | 'second-back'
  | 'second-on'
  | 'ten-back'
  | 'ten-on'
  | 'line-up'
  | 'line-down'
  | 'slower'
  | 'faster'
  | 'loop'
  | 'undo'
  | 'redo'
  | 'remove'
  | 'split'
  | 'merge'
  | 'nudge-start-back'
  | 'nudge-start-on'
  | 'nudge-end-back'
  | 'nudge-end-on'
  | 'start-here'
  | 'end-here'
  | 'relabel'
  | 'hand-over'
  | 'sound'
  | 'key-map';

/** A group of actions as the key map shows them. */
export type ActionGroup = 'Steps' | 'At the playhead' | 'Moving' | 'Correcting';

/** One action with its words and the keys it has until a person changes them. */
export interface Action {
  id: ActionId;
  name: string;
  group: ActionGroup;
  keys: readonly string[];
  /** Whether holding the key does it again and again. */
  repeats?: boolean;
}

/**
 * Letters belong to the steps (left hand), the numeric keypad and its neighbours to everything else (right hand), so
 * that a case can be marked without looking down.
 */
export const actions: readonly Action[] = [
  { id: 'next-step', name: 'Next step starts here', group: 'Steps', keys: ['Enter'] },
  { id: 'end-step', name: 'Running step ends here', group: 'Steps', keys: ['.'] },
  { id: 'hand-over', name: 'Hand over to the next operator', group: 'Steps', keys: ['F2'] },
  { id: 'complication', name: 'Complication here', group: 'At the playhead', keys: ['0'] },
  { id: 'comment', name: 'Comment here', group: 'At the playhead', keys: ['/'] },
  { id: 'play', name: 'Play or pause', group: 'Moving', keys: ['Space'] },
  { id: 'frame-back', name: 'One frame back', group: 'Moving', keys: ['ArrowLeft'], repeats: true },
  { id: 'frame-on', name: 'One frame on', group: 'Moving', keys: ['ArrowRight'], repeats: true },
  { id: 'second-back', name: '1 second back', group: 'Moving', keys: ['Shift+ArrowLeft'], repeats: true },
  { id: 'second-on', name: '1 second on', group: 'Moving', keys: ['Shift+ArrowRight'], repeats: true },
  {
    id: 'ten-back',
    name: '10 seconds back',
    group: 'Moving',
    keys: ['Ctrl+ArrowLeft', 'Alt+ArrowLeft'],
    repeats: true,
  },
  { id: 'ten-on', name: '10 seconds on', group: 'Moving', keys: ['Ctrl+ArrowRight', 'Alt+ArrowRight'], repeats: true },
  { id: 'line-up', name: 'Line above in the running sheet', group: 'Moving', keys: ['ArrowUp'], repeats: true },
  { id: 'line-down', name: 'Line below in the running sheet', group: 'Moving', keys: ['ArrowDown'], repeats: true },
  { id: 'slower', name: 'Slower', group: 'Moving', keys: ['-'] },
  { id: 'faster', name: 'Faster', group: 'Moving', keys: ['+'] },
  { id: 'loop', name: 'Loop the selected line', group: 'Moving', keys: ['*'] },
  { id: 'sound', name: 'Sound on or off', group: 'Moving', keys: ['Shift+M'] },
  { id: 'undo', name: 'Undo', group: 'Correcting', keys: ['Backspace', 'Ctrl+Z'] },
  { id: 'redo', name: 'Redo', group: 'Correcting', keys: ['Ctrl+Shift+Z', 'Ctrl+Y'] },
  { id: 'remove', name: 'Remove the selected line', group: 'Correcting', keys: ['Delete'] },
  { id: 'split', name: 'Split at the playhead', group: 'Correcting', keys: ['Shift+X'] },
  { id: 'merge', name: 'Merge with the next of the same step', group: 'Correcting', keys: ['Shift+J'] },
  { id: 'start-here', name: 'Selected line starts at the playhead', group: 'Correcting', keys: ['['] },
  { id: 'end-here', name: 'Selected line ends at the playhead', group: 'Correcting', keys: [']'] },
  { id: 'nudge-start-back', name: 'Start one frame earlier', group: 'Correcting', keys: ['Shift+A'], repeats: true },
  { id: 'nudge-start-on', name: 'Start one frame later', group: 'Correcting', keys: ['Shift+S'], repeats: true },
  { id: 'nudge-end-back', name: 'End one frame earlier', group: 'Correcting', keys: ['Shift+D'], repeats: true },
  { id: 'nudge-end-on', name: 'End one frame later', group: 'Correcting', keys: ['Shift+F'], repeats: true },
  { id: 'relabel', name: 'Another step for the selected line', group: 'Correcting', keys: ['Shift+R'] },
  { id: 'key-map', name: 'Keys', group: 'Correcting', keys: ['?'] },
];
