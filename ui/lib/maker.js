// How this maker likes her figures: the settings, from wherever a view needs them.
import { useDocument } from './book.js';

export const useSettings = () => useDocument('/api/settings').data;

/** "inches" or "metric". */
export const useSystem = () => useSettings()?.system ?? 'inches';
