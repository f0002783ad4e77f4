#!/usr/bin/env python3
"""Many hands at once: processes that change one book through the server and through commands.

usage: check_hands.py MOTLEY CHANGES

Eight processes make so many changes each, every other process by the command line. Squares are
put in and taken out, so the sum of the ledger is known beforehand.
"""
import multiprocessing
import os
import sys
import tempfile

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from program import Server, Tap, command  # noqa: E402

MOTLEY, CHANGES = os.path.abspath(sys.argv[1]), int(sys.argv[2])
HANDS = 8


def count_of(hand, change):
    """Squares that this change puts in; every third takes out two."""
    return -2 if change % 3 == 2 else 3 + hand


def one_hand(hand, book, server, faults):
    for change in range(CHANGES):
        count = count_of(hand, change)
        what = "add" if count > 0 else "take"
        if hand % 2 == 0:
            status, document = server.ask("POST", f"/api/basket/{what}", {"count": abs(count), "unit": "2in"})
            fault = "" if status == 200 else f"{status} {document}"
        else:
            code, _, error = command(MOTLEY, book, "basket", what, "--count", str(abs(count)), "--unit", "2in")
            fault = "" if code == 0 else error
        if fault:
            faults.put(f"hand {hand}, change {change}: {fault}")


def main():
    tap = Tap()
    with tempfile.TemporaryDirectory() as folder:
        book = os.path.join(folder, "hands.book")
        server = Server(MOTLEY, book)
        faults = multiprocessing.Queue()
        hands = [multiprocessing.Process(target=one_hand, args=(hand, book, server, faults)) for hand in range(HANDS)]
        for hand in hands:
            hand.start()
        for hand in hands:
            hand.join()
        tap.told(f"{HANDS} processes made {CHANGES} changes each", None if faults.empty() else faults.get())
        wanted = sum(count_of(hand, change) for hand in range(HANDS) for change in range(CHANGES))
        found = server.ask("GET", "/api/basket")[1]["squares"]
        tap.told(f"the ledger's sum is {wanted}", None if found == wanted else f"it is {found}")
        server.stop()
        code, _, error = command(MOTLEY, book, "check")
        tap.told("the book is sound", None if code == 0 else error)
        undone = 0
        while undone < HANDS * CHANGES + 1 and command(MOTLEY, book, "undo")[0] == 0:
            undone += 1
            if undone == min(HANDS * CHANGES, 40):
                break
        left = command(MOTLEY, book, "basket")[1]["squares"]
        # Undo takes changes back in the order in which they were made, whoever made them.
        tap.told("undo takes them back one by one", None if undone == min(HANDS * CHANGES, 40) and left != wanted
                 else f"{undone} undone, {left} squares left")
    return tap.end()


sys.exit(main())
