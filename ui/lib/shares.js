// Shares of the squares as rows of thread.
import { html } from './html.js';
import { Figure } from './parts.js';
import { share, squares } from './amount.js';

/** A row of thread as long as its share. */
export const Thread = ({ part, guess = false }) => html`<span class="thread-row" aria-hidden="true"><span class=${guess ? 'thread-bar guess' : 'thread-bar'}
  ref=${(it) => { if (it) it.style.width = `${Math.max(1.5, part * 100)}%`; }}></span></span>`;

/** Names with their squares, each a row of thread. */
export const Shares = ({ rows, words }) => html`<ul class="shares plain-list">${rows.map((row) => html`<li key=${words(row)}>
  <span class="grow">${words(row)}</span>
  <${Figure} guess=${!row.exact} text=${squares(row.squares, row.exact)} /><span class="quiet share">${share(row.share)}</span>
  <${Thread} part=${row.share} guess=${!row.exact} />
</li>`)}</ul>`;
