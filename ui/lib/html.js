// The one door to the vendored library: everything else imports from here.
import { Fragment, h, render } from '../vendor/preact.module.js';
import htm from '../vendor/htm.module.js';

export const html = htm.bind(h);
export { Fragment, render };
export * from '../vendor/hooks.module.js';
