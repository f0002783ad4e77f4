// How German counts.
export const n1 = (n, one, many) => (Number(String(n).replace(/\D/g, '')) === 1 ? `${n} ${one}` : `${n} ${many}`);

export const turns = ['', 'Vierteldrehung nach rechts', 'halbe Drehung', 'Vierteldrehung nach links'];
