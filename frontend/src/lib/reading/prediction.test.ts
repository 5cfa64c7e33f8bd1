import { describe, expect, it } from 'vitest';
import { act, at, desk, phaco } from './desk.fixture';
import { endStep, startStep } from './marking';
import { addEvent } from './noting';
import { predict, usualSteps } from './prediction';

function after(...codes: string[]) {
  const d = desk();
  for (const [i, code] of codes.entries()) act(d, startStep(d, code, at(10 * (i + 1))));
  act(d, endStep(d, at(10 * codes.length + 9)));
  return predict(d, at(10 * codes.length + 9.5)).map((s) => s.code);
}

describe('the next step', () => {
  it('leaves adjuncts at the end of the list out of the usual order', () => {
    const usual = usualSteps(phaco.steps).map((s) => s.code);
    expect(usual.slice(-2)).toEqual(['closure', 'antibiotic']);
  });

  it('is the first of the list, then the one after the furthest', () => {
    expect(predict(desk(), at(0))[0]?.code).toBe('side-port');
    expect(after('side-port')[0]).toBe('ovd');
  });

  it('does not go back after a second OVD injection', () => {
    expect(after('side-port', 'ovd', 'main-incision', 'rhexis', 'ovd')[0]).toBe('removal');
  });

  it('resumes what an adjunct of the same stage interrupted', () => {
    const codes = ['side-port', 'main-incision', 'rhexis', 'removal', 'cortex', 'vitrectomy'];
    expect(after(...codes)[0]).toBe('cortex');
    expect(after('side-port', 'main-incision', 'dye')[0]).toBe('rhexis');
  });

  it('offers required steps that were passed over once the list is through', () => {
    expect(after('main-incision', 'rhexis', 'removal', 'cortex', 'lens', 'closure', 'antibiotic')).toEqual([
      'side-port',
    ]);
  });

  it('looks only at what lies before the playhead', () => {
    const d = desk();
    act(d, startStep(d, 'rhexis', at(60)));
    expect(predict(d, at(30))[0]?.code).toBe('side-port');
  });

  it('follows the second list after a conversion', () => {
    const d = desk();
    act(d, startStep(d, 'side-port', at(10)));
    act(d, startStep(d, 'rhexis', at(20)));
    act(d, addEvent(d, 'conversion', at(30), { id: 'msics', version: 1 }));
    expect(predict(d, at(31))[0]?.code).toBe('delivery');
  });
});
