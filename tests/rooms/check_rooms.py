#!/usr/bin/env python3
"""Holds the rooms of src/ to their arrows, and compiles every public header alone.

usage: check_rooms.py SOURCE-ROOT CC...
"""
import os
import re
import subprocess
import sys
import tempfile

# Each room and those that it may include; docs/architecture.md draws them.
MAY_USE = {
    "base": [],
    "colour": ["base"],
    "quilt": ["base", "colour"],
    "scrap": ["base", "colour", "quilt"],
    "plan": ["base", "colour", "quilt", "scrap"],
    "photo": ["base", "colour", "quilt", "scrap", "plan"],
    "draw": ["base", "colour", "quilt", "scrap", "plan"],
    "store": ["base", "colour", "quilt", "scrap", "plan"],
    "app": ["base", "colour", "quilt", "scrap", "plan", "photo", "draw", "store"],
    "web": ["base", "app"],
    "cli": ["base", "app"],
}
PACKAGES = "glib-2.0 gio-2.0 jansson sqlite3 vips cairo pango libmicrohttpd"
INCLUDE = re.compile(r'^\s*#\s*include\s+"([a-z]+)/([a-z0-9-]+)\.h"', re.M)


def flags():
    out = []
    for package in PACKAGES.split():
        found = subprocess.run(["pkg-config", "--cflags", package], capture_output=True, text=True)
        if found.returncode == 0:
            out += found.stdout.split()
    return out


def wrong_arrows(path, room):
    with open(path, encoding="utf-8") as file:
        for other, header in INCLUDE.findall(file.read()):
            if other == room:
                continue
            if other not in MAY_USE[room]:
                yield f"{room} may not use {other}"
            if header.endswith("-internal"):
                yield f"{other}/{header}.h is for {other} alone"


def main():
    root, cc = sys.argv[1], sys.argv[2:]
    src = os.path.join(root, "src")
    cflags = flags()
    results = []
    for room in sorted(os.listdir(src)):
        folder = os.path.join(src, room)
        if not os.path.isdir(folder):
            continue
        if room not in MAY_USE:
            results.append((f"{room} is a room", ["no such room in check_rooms.py"]))
            continue
        for name in sorted(os.listdir(folder)):
            path = os.path.join(folder, name)
            if name.endswith((".c", ".h")):
                results.append((f"arrows of {room}/{name}", list(wrong_arrows(path, room))))
            if name.endswith(".h") and not name.endswith("-internal.h"):
                with tempfile.NamedTemporaryFile("w", suffix=".c") as source:
                    source.write(f'#include "{room}/{name}"\n#include "{room}/{name}"\n')
                    source.flush()
                    done = subprocess.run(
                        [*cc, "-std=gnu17", "-D_GNU_SOURCE", "-Wall", "-Wextra", "-Werror", "-fsyntax-only",
                         "-I", src, *cflags, source.name], capture_output=True, text=True)
                results.append((f"{room}/{name} compiles alone", done.stderr.splitlines()))
    print(f"1..{len(results)}")
    for number, (what, complaints) in enumerate(results, 1):
        print(f"{'not ok' if complaints else 'ok'} {number} - {what}")
        for line in complaints:
            print(f"# {line}")
    return 0


sys.exit(main())
