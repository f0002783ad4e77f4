#!/usr/bin/env python3
"""A disk that fills up while the program serves: what is full is said, nothing is lost.

usage: check_full_disk.py MOTLEY

No file of the program may grow past a limit (prlimit --fsize), which to it is a full disk. The
limit is lifted again while it runs, as someone makes room.
"""
import os
import shutil
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from program import Server, Tap, command  # noqa: E402

MOTLEY = os.path.abspath(sys.argv[1])
ROOM = 64 * 1024  # above what the book takes when it is new
MOST = 2000


def main():
    tap = Tap()
    if shutil.which("prlimit") is None:
        print("1..0 # SKIP no prlimit here")
        return 0
    with tempfile.TemporaryDirectory() as folder:
        book = os.path.join(folder, "full.book")
        command(MOTLEY, book, "basket", "add", "--count", "1", "--unit", "2in")
        limit = os.path.getsize(book) + ROOM
        server = Server(MOTLEY, book, ["prlimit", f"--fsize={limit}:unlimited"])
        kept, status, document = 1, 200, None
        for _ in range(MOST):
            status, document = server.ask("POST", "/api/basket/add", {"count": 1, "unit": "2in"})
            if status != 200:
                break
            kept += 1
        tap.told("a full disk is answered with 507", None if status == 507 else f"{status} after {kept}: {document}")
        error = (document or {}).get("error", {})
        tap.told("with a code, and how to mend it",
                 None if error.get("code") == "store.full" and error.get("hint") else f"{document}")
        status, document = server.ask("GET", "/api/basket")
        tap.told("reading goes on, and all that was said to be saved is there",
                 None if status == 200 and document["squares"] == kept else f"{status}, {document} of {kept}")
        subprocess.run(["prlimit", f"--pid={server.process.pid}", "--fsize=unlimited"], check=True)
        status, document = server.ask("POST", "/api/basket/add", {"count": 1, "unit": "2in"})
        tap.told("with room again, work goes on", None if status == 200 else f"{status} {document}")
        server.stop()
        squares = command(MOTLEY, book, "basket")[1]["squares"]
        code, _, error = command(MOTLEY, book, "check")
        tap.told("the book is sound and whole",
                 None if code == 0 and squares == kept + 1 else f"{squares} of {kept + 1} squares; {error}")
    return tap.end()


sys.exit(main())
