// Sessions of the tests' clients: who asks the program brings the cookie of its address, as a
// paired browser does. Addresses without one are asked as a stranger asks.
const sessions = new Map(); // origin -> {name, value}
const plain = globalThis.fetch;

/** Brings this cookie, "name=value", to the address from now on: by fetch(), and in pages of
 *  browser.mjs. */
export function bring(address, cookie) {
  const [name, value] = cookie.split('=');
  sessions.set(new URL(address).origin, { name, value });
}

/** What a browser's context adds for the address: a list of one cookie, or none. */
export function cookiesFor(address) {
  const { origin } = new URL(address);
  const held = sessions.get(origin);
  return held ? [{ ...held, url: origin, httpOnly: true, sameSite: 'Strict' }] : [];
}

/** fetch() of somebody who is not paired. */
export const strange = plain;

globalThis.fetch = (target, options = {}) => {
  const held = sessions.get(new URL(target).origin);
  return plain(target, held ? { ...options, headers: { Cookie: `${held.name}=${held.value}`, ...options.headers } } : options);
};

// A program of its own that is told of an address by whoever started it: MOTLEY_SESSION.
if (process.env.MOTLEY_SESSION) bring(...process.env.MOTLEY_SESSION.split(' '));
