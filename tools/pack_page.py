#!/usr/bin/env python3
"""Packs the page and its description into one C source, so that the program is one file.

usage: pack_page.py UI-FOLDER OPENAPI.json WORK-FOLDER OUT.c OUT.d

Every file below UI-FOLDER is packed but hidden ones and node_modules; a file that gzip
makes smaller by a tenth is packed a second time as NAME.gz. OUT.d names all that was
read, folders too, so that a new file is packed by the next build without an edit.
"""
import gzip
import os
import subprocess
import sys
from xml.sax.saxutils import escape, quoteattr

TEXT = (".html", ".js", ".mjs", ".css", ".svg", ".json", ".webmanifest", ".txt")


def files_of(folder):
    """Yields the folders walked and the files found, as (is folder, path)."""
    for root, folders, names in os.walk(folder):
        folders[:] = sorted(f for f in folders if not f.startswith(".") and f != "node_modules")
        yield True, root
        for name in sorted(names):
            if not name.startswith("."):
                yield False, os.path.join(root, name)


def pack(path, alias, work, rows):
    rows.append((alias, path))
    if not path.endswith(TEXT):
        return
    with open(path, "rb") as file:
        plain = file.read()
    packed = gzip.compress(plain, 9, mtime=0)
    if len(packed) >= 0.9 * len(plain):
        return
    target = os.path.join(work, alias + ".gz")
    os.makedirs(os.path.dirname(target), exist_ok=True)
    with open(target, "wb") as file:
        file.write(packed)
    rows.append((alias + ".gz", target))


def main():
    ui, openapi, work, out, depfile = sys.argv[1:]
    os.makedirs(work, exist_ok=True)
    rows, read = [], [os.path.abspath(__file__)]
    for is_folder, path in files_of(ui):
        read.append(path)
        if not is_folder:
            pack(path, os.path.relpath(path, ui), work, rows)
    pack(openapi, "openapi.json", work, rows)
    read.append(openapi)

    listing = os.path.join(work, "page.gresource.xml")
    with open(listing, "w", encoding="utf-8") as file:
        file.write('<gresources><gresource prefix="/page">\n')
        for alias, path in rows:
            file.write(f"<file alias={quoteattr(alias)}>{escape(os.path.abspath(path))}</file>\n")
        file.write("</gresource></gresources>\n")
    subprocess.run(["glib-compile-resources", "--sourcedir=/", "--generate-source", "--internal",
                    "--c-name=web_page", "--target=" + out, listing], check=True)
    with open(depfile, "w", encoding="utf-8") as file:
        file.write(out + ": " + " ".join(p.replace(" ", "\\ ") for p in read) + "\n")


main()
