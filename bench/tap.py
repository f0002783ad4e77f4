#!/usr/bin/env python3
"""bench/tap.py MOTLEY BOOK: what a tap takes on a book of many years, whose every row is sealed.

Serves the book, which is changed and brought back by undo (give it a copy), and prints for each kind
of tap what the program computed (mean) and the answer's time: fastest, median and worst, in ms.
bench/book FILE --pictures makes a book of thirty years.
"""
import glob
import json
import os
import statistics
import sys
import time
import urllib.parse

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "tests", "trust"))
from program import Server  # noqa: E402

TIMES = 25


def computed_ms(process):
    """What its threads have computed so far: the same on a busy machine as on a quiet one."""
    return sum(int(open(path).read().split()[0]) for path in glob.glob(f"/proc/{process}/task/*/schedstat")) / 1e6


def measure(server, what, tap, back):
    times, computed = [], 0
    for turn in range(TIMES + 2):
        before, began = computed_ms(server.process.pid), time.perf_counter()
        status, document = server.ask(*tap)
        took = 1000 * (time.perf_counter() - began)
        if turn >= 2:
            times.append(took)
            computed += computed_ms(server.process.pid) - before
        assert status == 200, document
        status, document = server.ask(*back)
        assert status == 200, document
    print(f"| {what} | {computed / TIMES:.1f} | {min(times):.1f} | {statistics.median(times):.1f} | {max(times):.1f} |", flush=True)


def open_place(server, quilt):
    """A place of the quilt that is not crossed off yet, counted from 1."""
    document = server.ask("GET", "/api/quilts/" + urllib.parse.quote(quilt))[1]
    for row, places in enumerate(document["places"], 1):
        for column, place in enumerate(places, 1):
            if place.get("block") is None:
                return [row, column]
    return None


def main():
    began = time.perf_counter()
    server = Server(sys.argv[1], sys.argv[2])
    print(f"opened in {1000 * (time.perf_counter() - began):.0f} ms, load {os.getloadavg()[0]:.1f}\n")
    quilts = [one for one in server.ask("GET", "/api/quilts")[1]["quilts"] if one["left"] > 0 and one["state"] != "closed"]
    print("| tap | computing ms | fastest ms | median ms | worst ms |\n|---|---|---|---|---|")
    undo = ("POST", "/api/undo", {})
    measure(server, "ten squares into the basket", ("POST", "/api/basket/add", {"count": 10, "unit": "2in"}), undo)
    if quilts:
        quilt = min(quilts, key=lambda one: -one["left"])["quilt"]
        made = "/api/quilts/" + urllib.parse.quote(quilt) + "/made"
        place = open_place(server, quilt)
        if place:
            measure(server, "a block crossed off", ("POST", made, {"place": place}), undo)
    measure(server, "undo of squares", undo, ("POST", "/api/redo", {}))
    server.stop()


if __name__ == "__main__":
    main()
