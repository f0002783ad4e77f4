// German for the copies of the book.
import { n1 } from './german.js';

export default {
  'copies.title': 'Kopien des Buchs',
  'copies.says': 'Das Programm macht jeden Tag eine Kopie des Buchs und behält umso weniger, je älter sie sind. Wer eine zurückholt, ändert das ganze Buch; das jetzige wird aufgehoben und steht danach in dieser Liste.',
  'copies.none': 'Es gibt noch keine Kopie. Das Programm macht jeden Tag eine, solange es läuft.',
  'copies.daily': 'die Kopie des Tages',
  'copies.before.restore': 'aufgehoben, bevor eine Kopie zurückgeholt wurde',
  'copies.before.upgrade': 'aufgehoben vor einer neuen Version des Programms',
  'copies.size': '{n} MB',
  'copies.take': 'Zurückholen',
  'copies.take.one': '{day} zurückholen, {kind}',
  'copies.taking': 'Wird zurückgeholt …',
  'copies.taken': 'Das Buch ist, wie es am {day} war',
  'copies.more': ({ n }) => n1(n, 'ältere Kopie', 'ältere Kopien'),
  'copies.damaged': 'Das Buch ist beschädigt.',
  'copies.damaged.says': 'Es lässt sich lesen, aber nicht ändern. Die letzte Kopie von vor dem Schaden zurückholen, oder vorher aufschreiben, was seitdem dazugekommen ist. Das beschädigte Buch wird aufgehoben.',
  'copies.faults': ({ n }) => `${n1(n, 'Stelle ist', 'Stellen sind')} nicht wie geschrieben`,
  'copies.look': 'Das Buch durchsehen',
  'copies.looking': 'Wird durchgesehen …',
  'copies.sound': 'Das Buch ist in Ordnung',
};
