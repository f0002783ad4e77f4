// German for the record.
import { n1 } from './german.js';

export default {
  'record.find': 'Einen Stoff suchen',
  'record.find.such': 'ein Name, oder eine Farbe auf Englisch',
  'record.find.none': 'Keiner heißt so.',
  'record.empty': 'Hier werden die Jahre stehen',
  'record.empty.how': 'Was geschnitten und genäht wird und woher jeder Stoff kam, schreibt sich mit der Arbeit von selbst auf.',
  'record.months': 'Monate, der älteste zuerst',
  'record.picture': 'Quadrate, die hineinkamen (über der Linie) und herauskamen (darunter), Monat für Monat; die Tabelle darunter sagt dasselbe',
  'record.stitch': ({ n }) => `Ein Stich steht für ${n1(n, 'Quadrat', 'Quadrate')}. Über der Linie, was hineinkam, darunter, was herauskam.`,
  'record.table': 'Dasselbe in Zahlen',
  'record.month': 'Monat',
  'record.in': 'Quadrate hinein',
  'record.out': 'Quadrate heraus',
  'record.blocks': 'Fertige Blöcke',
  'record.since': 'seit {from}',
  'record.from.to': '{from} bis {to}',
};
