#!/usr/bin/env python3
"""`motley service` against a systemctl of our own that writes down what it is asked, and the unit
against systemd's own judges.

usage: check_service.py MOTLEY SOURCE-ROOT UNIT
"""
import json
import os
import shlex
import shutil
import subprocess
import sys
import tempfile

MOTLEY, ROOT, UNIT = (os.path.abspath(argument) for argument in sys.argv[1:4])
sys.path.insert(0, os.path.join(ROOT, "tests", "trust"))
from program import Tap  # noqa: E402

# systemd-analyze's own scale: below 2.5 is what it takes for well shut in ("OK" ends at 4.9).
EXPOSURE_MOST = 2.5

FAKE = """#!/bin/sh
echo "$*" >>"$ASKED"
case "$SAYS$2" in
nobus*) echo "Failed to connect to bus: No medium found" >&2; exit 1 ;;
refuse*enable) echo "Failed to enable unit: no such file" >&2; exit 1 ;;
*is-enabled) echo "${SAYS:-enabled}"; [ "${SAYS:-enabled}" = enabled ] ;;
*is-active) echo active ;;
esac
"""


class Home:
    """A home with a book, and a systemctl that answers as `says`; None: there is none."""

    def __init__(self, folder, says=""):
        self.folder = os.path.join(folder, "home of $Ann 100%")
        self.tools = os.path.join(folder, "tools")
        self.asked = os.path.join(folder, "asked")
        os.makedirs(self.folder)
        os.makedirs(self.tools)
        open(self.asked, "w").close()
        if says is not None:
            path = os.path.join(self.tools, "systemctl")
            with open(path, "w") as file:
                file.write(FAKE)
            os.chmod(path, 0o755)
        for tool in ("sh", "cat"):
            os.symlink(shutil.which(tool), os.path.join(self.tools, tool))
        self.environment = {"HOME": self.folder, "PATH": self.tools, "ASKED": self.asked, "SAYS": says or "",
                            "LC_ALL": "C.UTF-8", "XDG_DATA_HOME": os.path.join(self.folder, ".local", "share")}

    def service(self, *words):
        done = subprocess.run([MOTLEY, "service", *words, "--json"], env=self.environment, text=True, timeout=60,
                              stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        return done.returncode, json.loads(done.stdout)

    def questions(self):
        with open(self.asked) as file:
            return [line.strip() for line in file]

    def config(self, name):
        return os.path.join(self.folder, ".config", "systemd", "user", name)

    def read(self, name):
        try:
            with open(self.config(name)) as file:
                return file.read()
        except OSError:
            return ""


def command_of(drop_in):
    """The words that systemd starts: quotes taken off, %% and $$ to one (systemd.service(5))."""
    line = [line for line in drop_in.splitlines() if line.startswith("ExecStart=")][-1]
    return [word.replace("%%", "%").replace("$$", "$") for word in shlex.split(line[len("ExecStart="):])]


def differs(got, want):
    return None if got == want else f"{got!r}, wanted {want!r}"


def enabling(folder):
    home = Home(folder)
    status, document = home.service("enable")
    if status != 0 or not document["running"] or "http://localhost:8766/" not in document["done"]:
        return document
    if not os.path.isfile(os.path.join(home.environment["XDG_DATA_HOME"], "motley", "motley.book")):
        return "no book was made"
    wanted = ["--user daemon-reload", "--user enable motley.service", "--user restart motley.service"]
    return differs(home.questions(), wanted) or differs(
        command_of(home.read("motley.service.d/options.conf")), [MOTLEY, "serve"])


def options(folder):
    home = Home(folder)
    place = os.path.join(home.folder, 'my "own" books')
    os.makedirs(place)
    book = os.path.join(place, "a.book")
    subprocess.run([MOTLEY, "basket", "add", "--count", "3", "--book", book, "--quiet"], check=True)
    status, document = home.service("enable", "--lan", "--port", "9000", "--book", book)
    if status != 0 or ":9000/" not in document["done"]:
        return document
    written = home.read("motley.service.d/options.conf")
    if "ReadWritePaths= \"" not in written or "BindPaths= \"" not in written:
        return written
    return differs(command_of(written), [MOTLEY, "serve", "--lan", "--port", "9000", "--book", book])


def again_without(folder):
    home = Home(folder)
    home.service("enable", "--lan")
    home.service("enable")
    return differs(command_of(home.read("motley.service.d/options.conf")), [MOTLEY, "serve"])


def disabling(folder):
    home = Home(folder)
    home.service("enable", "--lan")
    status, document = home.service("disable")
    left = [name for name in ("motley.service", "motley.service.d", "default.target.wants/motley.service")
            if os.path.lexists(home.config(name))]
    if status != 0 or document["enabled"] or left:
        return f"{document}, left {left}"
    return differs(home.questions()[-2:], ["--user disable --now motley.service", "--user daemon-reload"])


def states(folder):
    for says, want in (("", (True, True)), ("disabled", (False, True))):
        document = Home(os.path.join(folder, says or "enabled"), says).service("status")[1]
        if (document["enabled"], document["running"]) != want:
            return document
    return None


def without_systemd(folder):
    for says in (None, "nobus"):
        home = Home(os.path.join(folder, str(says)), says)
        status, document = home.service("enable")
        if status != 0 or document["running"] or document["systemd"] or f"{MOTLEY} serve" not in document["done"]:
            return document
        link = home.config("default.target.wants/motley.service")
        if not os.path.islink(link) or not os.path.isfile(link):
            return f"{link} leads nowhere"
        if not home.service("status")[1]["enabled"]:
            return "status does not see the link"
        home.service("disable")
        if os.path.lexists(link):
            return f"{link} is left"
    return None


def refused(folder):
    status, document = Home(folder, "refuse").service("enable")
    error = document.get("error", {})
    if status != 1 or error.get("code") != "app.service" or "no such file" not in error["message"]:
        return document
    return None


def analyze(*words):
    with tempfile.TemporaryDirectory() as runtime:
        done = subprocess.run(["systemd-analyze", *words], text=True, timeout=60, stdout=subprocess.PIPE,
                              stderr=subprocess.STDOUT, env=dict(os.environ, XDG_RUNTIME_DIR=runtime, LC_ALL="C.UTF-8"))
        return done.returncode, done.stdout


def unit_in(folder):
    """The unit as it is installed, with a program that is there."""
    path = os.path.join(folder, "motley.service")
    with open(UNIT) as file, open(path, "w") as out:
        for line in file:
            out.write(f"ExecStart={MOTLEY} serve\n" if line.startswith("ExecStart=") else line)
    return path


def verified(folder):
    status, text = analyze("--user", "--man=no", "verify", unit_in(folder))
    about_us = [line for line in text.splitlines() if "motley" in line]
    return text if status != 0 or about_us else None


def shut_in(folder):
    path = unit_in(folder)
    status, text = analyze("--offline=true", f"--threshold={int(EXPOSURE_MOST * 10)}", "security", path)
    return text[-400:] if status != 0 else None


def main():
    tap = Tap()
    for what, check in (("enable writes the unit, makes the book and starts it", enabling),
                        ("its options come through quoting whole, and the book's folder may be written", options),
                        ("enabling again takes the options of now", again_without),
                        ("disable stops it and leaves nothing but the book", disabling),
                        ("status tells the states apart", states),
                        ("without systemd it is linked, and said what to do", without_systemd),
                        ("what systemctl refuses is told", refused)):
        with tempfile.TemporaryDirectory() as folder:
            tap.told(what, check(folder))
    for what, check in (("systemd takes the unit without a word", verified),
                        (f"systemd-analyze security gives it at most {EXPOSURE_MOST}", shut_in)):
        if shutil.which("systemd-analyze") is None:
            tap.told(what + " # SKIP no systemd-analyze here", None)
            continue
        with tempfile.TemporaryDirectory() as folder:
            tap.told(what, check(folder))
    return tap.end()


if __name__ == "__main__":
    sys.exit(main())
