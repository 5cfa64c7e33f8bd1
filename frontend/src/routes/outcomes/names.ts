// How the choices of the unit are called.
import type { OutcomeChoices } from '../../lib/api/study';
import { exposureKey } from './question';
import { inText, type Names } from './words';

export function namesFrom(choices: OutcomeChoices): Names {
  return {
    exposure: (e) => choices.exposures.find((o) => exposureKey(o) === exposureKey(e))?.name ?? exposureKey(e),
    outcome: (o) => {
      const offered = choices.outcomes.find((c) => c.kind === o.kind);
      if (o.kind === 'complication')
        return inText(offered?.complications.find((c) => c.code === o.complication)?.name ?? o.complication);
      const visit = offered?.windows.find((w) => w.window === o.window)?.name ?? o.window;
      return `${inText(offered?.name ?? o.kind)} at ${inText(visit)}`;
    },
    technique: (code) => inText(choices.techniques.find((t) => t.code === code)?.name ?? code),
    operator: (id) => {
      const found = choices.operators.find((o) => o.id === id);
      return found?.own ? 'me' : (found?.name ?? 'somebody no longer listed');
    },
  };
}
