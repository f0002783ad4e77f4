// What the place of the address begins with: its modules and its documents are asked for while
// the page's own modules are on their way. Nothing is imported here, so that it is the first to run.

let tongue = 'en';
try {
  tongue = JSON.parse(localStorage.getItem('motley.language')) ?? 'en';
} catch { /* as keptCell() has it */ }

/** Of each place: modules that the page does not start with, words in the same language, and
 *  the documents of its first view; modules of what lies further in, for an address that leads there. */
export const begins = {
  scraps: { modules: [], words: [], documents: ['photos', 'sources'] },
  basket: { modules: ['views/basket.js', 'lib/quiltcloth.js', 'lib/shares.js'], words: [], documents: ['basket'] },
  quilts: { modules: ['views/quilts.js', 'views/planfacts.js'], words: [], documents: ['quilts'], further: ['views/quilt.js', 'views/chart.js'] },
  record: {
    modules: ['views/record.js', 'views/planfacts.js', 'lib/shares.js', 'lib/askphoto.js'], words: ['record'], documents: ['record'], further: ['views/story.js'],
  },
  settings: { modules: ['views/settings.js', 'lib/kept.js'], words: ['settings'], documents: [] },
};

/** path -> the answer that is on its way, for the first who asks. */
export const early = new Map();

const [place = 'scraps', ...rest] = location.hash.replace(/^#\/?/, '').split('/').filter(Boolean);
const { modules, words, documents, further = [] } = begins[place] ?? begins.scraps;
const within = rest.length > 0;
const speaks = tongue === 'en' ? [] : [tongue, `colours-${tongue}`, `said-${tongue}`];

// Documents first: they are worked out while the modules come.
for (const name of ['book', 'settings', ...(within ? [] : documents)]) {
  const answer = fetch(`/api/${name}`, { headers: { Accept: 'application/json' } });
  answer.catch(() => {}); // who asks for it says so
  early.set(`/api/${name}`, answer);
}
for (const name of [...modules, ...(within ? further : []), ...[...speaks, ...words.map((area) => `${tongue}-${area}`)].map((file) => `text/${file}.js`)]) {
  const link = document.createElement('link');
  link.rel = 'modulepreload';
  link.href = new URL(name, import.meta.url);
  document.head.append(link);
}
