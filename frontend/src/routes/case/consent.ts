// What the patient agreed to, in words.
import type { Consent } from '../../lib/api/types';
import { dateText } from '../../lib/text/format';

/** Whether the recording may be shown, as the server decides it, and why not. */
export function showing(consent: Consent): { shown: boolean; text: string } {
  if (consent.withdrawnOn) {
    return {
      shown: false,
      text: `Not shown: the consent was taken back on ${dateText(consent.withdrawnOn)}. The recording is out of every meeting.`,
    };
  }
  if (consent.recording === 'no')
    return { shown: false, text: 'Not shown: the patient did not agree to the recording.' };
  if (consent.review === 'no') return { shown: false, text: 'Not shown: the patient did not agree.' };
  if (consent.review === 'yes') return { shown: true, text: 'May be shown at a meeting and for teaching.' };
  return { shown: false, text: 'Not shown: the patient was not asked, or the answer is not recorded.' };
}
