// German for the next block.
import { turns } from './german.js';

export default {
  'caution.iron': 'Stecknadeln herausziehen, bevor sie die Nadel erreichen; das Bügeleisen bleibt noch lange heiß.',
  'next.block': 'Der nächste Block, {kind}',
  'next.patch': ({ row, column, fabric }) => `Flicken ${row}, ${column}: ${fabric}`,
  'next.where': ({ row, column, kind, turn }) => [
    row ? `Reihe ${row}, ${column}. Platz` : '', kind, turns[turn % 4],
  ].filter(Boolean).join(' · '),
  'next.turn': 'Einige umdrehen',
  'next.made': 'Fertig genäht',
  'next.kept': 'Auf diesem Gerät aufgehoben. Der nächste Block kommt, wenn das Programm antwortet.',
  'next.none': 'Alle Blöcke sind fertig.',
  'next.role': 'Hier verlangt das Muster: {role}.',
  'next.alternatives': 'Diese gingen ebenso gut',
  'next.lock': 'Diesen hier behalten',
  'next.unlock': 'Darf wieder umgedreht werden',
  'next.patch.locked': '{patch}, bleibt',
  'day': 'Die Blöcke für einen Tag',
  'day.count': 'Wie viele Blöcke',
  'day.others': 'Andere {n} Blöcke',
  'day.paper': 'Auf Papier',
  'day.pull': 'Quadrate heraussuchen: {n}',
  'day.of': '{n} × {fabric}',
  'day.blocks': 'Die Blöcke',
  'day.sewn': 'Fertig',
  'day.place': 'Reihe {row}, {column}. Platz',
  'day.n': '{n} Blöcke',
  'day.all': 'Alle {n} sind fertig',
  'warning.next.one-fabric': 'Alle Quadrate in Reichweite sind von einem Stoff, so trifft Gleiches auf Gleiches: besser geht es nicht.',
  'next.another': 'Ich habe einen anderen genommen',
  'next.another.find': 'Sein Name',
};
