// Where we are: the part of the address behind #, so that back, reload and a bookmark work.
import { cell } from './cell.js';

export const places = ['scraps', 'basket', 'quilts', 'record', 'settings'];

const read = () => {
  const parts = location.hash.replace(/^#\/?/, '').split('/').filter(Boolean).map((part) => {
    try {
      return decodeURIComponent(part);
    } catch {
      return part;
    }
  });
  return places.includes(parts[0]) ? parts : ['scraps'];
};

export const route = cell(read());

export const to = (...parts) => `#/${parts.map(encodeURIComponent).join('/')}`;

export const go = (...parts) => {
  location.hash = to(...parts);
};

addEventListener('hashchange', () => route.set(read()));
