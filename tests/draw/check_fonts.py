#!/usr/bin/env python3
"""Holds the vendored fonts to src/draw/fonts/MANIFEST.

usage: check_fonts.py SOURCE-ROOT
"""
import hashlib
import os
import sys


def main():
    root = sys.argv[1]
    listed = {}
    with open(os.path.join(root, "src/draw/fonts/MANIFEST"), encoding="utf-8") as file:
        for line in file:
            words = line.split()
            if len(words) == 2 and len(words[0]) == 64:
                listed[words[1]] = words[0]
    results = []
    for path, want in sorted(listed.items()):
        with open(os.path.join(root, path), "rb") as file:
            results.append((f"{path} is the listed one", hashlib.sha256(file.read()).hexdigest() == want))
    for folder in ("src/draw/fonts", "ui/fonts"):
        for name in sorted(os.listdir(os.path.join(root, folder))):
            if name.endswith((".ttf", ".woff2")):
                results.append((f"{folder}/{name} is listed", f"{folder}/{name}" in listed))
        with open(os.path.join(root, folder, "OFL.txt"), encoding="utf-8") as file:
            results.append((f"{folder} has its licence", "SIL OPEN FONT LICENSE Version 1.1" in file.read()))
    print(f"1..{len(results)}")
    for number, (what, good) in enumerate(results, 1):
        print(f"{'ok' if good else 'not ok'} {number} - {what}")


main()
