#!/usr/bin/env python3
"""Holds the words on paper together: every sentence that a sheet writes has its German, every
German one is used and has the conversions of its English in the same order, and names that the
page translates too are called the same there.

usage: check_words.py SOURCE-ROOT
"""
import glob
import os
import re
import sys

LITERAL = r'"(?:[^"\\]|\\.)*"'
TEXT = rf"{LITERAL}(?:\s*{LITERAL})*"
CONVERSION = re.compile(r"%[-+#0]*\d*(?:\.\d+)?(?:hh|h|ll|l|z|j)?[diouxXeEfgGscp%]")
NAMING = ("src/quilt/block.c", "src/quilt/buy.c", "src/app/sew.c")  # files whose words a sheet looks up


def read(path):
    with open(path, encoding="utf-8") as file:
        return file.read()


def joined(text):
    """The value of C literals that stand beside each other."""
    parts = (one[1:-1] for one in re.findall(LITERAL, text))
    return "".join(parts).replace("\\n", "\n").replace('\\"', '"')


def table(source, name):
    body = re.search(rf"static const pair {name}\[\] = \{{(.*?)\n\}};", source, re.S)[1]
    return [(joined(a), joined(b)) for a, b in re.findall(rf"\{{\s*({TEXT}),\s*({TEXT})\s*\}}", body)]


def written(source):
    """The sentences that a file of C gives to the functions that look words up, and how many
    of its calls give none that can be read here."""
    texts = re.findall(rf"draw_words\([^,()]*,\s*({TEXT})\)", source)
    texts += re.findall(rf"DRAW_WORDS\(\s*({TEXT})\)", source)
    unread = len(re.findall(r"\b(?:draw_words|DRAW_WORDS)\(", source)) - len(texts)
    counted = re.findall(rf"draw_counted\([^\"]*?({LITERAL}),\s*({LITERAL})", source)
    unread += len(re.findall(r"\bdraw_counted\(", source)) - len(counted)
    return {joined(text) for text in texts + [word for pair in counted for word in pair]}, unread


def page_names(source, group):
    body = re.search(rf"\b{group}: \{{(.*?)\n  \}}", source, re.S)[1]
    pairs = re.findall(r"(?:'([^']+)'|(\w+)): '([^']+)'", body)
    return {quoted or bare: german for quoted, bare, german in pairs}


def about_of(design):
    return " ".join(re.search(r"^about\s+(.*(?:\n[ \t]+.*)*)", design, re.M)[1].split())


def main():
    root = sys.argv[1]
    words = read(os.path.join(root, "src/draw/words.c"))
    page = read(os.path.join(root, "ui/text/colours-de.js"))
    pairs = table(words, "sentences")
    german = dict(pairs)
    wanted, odd = set(), []
    for path in glob.glob(os.path.join(root, "src/**/*.c"), recursive=True):
        texts, unread = written(read(path))
        wanted |= texts
        if unread > 0 and not path.endswith("draw/words.c"):  # which defines these functions
            odd.append(path)
    named = {joined(text) for path in NAMING for text in re.findall(LITERAL, read(os.path.join(root, path)))}

    results = [
        (f"every call gives its sentence as it is {' '.join(odd)}", len(wanted) > 100 and not odd),
        ("no sentence stands twice", len(pairs) == len(german)),
    ]
    results += [(f"has its German: {text}", text in german) for text in sorted(wanted)]
    results += [(f"is used: {text}", text in wanted or text in named) for text in german]
    results += [(f"conversions agree: {english}", CONVERSION.findall(english) == CONVERSION.findall(text))
                for english, text in pairs]
    for name, group in (("kinds", "kinds"), ("shades", "how"), ("colours", "words")):
        results.append((f"{name} are those of the page", dict(table(words, name)) == page_names(page, group)))
    told = read(os.path.join(root, "ui/text/designs-de.js"))
    told = {quoted or bare: text for quoted, bare, text in re.findall(r"^  (?:'([^']+)'|(\w+)): '([^']+)'", told, re.M)}
    abouts = {about_of(read(os.path.join(root, "designs", f"{name}.design"))): text for name, text in told.items()}
    results.append(("designs are told as on the page", len(abouts) > 0 and dict(table(words, "designs")) == abouts))
    print(f"1..{len(results)}")
    for number, (what, good) in enumerate(results, 1):
        print(f"{'ok' if good else 'not ok'} {number} - {' '.join(what.replace('#', '').split())}")


main()
