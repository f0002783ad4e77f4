#!/usr/bin/env python3
"""bench/crowd.py MOTLEY [BOOK]: a good client beside 64 slow ones.

Serves BOOK (or an empty one) on a free port, measures a good client alone, then beside 64 that drip
headers, drip a body, rest half-way through a line or never read their answer, and come again when
they are cut off. Prints the good client's answers and how the server's memory grew.
"""
import os, socket, subprocess, sys, tempfile, threading, time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "tests", "trust"))
from program import claim  # noqa: E402

SLOW, ASKED = 64, 400
KINDS = [
    (b"GET /api/basket HTTP/1.1\r\nHost: localhost\r\n", b"X-Slow: yes\r\n"),
    (b"POST /api/basket/add HTTP/1.1\r\nHost: localhost\r\nCOOKIEContent-Type: application/json\r\n"
     b"Content-Length: 100000\r\n\r\n", b" "),
    (b"GET /api/bas", b""),
    (b"GET /api/designs HTTP/1.1\r\nHost: localhost\r\nCOOKIE\r\n" * 20, b""),
]


cookie = b""  # all are let in: who is not is answered at once


def with_cookie(request):
    return request.replace(b"COOKIE", b"Cookie: " + cookie + b"\r\n")


def slow(port, kind, stop):
    start, drop = KINDS[kind]
    start = with_cookie(start)
    while not stop.is_set():
        try:
            with socket.create_connection(("127.0.0.1", port), timeout=5) as s:
                s.sendall(start)
                at = 0
                while not stop.is_set():
                    time.sleep(0.2)
                    if drop:
                        s.sendall(drop[at % len(drop):at % len(drop) + 1])
                        at += 1
                    elif kind == 2:
                        s.setblocking(False)
                        try:
                            if s.recv(1) == b"":
                                break
                        except BlockingIOError:
                            pass
        except OSError:
            time.sleep(0.2)


def ask(port):
    began = time.perf_counter()
    with socket.create_connection(("127.0.0.1", port), timeout=30) as s:
        s.sendall(with_cookie(b"GET /api/basket HTTP/1.1\r\nHost: localhost\r\nCOOKIEConnection: close\r\n\r\n"))
        got = b""
        while piece := s.recv(65536):
            got += piece
    return time.perf_counter() - began, got.split(b" ", 2)[1]


def resident_mb(pid):
    with open(f"/proc/{pid}/status") as status:
        return next(int(l.split()[1]) for l in status if l.startswith("VmRSS")) / 1024


def measure(port, what, pid):
    took, status = [], []
    for _ in range(ASKED):
        seconds, code = ask(port)
        took.append(seconds)
        status.append(code)
        time.sleep(0.01)
    took.sort()
    print(f"{what}: {status.count(b'200')} of {ASKED} answered, median {took[ASKED // 2] * 1e3:.1f} ms, "
          f"p99 {took[ASKED * 99 // 100] * 1e3:.1f} ms, longest {took[-1] * 1e3:.0f} ms, "
          f"resident {resident_mb(pid):.1f} MB", flush=True)


def main():
    global cookie
    motley = sys.argv[1]
    with tempfile.TemporaryDirectory() as folder:
        book = sys.argv[2] if len(sys.argv) > 2 else os.path.join(folder, "a.book")
        server = subprocess.Popen([motley, "serve", "--book", book, "--port", "0"],
                                  stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
        port = int(server.stdout.readline().rsplit(":", 1)[1].strip().strip("/"))
        cookie = claim(motley, book, port).encode()
        stop = threading.Event()
        crowd = [threading.Thread(target=slow, args=(port, i % len(KINDS), stop)) for i in range(SLOW)]
        try:
            measure(port, "alone", server.pid)
            before = resident_mb(server.pid)
            for one in crowd:
                one.start()
            time.sleep(2)
            measure(port, f"beside {SLOW} slow ones", server.pid)
            time.sleep(15)
            measure(port, "15 s later", server.pid)
            print(f"memory: {resident_mb(server.pid) - before:+.1f} MB")
        finally:
            stop.set()
            for one in crowd:
                if one.is_alive():
                    one.join()
            server.terminate()
            server.wait()


main()
