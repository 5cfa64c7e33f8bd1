import { fireEvent, render, screen } from '@testing-library/svelte';
import { flushSync } from 'svelte';
import { expect, test } from 'vitest';
import type { EndothelialExam } from '../api/types';
import { session } from '../session.svelte';
import { fractionOf } from '../text/number';
import Choice from './Choice.svelte';
import ExamImages from './ExamImages.svelte';
import NumberField from './NumberField.svelte';
import Several from './Several.svelte';
import TextField from './TextField.svelte';

/** Props with a value that the component may change, as a page binds it. */
function bound<P extends object, V>(props: P, value: V): P & { value: V } {
  const held = { value };
  return Object.defineProperty({ ...props } as P & { value: V }, 'value', {
    configurable: true,
    enumerable: true,
    get: () => held.value,
    set: (v: V) => {
      held.value = v;
    },
  });
}

async function type(label: string, text: string): Promise<HTMLInputElement> {
  const input = screen.getByLabelText(label, { exact: false }) as HTMLInputElement;
  await fireEvent.focus(input);
  await fireEvent.input(input, { target: { value: text } });
  await fireEvent.blur(input);
  return input;
}

test('a number is kept as a number, and emptied to unknown', async () => {
  const props = bound({ label: 'Axial length', unit: 'mm' }, undefined as number | undefined);
  render(NumberField, props);
  await type('Axial length', '23,45');
  expect(props.value).toBe(23.45);
  await type('Axial length', '');
  expect(props.value).toBeUndefined();
});

test('what is no number stays on the screen, marked, and changes nothing', async () => {
  const props = bound({ label: 'Age', whole: true }, 70 as number | undefined);
  render(NumberField, props);
  const input = await type('Age', 'seventy');
  expect(props.value).toBe(70);
  expect(input.value).toBe('seventy');
  expect(input.getAttribute('aria-invalid')).toBe('true');
  expect(document.getElementById(input.getAttribute('aria-describedby') ?? '')?.textContent).toContain('type a number');
  await type('Age', '70.5');
  expect(props.value).toBe(70);
  await type('Age', '71');
  expect(props.value).toBe(71);
  expect(input.getAttribute('aria-invalid')).toBeNull();
});

test('a coefficient of variation is shown in percent and kept as a fraction', async () => {
  const props = bound({ label: 'CV', keep: fractionOf, show: (f: number) => f * 100 }, 0.3 as number | undefined);
  render(NumberField, props);
  expect((screen.getByLabelText('CV') as HTMLInputElement).value).toBe('30');
  await type('CV', '33');
  expect(props.value).toBe(0.33);
  await type('CV', '0.28');
  expect(props.value).toBe(0.28);
});

test('a refusal names its field in a sentence', () => {
  render(TextField, bound({ label: 'Date', error: 'lies in the future' }, '2026-01-01'));
  expect(screen.getByText('Date lies in the future.')).toBeTruthy();
});

test('what the server makes of a text does not disturb the one who types it', async () => {
  const props = bound({ label: 'Note' }, '' as string | undefined);
  const { rerender } = render(TextField, props);
  const input = screen.getByLabelText('Note') as HTMLInputElement;
  await fireEvent.focus(input);
  await fireEvent.input(input, { target: { value: 'Iris ' } });
  await rerender({ value: 'Iris' });
  expect(input.value).toBe('Iris ');
  await fireEvent.blur(input);
  flushSync();
  expect(input.value).toBe('Iris');
});

test('unknown is a choice of its own, apart from no', async () => {
  const options = [
    { value: 'no', label: 'No' },
    { value: 'yes', label: 'Yes' },
  ];
  const props = bound({ label: 'Glaucoma', options }, undefined as string | undefined);
  render(Choice, props);
  expect((screen.getByLabelText('Unknown') as HTMLInputElement).checked).toBe(true);
  await fireEvent.click(screen.getByLabelText('No'));
  expect(props.value).toBe('no');
  await fireEvent.click(screen.getByLabelText('Unknown'));
  expect(props.value).toBeUndefined();
});

test('an impossible number is refused at its field, an unusual one is kept and asked about; both tell the range', async () => {
  const length = { least: 15, most: 40, warnLow: 20, warnHigh: 30, unit: 'mm' };
  session.catalogue = { limits: { 'before.axialLength': length } } as unknown as typeof session.catalogue;
  const props = bound({ label: 'Axial length', unit: 'mm', quantity: 'before.axialLength' }, 23 as number | undefined);
  const { rerender } = render(NumberField, props);
  const input = await type('Axial length', '234');
  expect(props.value).toBe(23);
  expect(input.value).toBe('234');
  const told = () => document.getElementById(input.getAttribute('aria-describedby') ?? '')?.textContent;
  expect(told()).toBe('Not saved: possible is 15 to 40 mm.');
  await type('Axial length', '31');
  expect(props.value).toBe(31);
  await rerender({ value: 31 });
  expect(told()).toBe('Unusual: most lie from 20 to 30 mm. Saved as it is.');
  expect(input.getAttribute('aria-invalid')).toBeNull();
  session.catalogue = undefined;
});

test('a digit or a first letter chooses, a question mark makes unknown again', async () => {
  const grades = [1, 2, 3].map((value) => ({ value, label: String(value) }));
  const props = bound({ label: 'Nuclear grade', options: grades }, undefined as number | undefined);
  render(Choice, props);
  await fireEvent.keyDown(screen.getByLabelText('Unknown'), { key: '3' });
  expect(props.value).toBe(3);
  await fireEvent.keyDown(screen.getByLabelText('3'), { key: '7' });
  expect(props.value).toBe(3);
  await fireEvent.keyDown(screen.getByLabelText('3'), { key: '?' });
  expect(props.value).toBeUndefined();
});

test('several are turned on and off; none is unknown', async () => {
  const options = ['Dispersive', 'Cohesive'].map((label) => ({ value: label.toLowerCase(), label }));
  const props = bound({ label: 'OVD', options }, undefined as string[] | undefined);
  const { rerender } = render(Several, props);
  await fireEvent.keyDown(screen.getByLabelText('Dispersive'), { key: 'c' });
  expect(props.value).toEqual(['cohesive']);
  await rerender({ value: ['cohesive'] });
  await fireEvent.click(screen.getByLabelText('Cohesive'));
  expect(props.value).toBeUndefined();
});

test('an image is sent once it has density and cells, and half a row waits', async () => {
  const held: { exam: EndothelialExam | undefined } = { exam: undefined };
  const props = Object.defineProperty({ path: 'exam', at: () => '' } as Record<string, unknown>, 'exam', {
    configurable: true,
    enumerable: true,
    get: () => held.exam,
    set: (v: EndothelialExam | undefined) => {
      held.exam = v;
    },
  });
  render(ExamImages, props as never);
  await fireEvent.click(screen.getByText('Several images, each counted apart'));
  const details = document.querySelector('details') as HTMLDetailsElement;
  details.open = true;
  await fireEvent(details, new Event('toggle'));
  await type('1. density', '2400');
  expect(held.exam).toBeUndefined();
  await type('1. cells', '80');
  expect(held.exam).toEqual({ density: 0, imageCounts: [{ density: 2400, cells: 80 }] });
  expect(screen.getByLabelText('2. density', { exact: false })).toBeTruthy();
});
