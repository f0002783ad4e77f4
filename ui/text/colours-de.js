// German for the names that the program gives: to colours (src/colour/name.c), whose hues go
// with the word for how light or dull they are in front, and to the kinds of blocks of the catalogue.
export default {
  kinds: {
    birds: 'Vögel', chain: 'Kette', chase: 'Jagd', churn: 'Ring', cross: 'Kreuz', dishes: 'Scherben', double: 'Doppelvierer',
    economy: 'Quadrat im Quadrat', fly: 'Fliege', four: 'Vierer', geese: 'Gänse', glass: 'Sanduhr', half: 'Hälften', leaf: 'Blatt',
    nine: 'Neuner', open: 'offen', plain: 'einfach', plus: 'Kreuz', puss: 'Pfote', rail: 'Leisten', rev: 'Gegenstück', shade: 'Schatten',
    stamps: 'Marken', star: 'Stern', stroke: 'Strich', sun: 'Sonne', teeth: 'Zähne', trip: 'Reise', wave: 'Welle', weave: 'Geflecht',
    wheel: 'Windrad',
  },
  how: {
    'very dark ': 'sehr dunkles ', 'dark ': 'dunkles ', 'pale ': 'blasses ', 'light ': 'helles ', 'dusty ': 'stumpfes ', 'bright ': 'leuchtendes ',
  },
  greenish: 'grünlich',
  words: {
    'any square': 'irgendein Quadrat',
    white: 'Weiß', ivory: 'Elfenbein', 'off-white': 'gebrochenes Weiß', black: 'Schwarz', charcoal: 'Anthrazit',
    'dark grey': 'Dunkelgrau', grey: 'Grau', 'light grey': 'Hellgrau', 'pale grey': 'Blassgrau', 'silver blue': 'Silberblau', slate: 'Schiefer',
    cream: 'Creme', beige: 'Beige', oatmeal: 'Hafer', taupe: 'Taupe', sand: 'Sand', tan: 'Hellbraun', khaki: 'Khaki', peach: 'Pfirsich',
    apricot: 'Aprikose', coral: 'Koralle', salmon: 'Lachs', blush: 'Zartrosa', rust: 'Rost', brick: 'Ziegelrot', burgundy: 'Burgunder',
    maroon: 'Kastanie', chocolate: 'Schokolade', brown: 'Braun', mustard: 'Senf', ochre: 'Ocker', gold: 'Gold', lemon: 'Zitrone', olive: 'Oliv',
    lime: 'Limette', sage: 'Salbei', moss: 'Moos', 'forest green': 'Waldgrün', mint: 'Minze', emerald: 'Smaragd', aqua: 'Aqua',
    turquoise: 'Türkis', 'sky blue': 'Himmelblau', 'powder blue': 'Puderblau', denim: 'Jeansblau', navy: 'Marineblau',
    'royal blue': 'Königsblau', cobalt: 'Kobalt', indigo: 'Indigo', lavender: 'Lavendel', lilac: 'Flieder', plum: 'Pflaume',
    aubergine: 'Aubergine', mauve: 'Malve', fuchsia: 'Fuchsia', rose: 'Rosenholz', raspberry: 'Himbeere', pink: 'Rosa', red: 'Rot',
    orange: 'Orange', yellow: 'Gelb', 'yellow green': 'Gelbgrün', green: 'Grün', teal: 'Petrol', blue: 'Blau', purple: 'Violett', magenta: 'Magenta',
  },
};
