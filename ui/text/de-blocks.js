// Deutsch für Blöcke auf Fotos.
import { n1, turns } from './german.js';

const short = (inches) => Math.round(Math.abs(inches) * 32);
const thirtySeconds = (inches) => {
  let [up, down] = [short(inches), 32];
  while (up && up % 2 === 0 && down > 1) { up /= 2; down /= 2; }
  return `${up}/${down} Zoll`;
};

export default {
  'blocks.take': 'Blöcke fotografieren',
  'blocks.take.says': 'Fertige Blöcke mit der rechten Seite nach oben neben die Messkarte legen. Jeder wird gefunden, einmal abgehakt und Flicken für Flicken gemerkt.',
  'blocks.where': 'Wohin gehören diese?',
  'blocks.where.says': 'Blöcke fotografieren, die schon einmal fotografiert wurden: Die Seite sagt, wohin jeder gehört und wie er zu drehen ist.',
  'blocks.sending': 'Das Foto wird gesendet',
  'blocks.looking': 'Das Foto wird angesehen',
  'blocks.stop': 'Anhalten',
  'blocks.made': ({ n }) => `${n1(n, 'Block', 'Blöcke')} abgehakt`,
  'blocks.none': 'Kein neuer Block wurde abgehakt.',
  'blocks.again': ({ n }) => `${n1(n, 'Block war', 'Blöcke waren')} schon da und ${n === 1 ? 'wird' : 'werden'} nicht noch einmal gezählt.`,
  'blocks.one': ({ kind, row, column }) => `${kind}, Reihe ${row}, Platz ${column}`,
  'blocks.tapped': 'Schon vorher abgehakt; jetzt sind auch die Flicken bekannt.',
  'blocks.size.fits': 'Die Größe stimmt.',
  'blocks.size.trim': ({ n }) => `Bis zu ${n}/16 Zoll zu groß: zurechtschneiden.`,
  'blocks.size.ease': ({ n }) => `Bis zu ${n}/16 Zoll zu klein: einhalten oder die Nähte neu nähen.`,
  'blocks.ask': ({ n }) => `${n1(n, 'Flicken ist', 'Flicken sind')} unsicher. Antippen, was es ist:`,
  'blocks.patch': ({ row, column }) => `Flicken in Reihe ${row}, Platz ${column}`,
  'blocks.this': 'Dieser: {name}',
  'blocks.new': 'Ein neuer Stoff',
  'blocks.mind': 'Nicht wichtig',
  'blocks.settled': 'Gemerkt.',
  'blocks.not': 'Nicht gezählt',
  'blocks.at': ({ n }) => `Block ${n} des Fotos`,
  'blocks.sizes': 'Wie die Größen ausfallen',
  'blocks.sizes.says': ({ off, row, seam }) => [
    short(off) === 0 ? 'Die Blöcke sind so groß, wie sie sein sollen.' : `Die Blöcke sind im Mittel ${thirtySeconds(off)} zu ${off < 0 ? 'klein' : 'groß'}.`,
    short(row) === 0 ? '' : `Eine Reihe des Quilts wird ${thirtySeconds(row)} zu ${row < 0 ? 'kurz' : 'lang'}.`,
    `Genäht wurden sie mit einer Nahtzugabe von ${seam}.`,
  ].filter(Boolean).join(' '),
  'blocks.goes': ({ row, column, turn }) => `Reihe ${row}, Platz ${column}, ${turn ? turns[turn] : 'wie er liegt'}`,
  'blocks.loose': 'Noch ohne Platz: erst anordnen.',
  'blocks.unknown': ({ n }) => `${n1(n, 'Block wurde', 'Blöcke wurden')} nicht wiedererkannt. Zum Abhaken zuerst fotografieren.`,
  'blocks.picture': ({ place }) => `Der Block, wie er fotografiert wurde, ${place}`,
  'blocks.close': 'Zurück zum Plan',
};
