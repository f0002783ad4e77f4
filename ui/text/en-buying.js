// English for what to buy.
import { n1 } from './english.js';

export default {
  'buy.such': ({ metric }) => (metric ? '1.5 m' : '1 1/2 yd'),
  'note.buy.dye-lot': '{item}: buy all of it at once and from one bolt; two dyeings of one colour are seldom the same.',
  'note.buy.exact-fit': '{item} fits its cloth with nothing over: measure the width that you have before you buy.',
  'note.buy.other-lot': 'Some of this is bought: lay it beside the bolt before you buy the rest.',
  'buy.noted': '{item}: noted',
  'buy.sofar': 'Bought so far',
  'buy.left': '{amount} left to buy',
  'buy.all': 'That is all of it.',
  'buy.fabric': 'Fabric for it',
  'buy.fabric.none': 'Not chosen',
  'buy.chosen': '{item}: fabric chosen',
  'buy.how': 'How it is cut',
  'buy.from': 'From those: {pieces} ({piece})',
  'buy.drawing': 'How the strips of {item} lie on the cloth',
  'buy.scraps': 'From the basket',
  'buy.scrap': '{n} squares of {size} in: {role} ({piece})',
  'backgrounds.title': 'Which background?',
  'backgrounds.says': 'Ranked against the squares in the basket: first those in which the fewest would be lost.',
  'backgrounds.melting': '{share} of your squares would melt into it.',
  'backgrounds.none': 'No square would melt into it.',
  'backgrounds.lighter': '{n} lighter than they are, {apart} apart in colour',
  'backgrounds.darker': '{n} darker than they are, {apart} apart in colour',

  'buy.width': 'of cloth {width} wide',
  'buy.cut': ({ n, size, piece, into }) => `Cut ${n1(n, 'strip', 'strips')} of ${size}${into ? `, and from these ${into}` : ''} (${piece})`,
  'buy.into': ({ n, size }) => `${n} of ${size}`,
  'buy.packaged': '(sold as {name})',
  'buy.binding': ({ n, length }) => `Binding: ${n1(n, 'strip', 'strips')}, ${length} in all`,
};
