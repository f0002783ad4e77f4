#!/usr/bin/env python3
"""Writes the designs of the catalogue as a C table, sorted by name.

usage: catalogue.py OUTPUT.c DESIGN...
"""
import os
import sys


def quoted(text):
    lines = text.decode("utf-8").splitlines(keepends=True)
    return "\n".join('      "%s"' % line.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
                     for line in lines)


def main():
    output, paths = sys.argv[1], sys.argv[2:]
    names = {os.path.splitext(os.path.basename(path))[0]: path for path in paths}
    with open(output, "w", encoding="utf-8") as out:
        out.write('#include "quilt/catalogue-internal.h"\n\n')
        out.write("const quilt_catalogue_entry quilt_catalogue_table[] = {\n")
        for name in sorted(names):
            with open(names[name], "rb") as file:
                text = file.read()
            out.write('    { "%s", %d,\n%s },\n' % (name, len(text), quoted(text)))
        out.write("};\n\nconst int quilt_catalogue_size = %d;\n" % len(names))


main()
