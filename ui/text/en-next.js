// English for the next block.
import { ordinal, turns } from './english.js';

export default {
  'caution.iron': 'Take out pins before they reach the needle; the iron stays hot for long after.',

  'next.block': 'The next block, {kind}',
  'next.patch': ({ row, column, fabric }) => `Patch ${row}, ${column}: ${fabric}`,
  'next.where': ({ row, column, kind, turn }) => [
    row ? `Row ${row}, ${ordinal(column)}` : '', kind, turns[turn % 4],
  ].filter(Boolean).join(' · '),
  'next.turn': 'Turn some over',
  'next.made': 'Made it',
  'next.kept': 'Kept on this device. The next block comes when the program answers.',
  'next.none': 'Every block is made.',
  'next.role': 'Here the pattern calls for: {role}.',
  'next.alternatives': 'These would do as well',
  'next.lock': 'Keep this one here',
  'next.unlock': 'Let it be turned over',
  'next.patch.locked': '{patch}, stays',
  'day': "A day's blocks at once",
  'day.count': 'How many blocks',
  'day.others': 'Other {n} blocks',
  'day.paper': 'On paper',
  'day.pull': 'Squares to pull: {n}',
  'day.of': '{n} × {fabric}',
  'day.blocks': 'The blocks',
  'day.sewn': 'Made',
  'day.place': 'row {row}, column {column}',
  'day.n': '{n} blocks',
  'day.all': 'All {n} are made',
  'warning.next.short': 'The basket holds squares for these blocks and no more.',
  'warning.next.one-fabric': 'All squares within reach are of one fabric, so like meets like: this is the best there is.',
  'next.another': 'I used another',
  'next.another.find': 'Its name',
};
