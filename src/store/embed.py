#!/usr/bin/env python3
"""Writes a text file as a C string: embed.py IN OUT NAME."""
import sys

source, target, name = sys.argv[1:]
with open(source, encoding="utf-8") as text, open(target, "w", encoding="utf-8") as out:
    out.write(f"static const char {name}[] =\n")
    for line in text:
        line = line.rstrip("\n").replace("\\", "\\\\").replace('"', '\\"')
        out.write(f'    "{line}\\n"\n')
    out.write("    ;\n")
