// German for the settings.

export default {
  'demo.long': 'Dieses Buch ist ein erfundenes Beispiel. Die Näherin, die Quilts, die Stoffe und alle Zahlen hat sich das Programm ausgedacht, damit sich alles ausprobieren lässt und nichts kaputtgehen kann.',

  'undo.none': 'Es gibt nichts zurückzunehmen.',

  'settings.unit': 'Einheit, in der Quadrate geschnitten werden',
  'settings.unit.says': 'Etwa 2 1/2 in oder 60 mm. Neue Quilts und neue Schnitte richten sich danach; was im Korb ist, bleibt, wie es geschnitten wurde.',
  'settings.seam': 'Nahtzugabe',
  'settings.seam.says': 'Etwa 1/4 in oder 7,5 mm.',
  'settings.card_line': 'Die Linie von 100 mm misst',
  'settings.card_line.says': 'Falls der Drucker die Größe verändert hat: ein Lineal an die Linie der Karte legen und eintragen, was es zeigt.',
  'settings.width_of_fabric': 'Breite des gekauften Stoffs',
  'settings.width_of_fabric.says': 'Die nutzbare Breite zwischen den Webkanten.',
  'settings.system': 'Längen erscheinen in',
  'settings.system.inches': 'Zoll',
  'settings.system.metric': 'Zentimetern',
  'settings.language': 'Sprache',
  'settings.paper': 'Papier im Drucker',
  'card.title': 'Die Messkarte',
  'card.1': 'In voller Größe drucken: „100 %“ oder „Originalgröße“ wählen, nicht „an Seite anpassen“.',
  'card.2': 'Die Linie darauf mit dem Lineal nachmessen. Stimmt sie nicht, hat der Drucker die Größe verändert: noch einmal drucken.',
  'card.3': 'Auf Pappe kleben, damit die Karte flach zwischen den Stoffresten liegt, alle vier Ecken im Bild.',
  'about.title': 'Über dieses Buch',
  'about.book': 'Datei',
  'about.unit': 'Einheit',
  'about.version': 'Motley',
  'about.mine': 'Alles steht in dieser einen Datei. Sie lässt sich kopieren, aufheben und mitnehmen. Nichts verlässt diesen Rechner.',
};
