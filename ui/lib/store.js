// What this device keeps for itself until the program has it: taps, and photos on their way.

const names = ['taps', 'photos'];

/** The browser's database; null where it gives none (then things last as long as the page). */
const opened = new Promise((resolve) => {
  try {
    const asked = indexedDB.open('motley', 2);
    asked.onupgradeneeded = () => {
      for (const name of names) {
        if (!asked.result.objectStoreNames.contains(name)) asked.result.createObjectStore(name, { keyPath: 'key' });
      }
    };
    asked.onsuccess = () => {
      asked.result.onversionchange = () => asked.result.close(); // a newer page wants it otherwise
      resolve(asked.result);
    };
    asked.onerror = () => resolve(null);
  } catch {
    resolve(null);
  }
});

/** Does something in one of the stores and gives its result once that lasts; undefined where
 *  there is no store or no room. */
export async function inStore(name, mode, act) {
  const db = await opened;
  if (!db) return undefined;
  return new Promise((resolve) => {
    try {
      const work = db.transaction(name, mode);
      const asked = act(work.objectStore(name));
      work.oncomplete = () => resolve(asked.result);
      work.onabort = () => resolve(undefined);
    } catch {
      resolve(undefined);
    }
  });
}

/** This page may have no secure context, so no randomUUID(). */
export const newKey = () => [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, '0')).join('');
