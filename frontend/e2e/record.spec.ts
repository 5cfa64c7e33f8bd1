// A full clinical record, filled by keyboard alone, and all of it found at the server afterwards.
import { expect, type Page, test } from '@playwright/test';
import { expectAccessible } from './axe';
import { enter } from './cases';
import { press, tabTo, type } from './keyboard';

const saved = (page: Page) => expect(page.getByText('Saved', { exact: false }).first()).toBeVisible();

async function read(page: Page, path: string): Promise<unknown> {
  const answer = await page.request.get(`/api/v1${path}`);
  expect(answer.ok(), path).toBe(true);
  return answer.json();
}

/** What a clinician knows of any eye: the minute that issue and pages speak of. */
async function fillUsual(page: Page, pseudonym: string): Promise<void> {
  await page.keyboard.type(pseudonym);
  await press(page, 'Eye', 'l');
  await type(page, 'Age', '74');
  await press(page, 'Sex', 'f');
  await type(page, 'Acuity', '6/18');
  await press(page, 'Nuclear grade', '3');
  await press(page, 'Pupil', 'm');
  await type(page, 'Axial length', '23.4');
  await type(page, 'Chamber depth', '3.1');
  await type(page, 'Thickness', '541');
  await type(page, 'Pressure', '15');
}

async function fillMoreOfEye(page: Page): Promise<void> {
  await press(page, 'More about the eye', 'Enter');
  await type(page, 'Uncorrected acuity', '6/36');
  await type(page, 'White to white', '11.8');
  await type(page, 'Sphere', '-1.5');
  await type(page, 'Cylinder', '-0.75');
  await type(page, 'Axis', '90');
  await type(page, 'K flat', '43.25');
  await type(page, 'K steep', '44.5');
  await type(page, 'K steep axis', '175');
  await type(page, 'NO', '3.2');
  await type(page, 'NC', '3.4');
  await type(page, 'C', '1.5');
  await type(page, 'P', '0.4');
}

async function fillExamAndRisks(page: Page): Promise<void> {
  await press(page, 'Several images', 'Enter');
  await type(page, '1. density', '2400');
  await type(page, '1. cells', '80');
  await type(page, '1. CV', '30');
  await type(page, '2. density', '2500');
  await type(page, '2. cells', '90');
  await type(page, '2. CV', '32');
  await press(page, 'Fellow eye', 'Enter');
  await press(page, 'Fellow eye operated', 'y');
  await type(page, 'Fellow eye: acuity', '6/7.5');
  await press(page, 'None of these', 'Enter');
  await press(page, 'Glaucoma', 'y');
  await press(page, 'Corneal guttata', '?');
  await press(page, 'Previous vitrectomy', 'y');
}

async function fillOperation(page: Page): Promise<void> {
  await type(page, 'Anaesthesia', 'Sub');
  await type(page, 'Incision', 'Temp');
  await type(page, 'Incision size', '2.4');
  await type(page, 'Lens kind', 'monofocal');
  await type(page, 'Lens power', '21.5');
  await type(page, 'Lens position', 'Bag');
  await type(page, 'Target refraction', '-0.25');
  await tabTo(page, 'OVD');
  await page.keyboard.press('d');
  await page.keyboard.press('c');
  await press(page, 'Capsule dye', 'y');
  await press(page, 'Pupil device', 'r');
  await type(page, 'Machine family', 'Invented One');
  await type(page, 'CDE', '8');
  await type(page, 'Ultrasound time', '52');
  await type(page, 'Fluid used', '70');
  await press(page, 'Ultrasound in detail', 'Enter');
  await type(page, 'Longitudinal time', '10');
  await type(page, 'Longitudinal power', '20');
  await type(page, 'Torsional time', '40');
  await type(page, 'Torsional amplitude', '50');
  await type(page, 'EPT', '2');
  await type(page, 'Aspiration time', '180');
  await press(page, 'Settings of the machine', 'Enter');
  await type(page, 'Vacuum', '60');
}

test('a full record by keyboard alone', async ({ page }) => {
  test.setTimeout(240_000);
  await enter(page, 'mara');
  await page.goto('/cases/new');
  await expect(page.getByLabel('Pseudonym')).toBeFocused();
  await fillUsual(page, 'KEYS-0001');
  await fillMoreOfEye(page);
  await fillExamAndRisks(page);
  await expect(page).toHaveURL(/cases\/[0-9a-f-]{20,}/);
  await saved(page);
  await expectAccessible(page, 'the eye before, all open');
  const id = /cases\/([^/]+)/.exec(page.url())?.[1] ?? '';

  await press(page, 'Next: Operation', 'Enter');
  await expect(page.getByRole('heading', { name: 'Operation', exact: true })).toBeVisible();
  await fillOperation(page);
  await expect(page.getByText('entered 8, computed 10 (25 % apart)')).toBeVisible();
  await expect(page.getByText('computed 2 s, in agreement')).toBeVisible();
  await expectAccessible(page, 'the operation, all open');

  await press(page, 'Next: Follow-up', 'Enter');
  const day1 = page.getByRole('region', { name: 'Day 1' });
  await expect(day1).toBeVisible();
  await type(page, 'Acuity', '6/9');
  await type(page, 'Pressure', '34');
  await expect(day1.getByText('Unusual: most lie from 5 to 30 mmHg')).toBeVisible();
  await press(page, 'Corneal oedema', '1');
  await press(page, 'More of this visit', 'Enter');
  await type(page, 'Sphere', '-0.5');
  await type(page, 'Cylinder', '0');
  await expect(day1.getByText('−0.25 D from the target of −0.25 D')).toBeVisible();
  await type(page, 'Uncorrected acuity', '6/12');
  await type(page, 'Medication', 'drops four times a day');
  await expect(day1.getByText(/Saved$/)).toBeVisible();

  await press(page, 'Add a complication', 'Enter');
  await page.keyboard.type('Raised');
  await press(page, 'Severity', '2');
  await type(page, 'Found at', 'Day');
  await type(page, 'What was done', 'tablets');
  await press(page, 'Save complication', 'Enter');
  await expect(page.getByText('found at Day 1')).toBeVisible();
  await press(page, 'Declare lost to follow-up', 'Enter');
  await type(page, 'Reason', 'moved away');
  await page.keyboard.press('Enter');
  await expect(page.getByText('moved away')).toBeVisible();
  await expectAccessible(page, 'follow-up, all open');
  await expect
    .poll(async () => ((await read(page, `/cases/${id}`)) as { lostToFollowUp: unknown }).lostToFollowUp)
    .toBeTruthy();

  const stored = await read(page, `/cases/${id}`);
  expect(stored).toMatchObject({
    pseudonym: 'KEYS-0001',
    eye: 'OS',
    before: {
      age: 74,
      sex: 'female',
      acuity: '6/18',
      pressure: 15,
      nuclearGrade: 3,
      pupil: 'medium',
      axialLength: 23.4,
      chamberDepth: 3.1,
      thickness: 541,
      uncorrectedAcuity: '6/36',
      whiteToWhite: 11.8,
      refraction: { sphere: -1.5, cylinder: -0.75, axis: 90 },
      keratometry: { flat: 43.25, steep: 44.5, axis: 175 },
      locs: { nuclearOpalescence: 3.2, nuclearColour: 3.4, cortical: 1.5, posteriorSubcapsular: 0.4 },
      exam: {
        cells: 170,
        images: 2,
        imageCounts: [
          { density: 2400, cells: 80, cv: 0.3 },
          { density: 2500, cells: 90, cv: 0.32 },
        ],
      },
      fellowEye: { operated: 'yes', acuity: '6/7.5' },
      glaucoma: 'yes',
      previousVitrectomy: 'yes',
      onlyEye: 'no',
      diabetes: 'no',
      pseudoexfoliation: 'no',
    },
    operation: {
      anaesthesia: 'sub-tenon',
      incisionSite: 'temporal',
      incisionSize: 2.4,
      lensKind: 'monofocal',
      lensPower: 21.5,
      lensPosition: 'bag',
      targetRefraction: -0.25,
      ovds: ['dispersive', 'cohesive'],
      dye: 'yes',
      pupilDevice: 'ring',
      machineFamily: 'Invented One',
      cde: 8,
      ultrasoundTime: 52,
      fluidUsed: 70,
      longitudinalTime: 10,
      longitudinalPower: 20,
      torsionalTime: 40,
      torsionalAmplitude: 50,
      ept: 2,
      aspirationTime: 180,
      settings: [{ stage: 'opening', vacuum: 60 }],
    },
    lostToFollowUp: { reason: 'moved away' },
  });
  const { before } = stored as { before: { guttata?: string; exam: { density: number } } };
  expect(before.guttata ?? '').toBe(''); // Unknown again, which is not no.
  expect(before.exam.density).toBeCloseTo(170 / (80 / 2400 + 90 / 2500), 6);
  const [visit] = (await read(page, `/cases/${id}/visits`)) as { id: string }[];
  expect(visit).toMatchObject({
    window: 'day-1',
    acuity: '6/9',
    pressure: 34,
    oedemaGrade: 1,
    refraction: { sphere: -0.5, cylinder: 0 },
    uncorrectedAcuity: '6/12',
    medication: 'drops four times a day',
  });
  const [complication] = (await read(page, `/cases/${id}/complications`)) as unknown[];
  expect(complication).toMatchObject({ severity: 2, action: 'tablets', visitId: visit?.id });
});

test('last time is offered, marked, taken by one key and cleared by another', async ({ page }) => {
  test.setTimeout(120_000);
  const me = await enter(page, 'mara');
  // Two days long before any case of the demo unit, other ones each minute.
  const day = Math.floor(Date.now() / 60_000) % 10_000;
  const on = (n: number) => new Date(Date.UTC(1960, 0, 1 + n)).toISOString().slice(0, 10);
  const [first, second] = [crypto.randomUUID(), crypto.randomUUID()];
  const usual = { anaesthesia: 'topical', incisionSite: 'superior', ovds: ['cohesive'], machineFamily: 'Invented Two' };
  for (const [id, operation] of [
    [first, usual],
    [second, {}],
  ] as const) {
    const answer = await page.request.put(`/api/v1/cases/${id}`, {
      data: {
        id,
        revision: 0,
        pseudonym: `LAST-${id.slice(0, 6)}`,
        eye: 'OD',
        date: on(day + (id === first ? 0 : 1)),
        before: {},
        sharedWith: [],
        operation: { techniquePlanned: 'phaco', techniquePerformed: 'phaco', ...operation },
        operators: [{ userId: me.id, role: 'operator', grade: 'consultant' }],
      },
    });
    expect(answer.ok(), await answer.text()).toBe(true);
  }
  await page.goto(`/cases/${second}/operation`);
  const all = page.getByRole('button', { name: /as last time \(/ });
  await expect(all).toBeVisible();
  await expect(page.getByLabel('Anaesthesia', { exact: true })).toHaveValue('');
  await tabTo(page, 'Anaesthesia as last time');
  await page.keyboard.press('Enter');
  await expect(page.getByLabel('Anaesthesia', { exact: true })).not.toHaveValue('');
  await press(page, 'Incision as last time', 'Delete');
  await expect(page.getByRole('button', { name: /^Incision as last time/ })).toHaveCount(0);
  await saved(page);
  await expect
    .poll(async () => ((await read(page, `/cases/${second}`)) as { operation: object }).operation)
    .toEqual({ techniquePlanned: 'phaco', techniquePerformed: 'phaco', anaesthesia: expect.any(String) });

  await page.getByRole('button', { name: 'History: operation' }).press('Enter');
  const dialog = page.getByRole('dialog');
  await expect(dialog.getByRole('rowheader', { name: 'Anaesthesia' })).toBeVisible();
  await expectAccessible(page, 'the history of the operation');
});
