#!/usr/bin/env python3
"""Makes the fonts of the sheets and of the page from the npm package that MANIFEST names.

usage: make_fonts.py PACKAGE.tgz     (needs fonttools and brotli)

The package ships each weight as a Latin and a Latin Extended file. They are merged into
one face, because pango wants one file that has all letters of a word. The merged face
gets a family name of its own: a machine that has another version of the family must not
print with that one.
"""
import hashlib
import io
import os
import sys
import tarfile

from fontTools.merge import Merger
from fontTools.ttLib import TTFont

FAMILY = "Motley Hyperlegible"
WEIGHTS = {400: "Regular", 700: "Bold"}
HERE = os.path.dirname(os.path.abspath(__file__))
PAGE = os.path.join(HERE, "..", "..", "..", "ui", "fonts")


def sha256(path):
    with open(path, "rb") as file:
        return hashlib.sha256(file.read()).hexdigest()


def main():
    package = sys.argv[1]
    made = []
    with tarfile.open(package) as tar:
        def member(name):
            return io.BytesIO(tar.extractfile("package/" + name).read())

        for weight, style in WEIGHTS.items():
            parts = []
            for subset in ("latin", "latin-ext"):
                font = TTFont(member(f"files/atkinson-hyperlegible-next-{subset}-{weight}-normal.woff2"))
                font.flavor = None
                part = io.BytesIO()
                font.save(part)
                part.seek(0)
                parts.append(part)
            font = Merger().merge(parts)
            font.recalcTimestamp = False
            font["head"].modified = font["head"].created
            names = font["name"]
            for ident, text in ((1, FAMILY), (2, style), (3, f"{FAMILY} {style}"), (4, f"{FAMILY} {style}"),
                                (6, f"MotleyHyperlegible-{style}"), (16, FAMILY), (17, style)):
                names.removeNames(nameID=ident)
                names.setName(text, ident, 3, 1, 0x409)
            stem = f"hyperlegible-{weight}"
            ttf = os.path.join(HERE, stem + ".ttf")
            font.save(ttf)
            font.flavor = "woff2"
            woff2 = os.path.join(PAGE, stem + ".woff2")
            font.save(woff2)
            made += [ttf, woff2]
        with open(os.path.join(HERE, "OFL.txt"), "wb") as file:
            file.write(member("LICENSE").read())
        with open(os.path.join(PAGE, "OFL.txt"), "wb") as file:
            file.write(member("LICENSE").read())
    made.append(os.path.join(HERE, "OFL.txt"))
    made.append(os.path.join(PAGE, "OFL.txt"))
    root = os.path.join(HERE, "..", "..", "..")
    with open(os.path.join(HERE, "MANIFEST"), "w", encoding="utf-8") as file:
        file.write("# Fonts of the sheets and of the page: where from, and what make_fonts.py made of it.\n"
                   "# Family Atkinson Hyperlegible Next 2.001, SIL Open Font License 1.1 (OFL.txt).\n"
                   "package @fontsource/atkinson-hyperlegible-next 5.3.0\n"
                   f"package-sha256 {sha256(package)}\n")
        for path in made:
            file.write(f"{sha256(path)}  {os.path.relpath(path, root)}\n")


main()
