// How this maker likes her figures: the settings, from wherever a view needs them.
import { useDocument } from './book.js';
import { useWaiting } from './taps.js';
import { t } from '../text/text.js';

/** With what she changed and what still waits on this device; only the language turns when the
 *  program has heard of it, for its words come from there. */
export function useSettings() {
  const waits = useWaiting('/api/settings');
  const { data } = useDocument('/api/settings');
  return data && waits.reduce((all, { language, ...one }) => ({ ...all, ...one }), data);
}

/** "inches" or "metric". */
export const useSystem = () => useSettings()?.system ?? 'inches';

/** The ruler that the program begins with has no name of hers. */
export const rulerWords = (name) => (name === 'plain' ? t('ruler.plain') : name);
