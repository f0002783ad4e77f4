#!/usr/bin/env python3
"""Runs the tours of the documentation and holds what is printed to what is written there.

usage: check_tour.py MOTLEY SOURCE-ROOT [--update]

A tour is a block ```console of a document: lines that begin with "$ " are commands, the
lines after them what they print; a line "..." stands for any lines, "..." at the end of a
line for the rest of it. Each document has a
folder and a book of its own, with the test photo as scraps.jpg. --update writes what is
printed now into the documents, to be looked over before it is committed.
"""
import os
import re
import shutil
import subprocess
import sys
import tempfile

DOCUMENTS = ["README.md", "docs/mending.md", "docs/taking-out.md"]
PHOTO = "tests/photos/scraps-1.jpg"
BLOCK = re.compile(r"```console\n(.*?)```", re.S)


def steps(block):
    """The commands of a block, each with the lines that it shall print."""
    for step in re.split(r"^\$ ", block, flags=re.M)[1:]:
        command, _, output = step.partition("\n")
        yield command, output


def run(command, program, folder):
    environment = dict(os.environ, XDG_DATA_HOME=os.path.join(folder, "data"), TZ="UTC", LC_ALL="C.UTF-8",
                       PATH=os.path.dirname(program) + ":" + os.environ["PATH"])
    done = subprocess.run(command, shell=True, cwd=folder, env=environment, text=True,
                          stdout=subprocess.PIPE, stderr=subprocess.STDOUT, timeout=120)
    return done.stdout


def matches(want, got):
    def line_pattern(line):
        if line == "...":
            return r"(?:.*\n)*"
        if line.endswith("..."):
            return re.escape(line[:-3]) + r".*\n"
        return re.escape(line) + r"\n"

    pattern = "".join(line_pattern(line) for line in want.splitlines())
    return re.fullmatch(pattern, got) is not None


def main():
    program, root = os.path.abspath(sys.argv[1]), sys.argv[2]
    update = "--update" in sys.argv[3:]
    number = 0
    for name in DOCUMENTS:
        path = os.path.join(root, name)
        with open(path, encoding="utf-8") as file:
            text = file.read()
        with tempfile.TemporaryDirectory() as folder:
            shutil.copy(os.path.join(root, PHOTO), os.path.join(folder, "scraps.jpg"))
            for block in BLOCK.findall(text):
                written = ""
                for command, want in steps(block):
                    got = run(command, program, folder)
                    number += 1
                    right = matches(want, got)
                    print(f"{'ok' if right else 'not ok'} {number} - {name}: {command}")
                    if not right:
                        for line in got.splitlines():
                            print(f"# {line}")
                    written += f"$ {command}\n" + (want if right else got)
                text = text.replace(block, written)
        if update:
            with open(path, "w", encoding="utf-8") as file:
                file.write(text)
    print(f"1..{number}")
    return 0


sys.exit(main())
