// How English counts.
export const n1 = (n, one, many) => (Number(String(n).replace(/\D/g, '')) === 1 ? `${n} ${one}` : `${n} ${many}`);

export const ordinal = (n) => {
  const tens = n % 100;
  if (tens > 10 && tens < 14) return `${n}th`;
  return `${n}${{ 1: 'st', 2: 'nd', 3: 'rd' }[n % 10] ?? 'th'}`;
};

export const turns = ['', 'quarter turn right', 'half turn', 'quarter turn left'];
