#!/usr/bin/env python3
"""`motley open` and `serve --open`: who is let in, and who else could see the code.

usage: check_open.py MOTLEY

A desktop of its own, whose browser writes down what it was started with, stands in for hers. What
a command line holds, every user of the machine can read (proc(5), /proc/PID/cmdline).
"""
import http.client
import json
import os
import re
import socket
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "trust"))
from program import Tap  # noqa: E402

MOTLEY = os.path.abspath(sys.argv[1])
CODE = re.compile(r"http://localhost:(\d+)/#/pair/([0-9a-f]{32})")


def desktop(folder):
    """An environment with a screen, and a browser that notes its arguments in FOLDER/started."""
    browser = os.path.join(folder, "browser")
    with open(browser, "w") as file:
        file.write(f'#!/bin/sh\necho "$@" >>{folder}/part; mv {folder}/part {folder}/started\n')
    os.chmod(browser, 0o755)
    applications = os.path.join(folder, "data", "applications")
    os.makedirs(applications)
    with open(os.path.join(applications, "browser.desktop"), "w") as file:
        file.write(f"[Desktop Entry]\nType=Application\nName=B\nExec={browser} %u\nMimeType=x-scheme-handler/http;\n")
    with open(os.path.join(applications, "mimeapps.list"), "w") as file:
        file.write("[Default Applications]\nx-scheme-handler/http=browser.desktop\n")
    plain = {name: text for name, text in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
    plain.update(XDG_DATA_HOME=os.path.join(folder, "data"), XDG_CONFIG_HOME=os.path.join(folder, "config"),
                 XDG_RUNTIME_DIR=os.path.join(folder, "run"))
    return plain, {**plain, "DISPLAY": ":99"}


def started(folder):
    """What the browser was started with, waited for."""
    path = os.path.join(folder, "started")
    until = time.monotonic() + 30
    while not os.path.exists(path) and time.monotonic() < until:
        time.sleep(0.01)
    with open(path) as file:
        text = file.read()
    os.unlink(path)
    return text


def claims(port, code):
    connection = http.client.HTTPConnection("localhost", port, timeout=60)
    connection.request("POST", "/api/pair/claim", json.dumps({"code": code}), {"Content-Type": "application/json"})
    return connection.getresponse().status


def run(environment, *words):
    return subprocess.run([MOTLEY, *words], env=environment, text=True, stdout=subprocess.PIPE,
                          stderr=subprocess.STDOUT, timeout=60)


def check_page(tap, what, folder):
    """The browser's arguments, and the page that it was given."""
    said = started(folder)
    page = os.path.join(folder, "run", "motley-open.html")
    with open(page) as file:
        port, code = CODE.search(file.read()).groups()
    tap.told(f"{what}: the browser is started with a file and no code",
             None if said.strip() in (page, "file://" + page) else said)
    mode = os.stat(page).st_mode & 0o777
    tap.told(f"{what}: which nobody else can read", None if mode == 0o600 else oct(mode))
    statuses = [claims(int(port), code), claims(int(port), code)]
    tap.told(f"{what}: the code lets in once", None if statuses == [200, 403] else statuses)


def main():
    tap = Tap()
    with tempfile.TemporaryDirectory() as folder:
        plain, screen = desktop(folder)
        book = os.path.join(folder, "a book")
        server = subprocess.Popen([MOTLEY, "serve", "--open", "--book", book, "--port", "0"], env=screen, text=True,
                                  stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        port = re.search(r":(\d+)/", server.stdout.readline())[1]
        where = ["--book", book, "--port", port]
        check_page(tap, "serve --open", folder)
        done = run(screen, "open", *where)
        check_page(tap, "motley open", folder)
        tap.told("nor is it printed", None if done.returncode == 0 and not CODE.search(done.stdout) else done.stdout)
        done = run(screen, "serve", "--open", *where)
        tap.told("where it is served already, serve --open opens that", done.returncode or None)
        check_page(tap, "served already", folder)
        done = run(plain, "open", *where)
        port_told, code = CODE.search(done.stdout).groups()
        tap.told("without a screen, the address is printed", None if (port_told, claims(int(port), code)) == (port, 200) else done.stdout)
        done = run(plain, "open", *where, "--json")
        port_told, code = CODE.search(json.loads(done.stdout)["address"]).groups()
        tap.told("with --json it is in the document", None if (port_told, claims(int(port), code)) == (port, 200) else done.stdout)
        with socket.create_server(("127.0.0.1", 0)) as nobody:
            free = nobody.getsockname()[1]
        done = run(plain, "open", "--book", book, "--port", str(free), "--json")
        error = json.loads(done.stdout)["error"]["code"]
        tap.told("where nobody listens, no code is made", None if error == "app.not-serving" else error)
        server.terminate()
        said = server.communicate(timeout=30)
        tap.told("the server ends well and has printed no code", None if server.returncode == 0
                 and not re.search("[0-9a-f]{32}", "".join(said)) else f"{server.returncode} {said}")
    return tap.end()


if __name__ == "__main__":
    sys.exit(main())
