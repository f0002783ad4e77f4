#!/usr/bin/env python3
"""Makes the fonts of the sheets and of the page from the npm package that MANIFEST names.

usage: make_fonts.py PACKAGE.tgz     (needs fonttools and brotli)

The family has halves and quarters only, and a maker's lengths come in eighths and finer.
So its figures are made small, from a heavier weight that keeps their strokes as thick,
and put at the places of numerators and denominators in Unicode, with a narrow fraction
slash that goes between them; eighths are put together as glyphs of their own. The face
gets a family name of its own: it is a changed one, and a machine that has another version
of the family must not print with that one.
"""
import hashlib
import io
import os
import sys
import tarfile

from fontTools.misc.transform import Transform
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont

FAMILY = "Motley Hyperlegible"
# Weight, style, file, file of the weight whose figures are made small.
FACES = [(400, "Regular", "400Regular", "600SemiBold"), (700, "Bold", "700Bold", "800ExtraBold")]
HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.normpath(os.path.join(HERE, "..", "..", ".."))
PAGE = os.path.join(ROOT, "ui", "fonts")
FIGURES = "zero one two three four five six seven eight nine".split()
NUMERATORS = [0x2070, 0xB9, 0xB2, 0xB3, 0x2074, 0x2075, 0x2076, 0x2077, 0x2078, 0x2079]
DENOMINATORS = range(0x2080, 0x208A)
SMALL = 0.58  # as in the family's own one half
EIGHTHS = {0x215B: 1, 0x215C: 3, 0x215D: 5, 0x215E: 7}
SLASH = 0x2044


def sha256(path):
    with open(path, "rb") as file:
        return hashlib.sha256(file.read()).hexdigest()


def drawn(parts):
    """A glyph of outlines moved and scaled: [(glyph set, name, transform)]."""
    pen = TTGlyphPen(None)
    for glyphs, name, transform in parts:
        record = DecomposingRecordingPen(glyphs)
        glyphs[name].draw(record)
        record.replay(TransformPen(pen, transform))
    return pen.glyph()


def add(font, code, glyph, advance):
    """Puts a glyph at a code, in place of one that is there."""
    name = f"uni{code:04X}"
    if name not in font.getGlyphOrder():
        font.setGlyphOrder(font.getGlyphOrder() + [name])
    font["glyf"][name] = glyph
    glyph.recalcBounds(font["glyf"])
    font["hmtx"][name] = (round(advance), getattr(glyph, "xMin", 0))
    for table in font["cmap"].tables:
        if table.isUnicode():
            table.cmap[code] = name


def add_fractions(font, heavy):
    own, heavier = font.getGlyphSet(), heavy.getGlyphSet()
    high = font["OS/2"].sCapHeight
    up = high * (1 - SMALL)
    slash = font.getBestCmap()[SLASH]
    squeezed = 0.6
    outline = font["glyf"][slash]
    wide = (outline.xMax - outline.xMin) * squeezed
    inset = 0.25 * wide  # how far figures reach over the leaning slash on either side

    def small(figure, dx, dy):
        return heavier, FIGURES[figure], Transform(SMALL, 0, 0, SMALL, dx, dy)

    def across(figure):
        return heavier[FIGURES[figure]].width * SMALL

    def leaning(dx):
        return own, slash, Transform(squeezed, 0, 0, 1, dx - outline.xMin * squeezed, 0)

    new = []
    for figure in range(10):
        new.append((NUMERATORS[figure], drawn([small(figure, 0, up)]), across(figure)))
        new.append((DENOMINATORS[figure], drawn([small(figure, 0, 0)]), across(figure)))
    for code, figure in EIGHTHS.items():
        slash_at = across(figure) - inset
        eight_at = slash_at + wide - inset
        new.append((code, drawn([small(figure, 0, up), leaning(slash_at), small(8, eight_at, 0)]),
                    eight_at + across(8)))
    # Last, since the others are drawn from the slash as it was.
    new.append((SLASH, drawn([leaning(-inset)]), wide - 2 * inset))
    for code, glyph, advance in new:
        add(font, code, glyph, advance)


def rename(font, style):
    names = font["name"]
    for ident, text in ((1, FAMILY), (2, style), (3, f"{FAMILY} {style}"), (4, f"{FAMILY} {style}"),
                        (6, f"MotleyHyperlegible-{style}"), (16, FAMILY), (17, style)):
        names.removeNames(nameID=ident)
        names.setName(text, ident, 3, 1, 0x409)


def main():
    package, made = sys.argv[1], []
    with tarfile.open(package) as tar:
        def read(name):
            return tar.extractfile("package/" + name).read()

        def face(name):
            return TTFont(io.BytesIO(read(f"{name}/AtkinsonHyperlegibleNext_{name}.ttf")))

        for weight, style, file, heavier in FACES:
            font = face(file)
            font.recalcTimestamp = False
            add_fractions(font, face(heavier))
            rename(font, style)
            for path, flavor in ((os.path.join(HERE, f"hyperlegible-{weight}.ttf"), None),
                                 (os.path.join(PAGE, f"hyperlegible-{weight}.woff2"), "woff2")):
                font.flavor = flavor
                font.save(path)
                made.append(path)
        for folder in (HERE, PAGE):
            path = os.path.join(folder, "OFL.txt")
            with open(path, "wb") as file:
                file.write(read("LICENSE_FONT"))
            made.append(path)
    with open(os.path.join(HERE, "MANIFEST"), "w", encoding="utf-8") as file:
        file.write("# Fonts of the sheets and of the page: where from, and what make_fonts.py made of it.\n"
                   "# Family Atkinson Hyperlegible Next 2.001, SIL Open Font License 1.1 (OFL.txt).\n"
                   "package @expo-google-fonts/atkinson-hyperlegible-next 0.4.1\n"
                   f"package-sha256 {sha256(package)}\n")
        for path in made:
            file.write(f"{sha256(path)}  {os.path.relpath(path, ROOT)}\n")


main()
