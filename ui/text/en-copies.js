// English for the copies of the book.
import { n1 } from './english.js';

export default {
  'copies.title': 'Copies of the book',
  'copies.says': 'The program makes a copy of the book each day and keeps fewer the older they are. Taking one back changes the whole book; the book as it is now is kept and stands in this list afterwards.',
  'copies.none': 'There is no copy yet. The program makes one each day while it runs.',
  'copies.daily': 'the copy of that day',
  'copies.before.restore': 'kept before a copy was taken back',
  'copies.before.upgrade': 'kept before a new version of the program',
  'copies.size': '{n} MB',
  'copies.take': 'Take back',
  'copies.take.one': 'Take back {day}, {kind}',
  'copies.taking': 'Taking it back …',
  'copies.taken': 'The book is as it was on {day}',
  'copies.more': ({ n }) => n1(n, 'older copy', 'older copies'),
  'copies.damaged': 'The book is damaged.',
  'copies.damaged.says': 'It can be read, but not changed. Take back the last copy from before the damage, or write down first what has been added since. The damaged book is kept.',
  'copies.faults': ({ n }) => `${n1(n, 'thing is', 'things are')} not as written`,
  'copies.look': 'Look the book over',
  'copies.looking': 'Looking it over …',
  'copies.sound': 'The book is sound',
};
