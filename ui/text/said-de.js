// What the program says with names and figures in it, in German: what it says, and how that goes
// here. $1 is the first value. Errors, what was done and could be undone, remarks on photos.
const n = '(\\d[\\d.]*)'; // a figure
const place = 'row (\\d+), column (\\d+)';

export default [
  // What was done.
  ['Put (.+) into the basket', '$1 in den Korb gelegt'], ['Took (.+) out of the basket', '$1 aus dem Korb genommen'],
  [`Counted the basket: ${n}`, 'Korb gezählt: $1'], [`Weighed the basket: about ${n}`, 'Korb gewogen: etwa $1'],
  ['Noted what is bought of the (.+)', 'Vermerkt, was gekauft ist: $1'], ['Cut (.+) from (.+)', '$2 geschnitten: $1'],
  ['Started (.+)', '$1 begonnen'], ['Called (.+) finished', '$1 fertig genannt'], ['Arranged (.+)', '$1 geordnet'],
  [`Crossed off ${place}`, 'Reihe $1, Spalte $2 abgehakt'], [`Took the cross off ${place}`, 'Haken von Reihe $1, Spalte $2 genommen'], ['Took the cross off (.+)', 'Haken weggenommen: $1'],
  ['Crossed off blocks by photo', 'Blöcke nach Foto abgehakt'], ['Crossed off (.+) by photo', '$1 nach Foto abgehakt'], ['Crossed off (.+)', '$1 abgehakt'],
  [`Turned ${place}`, 'Reihe $1, Spalte $2 gedreht'], [`Pinned ${place}`, 'Reihe $1, Spalte $2 festgesteckt'], [`Took the pin off ${place}`, 'Nadel von Reihe $1, Spalte $2 genommen'],
  ['Said how the top comes together', 'Gesagt, wie das Oberteil zusammenkommt'], ['Said how the quilt is finished', 'Gesagt, wie der Quilt fertig wird'],
  ['Said how to cut', 'Gesagt, wie geschnitten wird'], ['Said more of a fabric', 'Mehr zu einem Stoff gesagt'], ['Said the fabric of a (?:patch|scrap)', 'Einen Stoff genannt'],
  [`Said the fabric of scrap ${n}`, 'Den Stoff von Rest $1 genannt'], ['Said that (.+) are one fabric', '$1 als ein Stoff genommen'],
  ['Said that two fabrics are one', 'Zwei Stoffe als einen genommen'], ['Said that a fabric is one of its own', 'Einen Stoff für sich genommen'],
  [`Said that scrap ${n} was counted before`, 'Rest $1 war schon gezählt'], [`Said that scrap ${n} is one of its own`, 'Rest $1 ist ein eigener'],
  [`Said that ${n} is a scrap`, '$1 ist ein Rest'], [`Said that ${n} is not a scrap`, '$1 ist kein Rest'],
  ['Kept the design (.+)', 'Muster $1 behalten'], ['Dropped the design (.+)', 'Muster $1 entfernt'], ['Kept a picture of the quilt', 'Ein Bild des Quilts behalten'],
  ['Kept (.+) of (.+)', '$1 behalten ($2)'], [`Mended the outline of scrap ${n}`, 'Umriss von Rest $1 berichtigt'],
  [`Told ${n} scraps apart that were scrap ${n}`, 'Rest $2 in $1 getrennt'], [`Joined scraps ${n} and ${n}`, 'Reste $1 und $2 verbunden'],
  [`Drew a scrap that was missed, ${n}`, 'Einen übersehenen Rest gezeichnet: $1'], ['Looked where something might have lain', 'Nachgesehen, wo etwas liegen konnte'],
  ['Dropped the photo (.+)', 'Foto $1 entfernt'], ['Described the ruler (.+)', 'Lineal $1 beschrieben'], ['Dropped the ruler (.+)', 'Lineal $1 entfernt'],
  ['Dropped (.+)', '$1 entfernt'], ['Described the mat', 'Matte beschrieben'], ['Timed a pile', 'Einen Stapel gestoppt'], ['Changed the settings', 'Einstellungen geändert'],
  ['Chose no (.+) for (.+)', '$2: kein Stoff für $1 gewählt'], ['Chose the (.+) of (.+)', '$2: Stoff für $1 gewählt'],

  // What went wrong.
  ['"(.*)" is no length\\.', '„$1“ ist keine Länge.'], ['"(.*)" is below zero\\.', '„$1“ ist kleiner als null.'],
  ['There is no quilt "(.*)"\\.', 'Einen Quilt „$1“ gibt es nicht.'], ['There is a quilt "(.*)" under way\\.', 'Ein Quilt „$1“ ist schon begonnen.'],
  ['a quilt (.+) is under way already', 'Ein Quilt „$1“ ist schon begonnen.'], ['(.+) is finished(?: already)?\\.', '$1 ist fertig.'], ['All blocks of (.+) are made\\.', 'Alle Blöcke von $1 sind fertig.'],
  ['No block of (.+) is made yet\\.', 'Von $1 ist noch kein Block fertig.'], ['The design of (.+) has changed: no block is of its kinds\\.', 'Das Muster von $1 wurde geändert: kein Block gehört mehr dazu.'],
  ['The quilt has no place (.+): it has (\\d+) rows of (\\d+)\\.', 'Einen Platz $1 hat der Quilt nicht: er hat $2 Reihen zu $3.'],
  [`Row (\\d+), column (\\d+) is not crossed off\\.`, 'Reihe $1, Spalte $2 ist nicht abgehakt.'], [`Row (\\d+), column (\\d+) is crossed off already\\.`, 'Reihe $1, Spalte $2 ist schon abgehakt.'],
  [`No block lies at ${place}\\.`, 'In Reihe $1, Spalte $2 liegt kein Block.'], [`a block lies at ${place} already`, 'In Reihe $1, Spalte $2 liegt schon ein Block.'],
  [`Row (\\d+), column (\\d+) takes a (.+) block and ${place} a (.+) block\\.`, 'In Reihe $1, Spalte $2 gehört ein Block „$3“, in Reihe $4, Spalte $5 ein Block „$6“.'],
  [`Turned so, the (.+) block at ${place} would break the design\\.`, 'So gedreht zerstört der Block „$1“ in Reihe $2, Spalte $3 das Muster.'],
  ['Only (\\d+) places for "(.*)" are open\\.', 'Für „$2“ sind nur noch $1 Plätze offen.'], ['There are (\\d+) blocks of a kind "(.*)" in this quilt\\.', 'Dieser Quilt hat $1 Blöcke der Art „$2“.'],
  ['The basket is (\\d+) squares short of this block\\.', 'Für diesen Block fehlen im Korb $1 Quadrate.'], ['There are (\\d+) such squares in the basket, not (\\d+)\\.', 'Von diesen Quadraten sind $1 im Korb, nicht $2.'],
  ['There is no fabric (.+)\\.', 'Einen Stoff $1 gibt es nicht.'], ['There is no picture of (.+), so its colours are not known\\.', 'Von $1 gibt es kein Bild; seine Farben sind nicht bekannt.'],
  ['There is no ruler "(.*)"\\.?.*', 'Ein Lineal „$1“ gibt es nicht.'], ['There are (\\d+) rulers already\\.', 'Es sind schon $1 Lineale beschrieben.'],
  ['There is no block (\\d+)\\.', 'Einen Block $1 gibt es nicht.'], ['There is no device (\\d+)\\.', 'Ein Gerät $1 gibt es nicht.'], ['there is a source (.+) already', 'Eine Herkunft „$1“ gibt es schon.'],
  ['(?:The book|The catalogue) has a design called "(.*)" \\(.*\\) already\\.', 'Ein Muster „$1“ gibt es schon.'], ['(.+) is of the catalogue and stays\\.', '$1 gehört zum Programm und bleibt.'], ['there is no design "(.*)" in the book', 'Ein Muster „$1“ steht nicht im Buch.'],
  ['Scrap (\\d+) was cut already\\.', 'Rest $1 ist schon geschnitten.'], ["Scrap (\\d+) doesn't lie there any more\\.", 'Rest $1 liegt nicht mehr da.'],
  [`Scrap (\\d+) was changed meanwhile: it has (\\d+) corners and ${n} sq in now\\.`, 'Rest $1 wurde inzwischen geändert: er hat jetzt $2 Ecken und $3 in².'],
  [`The outline crosses or touches itself at \\(${n}, ${n}\\) in\\.`, 'Der Umriss kreuzt oder berührt sich bei $1 in quer, $2 in längs.'], ['The outline has (\\d+) corners.*', 'Der Umriss hat $1 Ecken.'], ['The outline has (\\d+) holes.*', 'Der Umriss hat $1 Löcher.'],
  ['Hole (\\d+) lies outside the scrap\\.', 'Loch $1 liegt außerhalb des Rests.'], [`The scrap is ${n} in long\\.`, 'Der Rest ist $1 in lang.'], ['A unit of (.+) in cannot be cut\\.', 'Quadrate von $1 in können nicht geschnitten werden.'],
  ['This ruler cannot cut (.+) in: it cuts units of up to (.+) in\\.', 'Dieses Lineal schneidet keine $1 in, nur bis $2 in.'], ['This ruler cannot cut (.+) in: it cuts (.+) in and its multiples up to (.+) in\\.', 'Dieses Lineal schneidet keine $1 in, nur $2 in und Vielfache bis $3 in.'],
  ["Only (\\d+) of (?:the|a) card's 4 tags can be seen.*", 'Von den 4 Marken der Karte sind nur $1 zu sehen.'], ['The picture has (?:only )?(\\d+) x (\\d+) pixels\\.', 'Das Bild hat $1 × $2 Pixel.'], ['The file has (\\d+) MB\\.', 'Die Datei hat $1 MB.'],
  ['.*this photo is in the book already, as photo (\\d+)', 'Dieses Foto ist schon im Buch, als Foto $1.'], ['Blocks of (\\d+) x (\\d+) patches are not read from photos\\.', 'Blöcke mit $1 × $2 Stücken sind auf Fotos nicht zu lesen.'],
  ['(\\d+) blocks are too many to draw\\.', '$1 Blöcke sind zu viele zum Zeichnen.'], ['A chart of (\\d+) x (\\d+) blocks would fill hundreds of sheets\\.', 'Ein Plan von $1 × $2 Blöcken füllte Hunderte von Blättern.'],
  ['"(.*)" is missing\\.', 'Es fehlt: $1.'], ['(\\w+): (.+) is no whole number from (-?\\d+) to (\\d+)\\.', '$1: „$2“ ist keine ganze Zahl von $3 bis $4.'], [`(\\w+): (.+) is no number from 0 to ${n}\\.`, '$1: „$2“ ist keine Zahl von 0 bis $3.'],
  ['(\\w+): "(.*)" is none of (.+)\\.', '$1: „$2“ ist nicht dabei: $3.'], ['(\\w+): "(.*)" is no width x height\\.', '$1: „$2“ ist nicht Breite x Höhe.'], [`(\\w+): from ${n} to ${n} in\\.`, '$1: von $2 bis $3 in.'], ['name: up to (\\d+) letters\\.', 'Name: bis zu $1 Buchstaben.'],
  ['(\\d+) pieces of work wait already\\.', '$1 Arbeiten warten schon.'], ['There is no job (.+)\\.', 'Eine Arbeit $1 gibt es nicht.'], ['(?:in .*: )?line (\\d+), column (\\d+): .*', 'In Zeile $1, Spalte $2 stimmt etwas nicht.'],

  // Remarks on photos and on the basket.
  ['No block of (.+) was found\\. Lay them right side up, apart\\.', 'Kein Block von $1 wurde gefunden. Sie mit der rechten Seite nach oben und mit Abstand hinlegen.'],
  ['No block of (.+) was found; they fit (.+)\\.', 'Kein Block von $1 wurde gefunden; sie passen zu $2.'],
  ['These blocks do not fit this quilt, whose blocks measure (.+); they fit (.+)\\.', 'Diese Blöcke passen nicht zu diesem Quilt, dessen Blöcke $1 messen; sie passen zu $2.'],
  ['These blocks do not fit this quilt, whose blocks measure (.+)\\.', 'Diese Blöcke passen nicht zu diesem Quilt, dessen Blöcke $1 messen.'],
  ['This photo is in the book already; nothing was added\\.', 'Dieses Foto ist schon im Buch; nichts kam dazu.'], ['The basket had (.+) fewer than these blocks took: count it when you can\\.', 'Im Korb waren $1 weniger, als diese Blöcke brauchten: bei Gelegenheit nachzählen.'],
  [`An inch has only ${n} pixels\\..*`, 'Auf einen Zoll kommen nur $1 Pixel. Näher herangehen oder in zwei Teilen fotografieren.'], [`Lengths may be off by up to ${n} %.*`, 'Längen können um bis zu $1 % falsch sein. Eine zweite Karte am anderen Rand hilft.'],
  ['No scraps were found\\..*', 'Es wurden keine Reste gefunden. Sie auf eine einfarbige Fläche anderer Farbe legen.'], ['Something may lie here\\..*', 'Hier liegt vielleicht etwas. Zweimal tippen, wenn es ein Rest ist.'],
  ['The card does not lie flat\\..*', 'Die Karte liegt nicht flach. Andrücken oder auf Karton kleben.'], [`The card is burnt out by ${n} %.*`, 'Die Karte ist zu $1 % überbelichtet; ihrem Weiß ist nicht zu trauen.'], [`The light falls off ${n} times.*`, 'Das Licht fällt über den Tisch auf ein $1-tel. Die Umrisse stimmen, die Farben weniger.'],
  ['The light is strongly coloured\\..*', 'Das Licht ist stark farbig. Die Umrisse stimmen, die Farben weniger.'], ['The photo is blurred: edges are uncertain by about 1/(\\d+) in\\..*', 'Das Foto ist unscharf: Ränder sind auf etwa 1/$1 in unsicher.'], ['The photo is dark.*', 'Das Foto ist dunkel. Mehr Licht hilft.'],
  ['The photo was taken (\\d+) degrees from straight down\\..*', 'Das Foto ist um $1 Grad schräg aufgenommen. Das Telefon flacher halten.'], ['Two lights of different colour shine on the table\\..*', 'Zwei verschiedene Lichter scheinen auf den Tisch. Die Umrisse stimmen, die Farben weniger.'],
  ['Without the card nothing in the picture is known to be white.*', 'Ohne Karte ist im Bild kein Weiß bekannt: die Farben sind geschätzt.'], ['All places for this kind are crossed off already\\.', 'Alle Plätze dieser Art sind schon abgehakt.'],
];

/** Single words among the values. */
export const words = {
  squares: 'Quadrate', square: 'Quadrat', blocks: 'Blöcke', block: 'Block', scraps: 'Reste', scrap: 'Rest', background: 'Hintergrund', accent: 'Akzent', light: 'Hell', dark: 'Dunkel', medium: 'Mittel',
  binding: 'Einfassung', backing: 'Rückseite', batting: 'Vlies', sash: 'Zwischenstreifen', border: 'Rand', count: 'Anzahl', across: 'Blöcke quer', down: 'Blöcke längs', unit: 'Größe der Quadrate', name: 'Name', quilt: 'Quilt',
  design: 'Muster', fabric: 'Stoff', source: 'Herkunft', place: 'Platz', value: 'Helligkeit', size: 'Größe', ruler: 'Lineal', weight: 'Gewicht', seam: 'Nahtzugabe', drop: 'Überhang', tuck: 'Einschlag', paper: 'Papier',
};
