// English for the record.
import { n1 } from './english.js';

export default {
  'record.find': 'Find a fabric',
  'record.find.such': 'teal, or a name',
  'record.find.none': 'None is called so.',
  'record.empty': 'Here your years will stand',
  'record.empty.how': 'What you cut, what you sew and where each fabric came from is written down by itself as you go.',
  'record.months': 'Months, oldest first',
  'record.picture': 'Squares put in (above the line) and taken out (below it), month by month; the table below says the same',
  'record.stitch': ({ n }) => `One stitch is ${n1(n, 'square', 'squares')}. Above the line what went in, below it what came out.`,
  'record.table': 'The same in figures',
  'record.month': 'Month',
  'record.in': 'Squares in',
  'record.out': 'Squares out',
  'record.blocks': 'Blocks made',
  'record.since': 'since {from}',
  'record.from.to': '{from} to {to}',
};
