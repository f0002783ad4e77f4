#!/usr/bin/env python3
"""`motley service` with systemd itself: a manager of units of an ordinary user, in a mount
namespace of its own, starts the program shut in as the unit says.

usage: run_service.py MOTLEY SOURCE-ROOT

Takes root to make the user and its folders; the manager and all that it starts have none.
"""
import http.client
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time

MOTLEY, ROOT = (os.path.abspath(argument) for argument in sys.argv[1:3])
STAGE = sys.argv[3] if len(sys.argv) > 3 else ""
SYSTEMD = "/lib/systemd/systemd"
USER, HOME = 61234, "/home/motley-test"
RUNTIME = f"/run/user/{USER}"
GROUPS = [path for path in ("/sys/fs/cgroup/systemd", "/sys/fs/cgroup/unified", "/sys/fs/cgroup")
          if os.path.isfile(os.path.join(path, "cgroup.procs"))]
PORT = 8793
sys.path.insert(0, os.path.join(ROOT, "tests", "trust"))
from program import Tap, claim  # noqa: E402


def skip(why):
    print(f"1..0 # SKIP {why}")
    sys.exit(0)


def quiet(*command):
    return subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL).returncode == 0


def begin():
    if os.getuid() != 0:
        skip("it takes root to make a user for it")
    for tool in (SYSTEMD, "unshare", "setpriv", "systemctl"):
        if shutil.which(tool) is None:
            skip(f"no {tool} here")
    if not quiet("unshare", "-m", "true"):
        skip("no mount namespace can be made here")
    if not quiet("setpriv", "--reuid", str(USER), "--clear-groups", "unshare", "-Ur", "true"):
        skip("users may make no namespaces here, which the unit needs")
    if not GROUPS:
        skip("no control groups here")
    os.execvp("unshare", ["unshare", "-m", "--propagation", "private", sys.executable, *sys.argv, "prepare"])


def prepare():
    """Within the namespace: /run as the system's manager leaves it, a home, a group."""
    subprocess.run(["mount", "-t", "tmpfs", "-o", "mode=755", "none", "/run"], check=True)
    subprocess.run(["mount", "-t", "tmpfs", "-o", "mode=755", "none", "/home"], check=True)
    for name in ("system", "unit-root", "incoming", "propagate"):
        os.makedirs(f"/run/systemd/{name}")
    for path in (HOME, RUNTIME):
        os.makedirs(path, 0o700)
        os.chown(path, USER, USER)
    with open("/etc/passwd") as file, open("/run/passwd", "w") as out:
        out.write(file.read() + f"motley-test:x:{USER}:{USER}::{HOME}:/bin/sh\n")
    subprocess.run(["mount", "--bind", "/run/passwd", "/etc/passwd"], check=True)
    # The program and its photos, where the user may read them whatever the build folder allows.
    shutil.copy(MOTLEY, "/run/motley")
    shutil.copy(os.path.join(ROOT, "tests/photos/scraps-1.jpg"), HOME)
    moved = []
    for path in GROUPS:
        own = os.path.join(path, f"motley-test-{os.getpid()}")
        try:
            os.mkdir(own)
            with open(os.path.join(own, "cgroup.procs"), "w") as file:
                file.write(str(os.getpid()))
        except OSError:
            continue
        moved.append((path, own))
        quiet("chown", "-R", f"{USER}:{USER}", own)
    code = 1
    try:
        code = subprocess.run(["setpriv", "--reuid", str(USER), "--regid", str(USER), "--clear-groups",
                               sys.executable, sys.argv[0], "/run/motley", ROOT, "test"]).returncode
    finally:
        for path, own in moved:
            with open(os.path.join(path, "cgroup.procs"), "w") as file:
                file.write(str(os.getpid()))
            quiet("find", own, "-depth", "-type", "d", "-exec", "rmdir", "{}", ";")
    return code


COOKIE = ""  # of the session with the book that is served now


def ask(method, path, body=None, kind=None):
    connection = http.client.HTTPConnection("localhost", PORT, timeout=30)
    connection.request(method, path, body, {"Cookie": COOKIE, **({"Content-Type": kind} if kind else {})})
    answer = connection.getresponse()
    text = answer.read()
    return answer.status, json.loads(text)


def until(what, seconds=15):
    end = time.monotonic() + seconds
    while True:
        try:
            found = what()
        except (OSError, KeyError):
            found = None
        if found or time.monotonic() > end:
            return found
        time.sleep(0.2)


def service(*words):
    done = subprocess.run([MOTLEY, "service", *words, "--json"], text=True, stdout=subprocess.PIPE, timeout=60)
    return json.loads(done.stdout)


def serves():
    return until(lambda: ask("GET", "/api/basket")[0] == 200)


def lets_in(book):
    global COOKIE
    COOKIE = ""
    if until(lambda: ask("GET", "/api/basket")[0] == 401):
        COOKIE = claim(MOTLEY, book, PORT)
    return serves()


def main_process():
    shown = subprocess.run(["systemctl", "--user", "show", "-p", "MainPID", "--value", "motley"], text=True,
                           stdout=subprocess.PIPE).stdout
    return int(shown)


def started(book, *flags):
    document = service("enable", "--port", str(PORT), *flags)
    if not document.get("running"):
        return document
    return None if lets_in(book) else subprocess.run(["systemctl", "--user", "status", "motley"], text=True,
                                                stdout=subprocess.PIPE).stdout


def measures():
    with open(os.path.join(HOME, "scraps-1.jpg"), "rb") as file:
        status, document = ask("PUT", "/api/photos?name=scraps.jpg", file.read(), "image/jpeg")
    if status != 202:
        return document
    photos = until(lambda: ask("GET", "/api/photos")[1]["photos"], 60)
    return None if photos and photos[0]["scraps"] > 10 else photos


def shut_in(book):
    """Looked at from outside, through /proc: its root, its rights, its filters."""
    process = main_process()
    root = f"/proc/{process}/root"
    with open(f"/proc/{process}/status") as file:
        status = dict(line.split(":\t") for line in file.read().splitlines() if ":\t" in line)
    faults = [f"{key} is {status[key]}" for key, want in (("NoNewPrivs", "1"), ("Seccomp", "2"),
                                                         ("CapBnd", "0" * 16), ("CapEff", "0" * 16)) if status[key] != want]
    seen = [os.path.join(at, name) for at, _, names in os.walk(root + HOME) for name in names]
    folder = os.path.dirname(book)
    faults += [f"it sees {name}" for name in seen if not name[len(root):].startswith(folder)]
    with open(f"/proc/{process}/mounts") as file:
        # What is mounted last at a place is what is seen there.
        flags = {line.split()[1]: line.split()[3].split(",") for line in file}
    faults += [f"it may write {at}" for at in (HOME, "/", *flags) if "rw" in flags[at]
               if re.match("/(usr|etc|bin|lib|var)?$|/(usr|etc|home)/", at)
               and not at.encode().decode("unicode_escape").startswith(folder)]
    return "; ".join(faults)


def restarted():
    before = main_process()
    os.kill(before, signal.SIGKILL)
    return None if until(lambda: main_process() not in (0, before)) and serves() else "it stays away"


def test():
    os.environ.update(HOME=HOME, XDG_RUNTIME_DIR=RUNTIME, LC_ALL="C.UTF-8")
    for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "DBUS_SESSION_BUS_ADDRESS"):
        os.environ.pop(name, None)
    manager = subprocess.Popen([SYSTEMD, "--user"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    tap = Tap()
    try:
        if not until(lambda: quiet("systemctl", "--user", "daemon-reload")):
            skip("systemd serves no user here")
        usual = os.path.join(HOME, ".local/share/motley/motley.book")
        other = os.path.join(HOME, "quilts of $me 100%: mine/my.book")
        subprocess.run([MOTLEY, "basket", "add", "--count", "3", "--book", usual, "--quiet"], check=True)
        subprocess.run([MOTLEY, "basket", "add", "--count", "4", "--book", other, "--quiet"], check=True)
        tap.told("systemd starts it, shut in, and it answers", started(usual))
        tap.told("it measures a photo, shut in", measures())
        tap.told("it sees no file of the home but the book, and may write no other", shut_in(usual))
        tap.told("killed, it comes again", restarted())
        tap.told("a book elsewhere, in a folder of odd letters, is served", started(other, "--book", other))
        count = ask("GET", "/api/basket")[1]["squares"]
        tap.told("it is that book", None if count == 4 else count)
        tap.told("there too it sees no other", shut_in(other))
        service("disable")
        tap.told("disabled, it is gone", None if main_process() == 0 else "it runs")
    finally:
        manager.terminate()
        manager.wait(20)
    return tap.end()


if __name__ == "__main__":
    sys.exit({"": begin, "prepare": prepare, "test": test}[STAGE]())
