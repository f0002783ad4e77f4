#include "draw/words.h"

#include <string.h>

typedef struct pair {
    const char *english, *german;
} pair;

/* Sheet by sheet; what several sheets say stands first. Makers are told what to do as the
 * page tells them, without addressing them. */
static const pair sentences[] = {
    { "page %d of %d", "Seite %d von %d" },
    { "for the quilt %s", "für den Quilt %s" },
    { "Lay a ruler on these lines. If they are off,",
      "Ein Lineal an diese Linien legen. Stimmen sie nicht," },
    { "the sheet was not printed at 100 %.",
      "wurde das Blatt nicht mit 100 % gedruckt." },
    { "block", "Block" },
    { "blocks", "Blöcke" },
    { "square", "Quadrat" },
    { "squares", "Quadrate" },
    { "about %d", "etwa %d" },
    { "Blocks", "Blöcke" },
    { "Finished", "Fertig" },
    { "not said", "nicht gesagt" },

    /* What room quilt calls things. */
    { "scrap", "Stoffrest" },
    { "background", "Hintergrund" },
    { "light", "hell" },
    { "dark", "dunkel" },
    { "accent", "Akzent" },
    { "binding", "Einfassung" },
    { "backing", "Rückseite" },
    { "sleeve", "Tunnel" },
    { "patch", "Flicken" },
    { "whole block", "ganzer Block" },
    { "square for triangles", "Quadrat für Dreiecke" },
    { "sash", "Zwischenstreifen" },
    { "cornerstone", "Eckquadrat" },
    { "square for side triangles", "Quadrat für Randdreiecke" },
    { "square for corner triangles", "Quadrat für Eckdreiecke" },
    { "border", "Rand" },
    { "backing panel", "Bahn der Rückseite" },

    { "%d %s %d", "%d. %s %d" },
    { "January", "Januar" },
    { "February", "Februar" },
    { "March", "März" },
    { "April", "April" },
    { "May", "Mai" },
    { "June", "Juni" },
    { "July", "Juli" },
    { "August", "August" },
    { "September", "September" },
    { "October", "Oktober" },
    { "November", "November" },
    { "December", "Dezember" },

    /* The card. */
    { "Measuring card", "Messkarte" },
    { "Motley measuring card %d", "Motley-Messkarte %d" },
    { "Keep it flat, clean and whole.", "Flach, sauber und ganz halten." },
    { "Print this sheet at 100 % (“actual size”), not fitted to the page. Then lay a "
      "ruler "
      "on the 3 in line of the card and on the 100 mm line above. If both are right, cut "
      "the card out along the marks and glue it to stiff board, so that it lies flat.\n"
      "If they are not right, the printer changed the size. Print again with scaling "
      "turned off; or measure the 100 mm line as well as you can and give the program "
      "that length, and it will reckon with it. Every length in a photo depends on "
      "this.\n"
      "In a photo the whole card must be seen, all four squares of it, flat on the same "
      "table as the scraps. Two cards (pages 1 and 2) at opposite ends of the table "
      "measure better than one.",
      "Dieses Blatt mit 100 % drucken („tatsächliche Größe“), nicht an die Seite "
      "angepasst. Dann ein Lineal an die Linie von 3 Zoll auf der Karte und an die Linie "
      "von 100 mm oben legen. Stimmen beide, die Karte an den Marken ausschneiden und "
      "auf "
      "feste Pappe kleben, damit sie flach liegt.\n"
      "Stimmen sie nicht, hat der Drucker die Größe verändert. Ohne Anpassung noch "
      "einmal "
      "drucken; oder die Linie von 100 mm so genau wie möglich messen und dem Programm "
      "diese Länge nennen, es rechnet dann damit. Jede Länge in einem Foto hängt davon "
      "ab.\n"
      "Im Foto muss die ganze Karte zu sehen sein, alle vier Quadrate, flach auf "
      "demselben "
      "Tisch wie die Stoffreste. Zwei Karten (Seiten 1 und 2) an entgegengesetzten Enden "
      "des Tisches messen besser als eine." },

    /* The chart and the map. */
    { "Chart to cross off", "Plan zum Abhaken" },
    { "%d across, %d down: %d blocks, %d made.",
      "%d nebeneinander, %d untereinander: %d Blöcke, %d fertig." },
    { " Here columns %d to %d.", " Hier Spalten %d bis %d." },
    { " Here rows %d to %d.", " Hier Reihen %d bis %d." },
    { " Column %d and row %d again, in grey.",
      " Spalte %d und Reihe %d noch einmal, in Grau." },
    { " Column %d again, in grey.", " Spalte %d noch einmal, in Grau." },
    { " Row %d again, in grey.", " Reihe %d noch einmal, in Grau." },
    { "%s, %d made", "%s, %d fertig" },
    { "Arrangement map", "Karte der Anordnung" },
    { "%d across, %d down. The wedge points to what was the top of the block.",
      "%d nebeneinander, %d untereinander. Der Keil zeigt dahin, wo beim Block oben "
      "war." },
    { "%d across, %d down. Here columns %d to %d, rows %d to %d. The wedge points to "
      "what "
      "was the top of the block.",
      "%d nebeneinander, %d untereinander. Hier Spalten %d bis %d, Reihen %d bis %d. Der "
      "Keil zeigt dahin, wo beim Block oben war." },

    /* Labels. */
    { "Labels for rows", "Schilder für die Reihen" },
    { "Row %d", "Reihe %d" },
    { "%s, upper end", "%s, oberes Ende" },
    { "%s, left end", "%s, linkes Ende" },
    { "Label for the back", "Schild für die Rückseite" },
    { "made by %s", "genäht von %s" },
    { "for %s", "für %s" },
    { "begun %s", "begonnen am %s" },
    { "%s to %s", "%s bis %s" },
    { "%s, %d blocks", "%s, %d Blöcke" },
    { "Cloth from %s", "Stoff von %s" },
    { "Wash cool and gently, dry flat.", "Kühl und schonend waschen, liegend trocknen." },
    { "Trace it with a pen made for cloth, or print it on cloth made for printing, as "
      "their makers say. Cut along the stitches, turn under to the frame, and sew it to "
      "the back.",
      "Mit einem Stift für Stoff abpausen oder auf Stoff zum Bedrucken drucken, wie es "
      "deren Hersteller sagen. An den Stichen ausschneiden, bis zum Rahmen einschlagen "
      "und "
      "auf die Rückseite nähen." },

    /* The shopping list. */
    { "Shopping list", "Einkaufszettel" },
    { "The quilt is %s x %s when finished.", "Der Quilt misst fertig %s x %s." },
    { "Cloth to buy", "Stoffe zum Kaufen" },
    { "%s: cloth at least %s wide without its selvages.",
      "%s: Stoff, ohne seine Webkanten mindestens %s breit." },
    { "One strip needs this width to the thread: measure before you buy.",
      "Ein Streifen braucht diese Breite auf den Faden genau: vor dem Kauf messen." },
    { "Batting, from the roll: no packaged size covers it.",
      "Vlies, von der Rolle: keine Packung reicht." },
    { "Batting; the packaged size “%s” (%s x %s) covers it.",
      "Vlies; die Packung „%s“ (%s x %s) reicht." },
    { "The backing is sewn from %d panels of %s with seams running along the quilt's "
      "height; with seams the other way it would take %s of cloth.",
      "Die Rückseite wird aus %d Bahnen von %s genäht, mit Nähten von oben nach unten; "
      "mit "
      "Nähten von Seite zu Seite bräuchte sie %s Stoff." },
    { "The backing is sewn from %d panels of %s with seams running across the quilt; "
      "with "
      "seams the other way it would take %s of cloth.",
      "Die Rückseite wird aus %d Bahnen von %s genäht, mit Nähten von Seite zu Seite; "
      "mit "
      "Nähten von oben nach unten bräuchte sie %s Stoff." },
    { "Buy all of one cloth at once and from one bolt: dye lots differ, and the next "
      "bolt "
      "of the same colour may not match. Lengths are rounded up already.",
      "Von einem Stoff alles auf einmal und vom selben Ballen kaufen: zwei Färbungen "
      "einer "
      "Farbe sind selten gleich, der nächste Ballen passt vielleicht nicht. Die Längen "
      "sind schon aufgerundet." },
    { "From scraps and the basket", "Aus Stoffresten und dem Korb" },
    { "%s: squares of %s, cut", "%s: Quadrate von %s, zugeschnitten" },
    { "%s: squares of %s, cut, for half-square triangles",
      "%s: Quadrate von %s, zugeschnitten, für Dreiecke aus halben Quadraten" },
    { "%s: squares of %s, cut, for cornerstones",
      "%s: Quadrate von %s, zugeschnitten, für Eckquadrate" },

    /* The cutting list. */
    { "Cutting list", "Schnittliste" },
    { "Wash and press the cloth first if you mean to wash the quilt. True up one end, "
      "then "
      "cut from the longest pieces to the shortest, so that a slip can still become "
      "something smaller.",
      "Den Stoff vorher waschen und bügeln, wenn der Quilt einmal gewaschen wird. Ein "
      "Ende "
      "begradigen, dann von den längsten Stücken zu den kürzesten schneiden, damit aus "
      "einem Fehlschnitt noch etwas Kleineres wird." },
    { "%s of cloth %s wide, drawn 1 : %d with its length to the right. Cut the strips in "
      "this order; what is grey is left over.",
      "%s Stoff von %s Breite, gezeichnet 1 : %d mit der Länge nach rechts. Die Streifen "
      "in "
      "dieser Reihenfolge schneiden; was grau ist, bleibt übrig." },
    { "strips across the cloth", "Streifen quer zum Stoff" },
    { "pieces", "Stücke" },
    { "each", "je" },
    { "for", "für" },
    { "then", "dann" },
    { "border %d", "Rand %d" },
    { "from the strips above", "aus den Streifen oben" },
    { "from the ends of %c", "aus den Enden von %c" },
    { "bias, from %s", "schräg aus %s" },
    { "%d of %s, ends of %c", "%d von %s, Enden von %c" },
    { "join the strips first", "erst die Streifen verbinden" },
    { "%d of %s", "%d von %s" },
    { "halve on the diagonal", "diagonal halbieren" },
    { "quarter on both diagonals", "diagonal vierteln" },
    { "two and two, eight at a time", "je zwei, acht auf einmal" },

    /* The cutting sheet. */
    { "Cutting sheet", "Schnittblatt" },
    { "A rotary cutter goes through a finger as easily as through four layers of cloth. "
      "Close the blade whenever it leaves your hand, also for a moment. Stand, lay the "
      "mat "
      "on a firm table, hold the ruler with spread fingers well back from its edge, and "
      "roll away from yourself. A dull blade needs force, and force slips: change it in "
      "time. Keep cutter and mat from children and animals.",
      "Ein Rollschneider geht so leicht durch einen Finger wie durch vier Lagen Stoff. "
      "Die "
      "Klinge schließen, sooft er abgelegt wird, auch nur für einen Augenblick. Im "
      "Stehen "
      "schneiden, die Matte auf einem festen Tisch, das Lineal mit gespreizten Fingern "
      "weit "
      "hinter seiner Kante halten und vom Körper weg rollen. Eine stumpfe Klinge braucht "
      "Kraft, und mit Kraft rutscht sie ab: rechtzeitig wechseln. Rollschneider und "
      "Matte "
      "von Kindern und Tieren fernhalten." },
    { "%s in all. Lay each scrap before you as it is drawn, and cut in the order of the "
      "numbers.",
      "Zusammen %s. Jeden Stoffrest so hinlegen, wie er gezeichnet ist, und in der "
      "Reihenfolge der Zahlen schneiden." },
    { "Scrap %d", "Stoffrest %d" },
    { "Scrap %d, %s", "Stoffrest %d, %s" },
    { "Grid cut, squares of %s", "In einem Raster, Quadrate von %s" },
    { "Strip cut, squares of %s", "Streifen für Streifen, Quadrate von %s" },
    { "%s of %s (at most %d) in %s, drawn 1 : %d",
      "%s von %s (höchstens %d), %s, 1 : %d" },
    { "%s, %s, %s, about %.0f min", "%s, %s, %s, etwa %.0f min" },
    { "%s, %s, about %.0f min", "%s, %s, etwa %.0f min" },
    { "strip", "Streifen" },
    { "strips", "Streifen" },
    { "pass", "Mal anlegen" },
    { "passes", "Mal anlegen" },
    { "cut", "Schnitt" },
    { "cuts", "Schnitte" },
    { "turn", "Mal drehen" },
    { "turns", "Mal drehen" },
    { "scraps", "Stoffreste" },
    { "I got", "Ergeben hat es" },

    /* The design sheet. */
    { "Design sheet", "Musterblatt" },
    { "Measure", "Maß" },
    { "Block of %d x %d squares cut %s (sewn, it measures %s)",
      "Block aus %d x %d Quadraten von %s (genäht misst er %s)" },
    { "%d x %d blocks", "%d x %d Blöcke" },
    { "%d x %d blocks, on point", "%d x %d Blöcke, auf der Spitze" },
    { "Sashes between the blocks, %s", "Zwischenstreifen, %s" },
    { "Sashes between the blocks, %s, with cornerstones",
      "Zwischenstreifen, %s, mit Eckquadraten" },
    { "With border %d, %s of %s", "Mit Rand %d, %s %s" },
    { "With border %d, %s of %s, mitred", "Mit Rand %d, %s %s, auf Gehrung" },
    { "%d of %s and %s triangles", "%d aus zwei Dreiecken, %s und %s" },

    /* Sewing. */
    { "Sewing", "Nähen" },
    { "Feed pairs one after another without cutting the thread. Set the iron down and "
      "lift "
      "it; keep fingers out of the steam, and take pins out before they reach the "
      "needle.",
      "Paare nacheinander durchlaufen lassen, ohne den Faden abzuschneiden. Das "
      "Bügeleisen "
      "aufsetzen und abheben, die Finger aus dem Dampf halten, und Stecknadeln "
      "herausziehen, bevor sie die Nadel erreichen." },
    { "Cut ahead", "Vorher zuschneiden" },
    { "%s, squares of %s, for %s", "%s, Quadrate von %s, für %s" },
    { "half-square triangles", "Dreiecke aus halben Quadraten" },
    { "%s, %d of them", "%s, %d Stück" },
    { "two triangles", "zwei Dreiecke" },
    { "Row %d: %s. %s", "Reihe %d: %s. %s" },
    { "Press open.", "Auseinander bügeln." },
    { "Press outward.", "Nach außen bügeln." },
    { "Press inward.", "Nach innen bügeln." },
    { "Press left.", "Nach links bügeln." },
    { "Press right.", "Nach rechts bügeln." },
    { "Join the rows. Press the long seams open.",
      "Die Reihen verbinden. Die langen Nähte auseinander bügeln." },
    { "Join the rows. Press the long seams inward.",
      "Die Reihen verbinden. Die langen Nähte zur Mitte bügeln." },
    { "Join the rows. Press the long seams down.",
      "Die Reihen verbinden. Die langen Nähte nach unten bügeln." },
    { "Seams that are pressed open do not lock where they meet: pin each crossing on "
      "both "
      "sides of the seam.",
      "Auseinander gebügelte Nähte greifen nicht ineinander: jede Kreuzung beidseits der "
      "Naht stecken." },
    { "Where blocks meet", "Wo Blöcke zusammentreffen" },
    { "Pressed as above, %.0f %% of the joints between blocks nest.",
      "So gebügelt, greifen %.0f %% der Stöße zwischen den Blöcken ineinander." },
    { "Pressed as marked here, %.0f %%: a level bar, the seams within rows go the other "
      "way; an upright bar, the long seams do; both bars, all do.",
      "Wie hier bezeichnet gebügelt, %.0f %%: bei einem waagerechten Strich gehen die "
      "Nähte "
      "in den Reihen andersherum, bei einem senkrechten die langen Nähte, bei beiden "
      "alle." },
    { "Is the seam true?", "Stimmt die Naht?" },
    { "Sew three strips of %s side by side, press, and measure across: %s is right. The "
      "seam is out by a quarter of the difference: too wide when it is less, too narrow "
      "when it is more.",
      "Drei Streifen von %s nebeneinander nähen, bügeln und quer messen: %s ist richtig. "
      "Die Naht liegt um ein Viertel des Unterschieds daneben: zu breit, wenn es weniger "
      "ist, zu schmal, wenn es mehr ist." },
    { "Blocks that wait for months", "Blöcke, die monatelang warten" },
    { "Let them cool and dry on the board before they are piled. Pile them flat, right "
      "side up, under a light board, away from sun and damp, and press them again before "
      "the rows are sewn.",
      "Vor dem Stapeln auf dem Brett auskühlen und trocknen lassen. Flach stapeln, die "
      "rechte Seite nach oben, unter einem leichten Brett, fern von Sonne und Feuchte, "
      "und "
      "noch einmal bügeln, bevor die Reihen genäht werden." },

    /* A day's blocks. */
    { "A day's blocks", "Blöcke für einen Tag" },
    { "Squares to pull: %d", "Quadrate zum Herausnehmen: %d" },
    { "The blocks, as they lie in the quilt", "Die Blöcke, wie sie im Quilt liegen" },
    { "row %d, column %d", "Reihe %d, %d. Platz" },
    { "Numbers are those of the fabrics above; patches without one are cut from cloth. "
      "Feed pairs one after another without cutting the thread, and take pins out before "
      "they reach the needle.",
      "Die Zahlen sind die der Stoffe oben; Flicken ohne Zahl werden aus Stoff "
      "geschnitten. "
      "Paare nacheinander durchlaufen lassen, ohne den Faden abzuschneiden, und "
      "Stecknadeln "
      "herausziehen, bevor sie die Nadel erreichen." },

    /* The story. */
    { "The story of a quilt", "Die Geschichte eines Quilts" },
    { "What", "Was" },
    { "Begun", "Begonnen" },
    { "under way", "in Arbeit" },
    { "Design", "Muster" },
    { "%d x %d, %d made", "%d x %d, %d genäht" },
    { "Measures", "Misst" },
    { "Size by the plan", "Größe nach Plan" },
    { "Where its cloth came from", "Woher der Stoff kam" },
    { "Came from", "Kam von" },
    { "Squares", "Quadrate" },
    { "Share", "Anteil" },
    { "Where each source lies", "Wo was liegt" },
    { "Its fabrics", "Die Stoffe" },
    { "Fabric", "Stoff" },
    { "Patches", "Flicken" },
    { "and %d more", "und %d weitere" },

    /* The year. */
    { "The year %d", "Das Jahr %d" },
    { "%d squares in, %d out, %d blocks sewn. Each bar is as wide as squares went in, in "
      "their colours; light, medium and dark below it; the stitches are what still lies "
      "in the basket.",
      "%d Quadrate hinein, %d heraus, %d Blöcke genäht. Jeder Balken ist so breit, wie "
      "Quadrate hineinkamen, in ihren Farben; darunter hell, mittel und dunkel; die "
      "Stiche "
      "sind, was noch im Korb liegt." },
    { "What went into the basket", "Was in den Korb kam" },
    { "January to March", "Januar bis März" },
    { "April to June", "April bis Juni" },
    { "July to September", "Juli bis September" },
    { "October to December", "Oktober bis Dezember" },
    { "%d in", "%d hinein" },
    { "%d still there", "%d noch da" },
    { "Begun: %s", "Begonnen: %s" },
};

/* What the catalogue tells of its designs. This and the names below are also on the page
 * (ui/text/designs-de.js and colours-de.js); a test holds them equal. */
static const pair designs[] = {
    { "Traditional setting of light and dark halves: diamonds round the middle. Laid in "
      "quarters from the centre, with even numbers of blocks.",
      "Überlieferte Lage heller und dunkler Hälften: Rauten um die Mitte. Wird in "
      "Vierteln von der Mitte aus gelegt, mit geraden Zahlen von Blöcken." },
    { "Traditional: two rails of scraps with background between them, over and under "
      "like a basket.",
      "Überliefert: zwei Leisten aus Stoffresten, dazwischen Hintergrund, darüber und "
      "darunter wie bei einem Korb." },
    { "Traditional: a flock of small triangles over one large dark one, all flying one "
      "way.",
      "Überliefert: ein Schwarm kleiner Dreiecke über einem großen dunklen, die alle in "
      "eine Richtung fliegen." },
    { "Traditional: light and dark triangles in fours, set with plain blocks.",
      "Überliefert: helle und dunkle Dreiecke zu vieren, dazwischen glatte Blöcke." },
    { "Traditional: scraps and background by turns over the whole quilt. As three is "
      "odd, it takes a block and its opposite.",
      "Überliefert: Stoffrest und Hintergrund im Wechsel über den ganzen Quilt. Weil "
      "drei ungerade ist, braucht es einen Block und sein Gegenstück." },
    { "Traditional, also called double wrench and hole in the barn door: a ring of "
      "scraps round a middle square, with sashes between the blocks.",
      "Überliefert: ein Ring aus Stoffresten um ein Quadrat in der Mitte, mit "
      "Zwischenstreifen zwischen den Blöcken." },
    { "Traditional: two four patches and two dark squares as large as they.",
      "Überliefert: zwei Viererblöcke und zwei dunkle Quadrate von gleicher Größe." },
    { "Traditional: blocks of twenty-five patches and open ones by turns; chains three "
      "wide.",
      "Überliefert: Blöcke aus fünfundzwanzig Flicken und offene im Wechsel; die Ketten "
      "sind drei breit." },
    { "Traditional: five nine patches and four plain ones make a large nine patch, and "
      "large plain blocks lie between.",
      "Überliefert: fünf Neunerblöcke und vier glatte ergeben einen großen Neunerblock, "
      "dazwischen liegen große glatte Blöcke." },
    { "Traditional: four pairs of geese that chase each other clockwise.",
      "Überliefert: vier Paare Gänse, die einander im Uhrzeigersinn jagen." },
    { "Traditional, also known as a diamond or a square in a square: background corners "
      "round a square of scraps that stands on its corner.",
      "Überliefert, auch Quadrat im Quadrat: Ecken aus Hintergrund um ein Quadrat aus "
      "Stoffresten, das auf der Spitze steht." },
    { "Traditional: columns of geese that fly up between plain strips.",
      "Überliefert: Säulen von Gänsen, die zwischen glatten Streifen nach oben "
      "fliegen." },
    { "Traditional: two scraps and two of the background, what many learned to sew on.",
      "Überliefert: zwei Stoffreste und zweimal Hintergrund, woran viele das Nähen "
      "gelernt haben." },
    { "Traditional: four points that turn one way round a square, where friends signed. "
      "Its mirror image is another block.",
      "Überliefert: vier Zacken, die sich in eine Richtung um ein Quadrat drehen, auf "
      "dem Freundinnen unterschrieben. Sein Spiegelbild ist ein anderer Block." },
    { "Straight furrows without a triangle: the line between light and dark is a step of "
      "scraps.",
      "Gerade Furchen ohne ein einziges Dreieck: die Grenze zwischen hell und dunkel ist "
      "eine Treppe aus Stoffresten." },
    { "Traditional: two dark triangles and two light, upright and lying by turns.",
      "Überliefert: zwei dunkle und zwei helle Dreiecke, abwechselnd stehend und "
      "liegend." },
    { "A chain of the Irish kind turned round: background runs in slanting chains over a "
      "field of scraps, and the chains cross in every second row of blocks.",
      "Eine umgekehrte irische Kette: der Hintergrund zieht schräge Ketten durch ein "
      "Feld aus Stoffresten, und in jeder zweiten Blockreihe kreuzen sie sich." },
    { "Traditional setting of light and dark halves: light diamonds and dark ones, four "
      "blocks to each.",
      "Überlieferte Lage heller und dunkler Hälften: helle und dunkle Rauten aus je vier "
      "Blöcken." },
    { "Traditional setting of light and dark halves that zigzags down the quilt.",
      "Überlieferte Lage heller und dunkler Hälften, die im Zickzack den Quilt "
      "hinunterläuft." },
    { "Traditional: four leaves round a centre; a stem may be sewn on where the stalk "
      "grows.",
      "Überliefert: vier Blätter um eine Mitte; ein Stiel kann dort aufgenäht werden, wo "
      "er wächst." },
    { "Traditional: nine patches stand on their corners with plain blocks between, and "
      "triangles fill the edge.",
      "Überliefert: Neunerblöcke stehen auf der Spitze, dazwischen glatte Blöcke, und "
      "Dreiecke füllen den Rand." },
    { "Traditional; often a first block: five scraps and four of the background, alike "
      "from every side.",
      "Überliefert und oft der erste Block: fünf Stoffreste und viermal Hintergrund, von "
      "jeder Seite gleich." },
    { "Traditional: bands of small light and dark triangles that roll round squares of "
      "background.",
      "Überliefert: Bänder kleiner heller und dunkler Dreiecke, die um Quadrate aus "
      "Hintergrund rollen." },
    { "Traditional: many small diamonds, each of four blocks turned about a corner.",
      "Überliefert: viele kleine Rauten, jede aus vier Blöcken, die um eine Ecke gedreht "
      "sind." },
    { "Traditional: four vanes that turn one way; the mirror image is another block.",
      "Überliefert: vier Flügel, die sich in eine Richtung drehen; das Spiegelbild ist "
      "ein anderer Block." },
    { "A cross of one fabric in each block, with background in the corners and a narrow "
      "sash between.",
      "Ein Kreuz aus einem Stoff in jedem Block, Hintergrund in den Ecken und ein "
      "schmaler Zwischenstreifen." },
    { "Traditional, also called one patch: scraps beside scraps and nothing else.",
      "Überliefert: Stoffrest neben Stoffrest und sonst nichts." },
    { "Traditional: a nine patch with a large middle and small corners.",
      "Überliefert: ein Neunerblock mit großer Mitte und kleinen Ecken." },
    { "Traditional: three rails, light to dark, upright and lying by turns.",
      "Überliefert: drei Leisten von hell nach dunkel, abwechselnd stehend und "
      "liegend." },
    { "The Irish chain with the parts exchanged: chains of background over a field of "
      "scraps.",
      "Die irische Kette mit vertauschten Rollen: Ketten aus Hintergrund über einem Feld "
      "aus Stoffresten." },
    { "Traditional, also called evening star: eight points round a square of scraps.",
      "Überliefert, auch Abendstern: acht Zacken um ein Quadrat aus Stoffresten." },
    { "Traditional: rows of teeth on both edges of a strip, with plain rows between.",
      "Überliefert: Reihen von Zähnen an beiden Kanten eines Streifens, dazwischen "
      "glatte Reihen." },
    { "Traditional: a square of scrap between four triangles, set with plain blocks.",
      "Überliefert: ein Quadrat aus Stoffresten zwischen vier Dreiecken, im Wechsel mit "
      "glatten Blöcken." },
    { "Traditional: nine patches and plain blocks by turns, so that the scraps run in "
      "chains across the quilt. With odd numbers both ways all corners are alike.",
      "Überliefert: Neunerblöcke und glatte Blöcke im Wechsel, sodass die Stoffreste in "
      "Ketten über den Quilt laufen. Mit ungeraden Zahlen in beiden Richtungen sind alle "
      "Ecken gleich." },
    { "Traditional setting of light and dark halves: slanting bands like a ploughed "
      "field.",
      "Überlieferte Lage heller und dunkler Hälften: schräge Bänder wie ein gepflügtes "
      "Feld." },
    { "Traditional name for zigzags: a diagonal of background, turned in every second "
      "column.",
      "Überlieferter Name für Zickzack: eine Diagonale aus Hintergrund, in jeder zweiten "
      "Spalte gedreht." },
    { "Traditional: rings that go from dark to light and back, six to a round. Laid in "
      "quarters from the centre, with even numbers of blocks.",
      "Überliefert: Ringe, die von dunkel nach hell und zurück gehen, sechs in einer "
      "Runde. Wird in Vierteln von der Mitte aus gelegt, mit geraden Zahlen von "
      "Blöcken." },
    { "Traditional: rings of three values round the middle. Laid in quarters from the "
      "centre, with even numbers of blocks.",
      "Überliefert: Ringe in drei Helligkeiten um die Mitte. Wird in Vierteln von der "
      "Mitte aus gelegt, mit geraden Zahlen von Blöcken." },
    { "Traditional: blocks of forty-nine patches and open ones by turns; chains five "
      "wide.",
      "Überliefert: Blöcke aus neunundvierzig Flicken und offene im Wechsel; die Ketten "
      "sind fünf breit." },
};

static const pair kinds[] = {
    { "birds", "Vögel" },         { "chain", "Kette" },
    { "chase", "Jagd" },          { "churn", "Ring" },
    { "cross", "Kreuz" },         { "dishes", "Scherben" },
    { "double", "Doppelvierer" }, { "economy", "Quadrat im Quadrat" },
    { "fly", "Fliege" },          { "four", "Vierer" },
    { "geese", "Gänse" },         { "glass", "Sanduhr" },
    { "half", "Hälften" },        { "leaf", "Blatt" },
    { "nine", "Neuner" },         { "open", "offen" },
    { "plain", "einfach" },       { "plus", "Kreuz" },
    { "puss", "Pfote" },          { "rail", "Leisten" },
    { "rev", "Gegenstück" },      { "shade", "Schatten" },
    { "stamps", "Marken" },       { "star", "Stern" },
    { "stroke", "Strich" },       { "sun", "Sonne" },
    { "teeth", "Zähne" },         { "trip", "Reise" },
    { "wave", "Welle" },          { "weave", "Geflecht" },
    { "wheel", "Windrad" },
};

static const pair shades[] = {
    { "very dark ", "sehr dunkles " }, { "dark ", "dunkles " },
    { "pale ", "blasses " },           { "light ", "helles " },
    { "dusty ", "stumpfes " },         { "bright ", "leuchtendes " },
};

static const pair colours[] = {
    { "any square", "irgendein Quadrat" },
    { "white", "Weiß" },
    { "ivory", "Elfenbein" },
    { "off-white", "gebrochenes Weiß" },
    { "black", "Schwarz" },
    { "charcoal", "Anthrazit" },
    { "dark grey", "Dunkelgrau" },
    { "grey", "Grau" },
    { "light grey", "Hellgrau" },
    { "pale grey", "Blassgrau" },
    { "silver blue", "Silberblau" },
    { "slate", "Schiefer" },
    { "cream", "Creme" },
    { "beige", "Beige" },
    { "oatmeal", "Hafer" },
    { "taupe", "Taupe" },
    { "sand", "Sand" },
    { "tan", "Hellbraun" },
    { "khaki", "Khaki" },
    { "peach", "Pfirsich" },
    { "apricot", "Aprikose" },
    { "coral", "Koralle" },
    { "salmon", "Lachs" },
    { "blush", "Zartrosa" },
    { "rust", "Rost" },
    { "brick", "Ziegelrot" },
    { "burgundy", "Burgunder" },
    { "maroon", "Kastanie" },
    { "chocolate", "Schokolade" },
    { "brown", "Braun" },
    { "mustard", "Senf" },
    { "ochre", "Ocker" },
    { "gold", "Gold" },
    { "lemon", "Zitrone" },
    { "olive", "Oliv" },
    { "lime", "Limette" },
    { "sage", "Salbei" },
    { "moss", "Moos" },
    { "forest green", "Waldgrün" },
    { "mint", "Minze" },
    { "emerald", "Smaragd" },
    { "aqua", "Aqua" },
    { "turquoise", "Türkis" },
    { "sky blue", "Himmelblau" },
    { "powder blue", "Puderblau" },
    { "denim", "Jeansblau" },
    { "navy", "Marineblau" },
    { "royal blue", "Königsblau" },
    { "cobalt", "Kobalt" },
    { "indigo", "Indigo" },
    { "lavender", "Lavendel" },
    { "lilac", "Flieder" },
    { "plum", "Pflaume" },
    { "aubergine", "Aubergine" },
    { "mauve", "Malve" },
    { "fuchsia", "Fuchsia" },
    { "rose", "Rosenholz" },
    { "raspberry", "Himbeere" },
    { "pink", "Rosa" },
    { "red", "Rot" },
    { "orange", "Orange" },
    { "yellow", "Gelb" },
    { "yellow green", "Gelbgrün" },
    { "green", "Grün" },
    { "teal", "Petrol" },
    { "blue", "Blau" },
    { "purple", "Violett" },
    { "magenta", "Magenta" },
};

static const char *find(size_t count, const pair pairs[count], const char *english)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(pairs[i].english, english) == 0)
            return pairs[i].german;
    return NULL;
}

draw_language draw_language_of(const char *tag)
{
    return g_strcmp0(tag, "de") == 0 ? DRAW_GERMAN : DRAW_ENGLISH;
}

const char *draw_words_of(draw_language language, const char *text)
{
    if (language == DRAW_ENGLISH)
        return text;
    const char *german = find(G_N_ELEMENTS(sentences), sentences, text);
    if (german == NULL)
        german = find(G_N_ELEMENTS(kinds), kinds, text);
    if (german == NULL)
        german = find(G_N_ELEMENTS(designs), designs, text);
    return german != NULL ? german : text;
}

const char *draw_words(draw_language language, const char *english)
{
    return draw_words_of(language, english);
}

/* "dusty blue" */
static char *colour_in_words(const char *name)
{
    const char *whole = find(G_N_ELEMENTS(colours), colours, name);
    for (size_t i = 0; whole == NULL && i < G_N_ELEMENTS(shades); i++) {
        const char *hue =
            g_str_has_prefix(name, shades[i].english)
                ? find(G_N_ELEMENTS(colours), colours, name + strlen(shades[i].english))
                : NULL;
        if (hue != NULL)
            return g_strconcat(shades[i].german, hue, NULL);
    }
    return g_strdup(whole != NULL ? whole : name);
}

char *draw_fabric_words(draw_language language, const char *name)
{
    const char *number = strrchr(name, ' ');
    if (language == DRAW_GERMAN && strcmp(name, "any square") == 0)
        return colour_in_words(name);
    if (language == DRAW_ENGLISH || number == NULL || number[1] == '\0' ||
        number[1 + strspn(number + 1, "0123456789")] != '\0')
        return g_strdup(name);
    g_autofree char *colour = g_strndup(name, (gsize)(number - name));
    g_autofree char *told = colour_in_words(colour);
    return g_strconcat(told, number, NULL);
}

const char *draw_counted(draw_language language, int n, const char *one, const char *many,
                         char text[static DRAW_COUNTED_SIZE])
{
    g_snprintf(text, DRAW_COUNTED_SIZE, "%d %s", n,
               draw_words_of(language, n == 1 ? one : many));
    return text;
}

char *draw_day(draw_language language, int64_t at)
{
    static const char *const months[] = {
        DRAW_WORDS("January"), DRAW_WORDS("February"), DRAW_WORDS("March"),
        DRAW_WORDS("April"),   DRAW_WORDS("May"),      DRAW_WORDS("June"),
        DRAW_WORDS("July"),    DRAW_WORDS("August"),   DRAW_WORDS("September"),
        DRAW_WORDS("October"), DRAW_WORDS("November"), DRAW_WORDS("December"),
    };
    g_autoptr(GDateTime) day = g_date_time_new_from_unix_local(at);
    return g_strdup_printf(
        draw_words(language, "%d %s %d"), g_date_time_get_day_of_month(day),
        draw_words_of(language, months[g_date_time_get_month(day) - 1]),
        g_date_time_get_year(day));
}

/* ---- Lengths ---- */

/* From "6.4 cm" and "2 1/2 in": a comma, and the unit as German names it. */
static const char *in_language(draw_language language, char text[static LENGTH_TEXT_SIZE])
{
    static const pair units[] = { { " in", " Zoll" }, { " yd", " Yard" } };
    if (language == DRAW_ENGLISH)
        return text;
    g_strdelimit(text, ".", ',');
    for (size_t i = 0; i < G_N_ELEMENTS(units); i++)
        if (g_str_has_suffix(text, units[i].english)) {
            *strrchr(text, ' ') = '\0';
            g_strlcat(text, units[i].german, LENGTH_TEXT_SIZE);
        }
    return text;
}

const char *draw_length(draw_language language, length x, length_system system, int den,
                        char text[static LENGTH_TEXT_SIZE])
{
    length_text(x, system, den, text);
    return in_language(language, text);
}

const char *draw_unit(draw_language language, length x,
                      char text[static LENGTH_TEXT_SIZE])
{
    if (x % (LENGTH_INCH / 16) == 0 || x % LENGTH_MM != 0)
        return draw_length(language, x, LENGTH_INCHES, 64, text);
    g_snprintf(text, LENGTH_TEXT_SIZE, "%d mm", x / LENGTH_MM);
    return text;
}

const char *draw_length_yd_up(draw_language language, length x,
                              char text[static LENGTH_TEXT_SIZE])
{
    length_text_yd_up(x, text);
    return in_language(language, text);
}

const char *draw_length_m_up(draw_language language, length x,
                             char text[static LENGTH_TEXT_SIZE])
{
    length_text_m_up(x, text);
    return in_language(language, text);
}
