// English for the settings.

export default {
  'demo.long': 'This book is an invented example. The maker, the quilts, the fabrics and every figure are made up by the program, so that you can try everything and break nothing.',

  'undo.none': 'There is nothing to take back.',

  'settings.unit': 'Unit that squares are cut to',
  'settings.unit.says': 'Such as 2 1/2 in or 60 mm. New quilts and new cuts use it; what is in the basket stays as it was cut.',
  'settings.seam': 'Seam allowance',
  'settings.seam.says': 'Such as 1/4 in or 7.5 mm.',
  'settings.card_line': 'The 100 mm line measures',
  'settings.card_line.says': 'If your printer changed the size: lay a ruler on the line of the card and write what you read.',
  'settings.width_of_fabric': 'Width of fabric you buy',
  'settings.width_of_fabric.says': 'The width that can be used, between the edges.',
  'settings.system': 'Lengths are shown in',
  'settings.system.inches': 'inches',
  'settings.system.metric': 'centimetres',
  'settings.language': 'Language',
  'settings.paper': 'Paper in your printer',
  'card.title': 'The measuring card',
  'card.1': 'Print it at full size: choose “100 %” or “actual size”, not “fit to page”.',
  'card.2': 'Measure the line on it with your ruler. If it is off, the printer has scaled it: print it again.',
  'card.3': 'Glue it to cardboard so that it lies flat among the scraps, all four corners in view.',
  'about.title': 'About this book',
  'about.book': 'File',
  'about.unit': 'Unit',
  'about.version': 'Motley',
  'about.mine': 'Everything is in this one file. It is yours: copy it, keep it, take it along. Nothing leaves this machine.',
};
