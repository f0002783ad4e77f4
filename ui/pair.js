// For a device that is not paired: brings the code behind # and comes back with a cookie.
// It stands alone, for who is not paired gets nothing else of the page; its words are in
// pair.html, in every language of the page.
const language = (navigator.language ?? '').startsWith('de') ? 'de' : 'en';
for (const section of document.querySelectorAll('section')) section.hidden = section.lang !== language;
document.documentElement.lang = language;

// The browser of the computer that Motley runs on is let in by a command there.
const here = ['localhost', '127.0.0.1', '[::1]'].includes(location.hostname);
const words = { how: 'here', late: 'late-here', many: 'many-here', away: 'away-here' };

function show(state) {
  const shown = here ? words[state] ?? state : state;
  for (const one of document.querySelectorAll('[data-state]')) one.hidden = one.dataset.state !== shown;
}

// A phone is for photos; a tablet stands by the machine. Settings can say otherwise.
const least = Math.min(screen.width, screen.height);
const kind = here || !matchMedia('(pointer: coarse)').matches ? 'computer' : least < 600 ? 'phone' : 'tablet';
const opens = { phone: 'photo', tablet: 'next', computer: 'last' };

/** Who comes by a link from elsewhere does not show the cookie at first, but has it. */
async function isPaired() {
  try {
    return (await fetch('/api/settings')).ok;
  } catch {
    return false;
  }
}

async function pair(code) {
  show('wait');
  history.replaceState(null, '', '/'); // the code is for once: it need not stay in the history
  if (await isPaired()) return location.replace('/');
  let answer;
  try {
    answer = await fetch('/api/pair/claim', {
      method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ code, name: kind }),
    });
  } catch {
    return show('away');
  }
  if (answer.status === 429) return show('many');
  if (!answer.ok) return show('late');
  try {
    localStorage.setItem('motley.opens', JSON.stringify(opens[kind]));
  } catch { /* without storage it opens as any other */ }
  return location.replace('/');
}

const start = async () => {
  const [, code] = /^#\/pair\/(\w+)$/.exec(location.hash) ?? [];
  if (code) return pair(code);
  show('how');
  if (await isPaired()) location.replace('/');
};
addEventListener('hashchange', start); // the next code may be scanned into the same page
start();
