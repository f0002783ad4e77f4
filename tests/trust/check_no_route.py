#!/usr/bin/env python3
"""Nothing leaves the house: the page's tests and the program run where no way leads out, and the
kernel counts every attempt.

usage: check_no_route.py NODE PROGRAM SOURCE-ROOT TEST.mjs...

In a network namespace of their own there is loopback and no route. Whoever would connect or
send elsewhere, also to ask for the address of a name, is refused by the kernel, which counts it
(OutNoRoutes in RFC 4293, ipSystemStatsOutNoRoutes). The counting is tried first, so that a kernel that
does not count fails the test. A name server on loopback would hide questions: there is one
outside in its place.
"""
import ctypes
import fcntl
import os
import re
import socket
import struct
import subprocess
import sys
import tempfile

from program import Server, Tap, command

NODE = sys.argv[1]
MOTLEY, ROOT = (os.path.abspath(argument) for argument in sys.argv[2:4])
NEWNS, NEWUSER, NEWNET = 0x00020000, 0x10000000, 0x40000000  # sched.h
MS_BIND, MS_REC, MS_PRIVATE = 4096, 16384, 1 << 18           # sys/mount.h
SIOCSIFFLAGS, SIOCSIFADDR, IFF_UP, IFF_RUNNING = 0x8914, 0x8916, 1, 0x40  # linux/sockios.h, net/if.h
SECONDS = 1500
libc = ctypes.CDLL(None, use_errno=True)


# Where the browser's own look for a way by version 6 goes: it connects a socket to this address and
# sends nothing, as soon as it runs. Given to loopback, it finds it there and is not counted.
BROWSERS_LOOK = "2001:4860:4860::8888"


def skip(why):
    print(f"1..0 # SKIP {why}")
    sys.exit(0)


def unshare():
    """Leaves the network; with root in a namespace of its own where there is none."""
    user, group = os.getuid(), os.getgid()
    if libc.unshare(NEWNET | NEWNS) == 0:
        return
    if libc.unshare(NEWUSER | NEWNET | NEWNS) != 0:
        skip(f"no network namespace can be made here: {os.strerror(ctypes.get_errno())}")
    for name, text in (("setgroups", "deny"), ("uid_map", f"0 {user} 1"), ("gid_map", f"0 {group} 1")):
        with open(f"/proc/self/{name}", "w") as file:
            file.write(text)


def cover(path, text):
    with tempfile.NamedTemporaryFile("w") as file:
        file.write(text)
        file.flush()
        if libc.mount(file.name.encode(), os.path.realpath(path).encode(), None, MS_BIND, None) != 0:
            skip(f"{path} cannot be covered: {os.strerror(ctypes.get_errno())}")


def leave_the_network():
    unshare()
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as any_socket:
        fcntl.ioctl(any_socket, SIOCSIFFLAGS, struct.pack("16sH14x", b"lo", IFF_UP | IFF_RUNNING))
    with socket.socket(socket.AF_INET6, socket.SOCK_DGRAM) as any_socket:  # in6_ifreq of linux/ipv6.h
        fcntl.ioctl(any_socket, SIOCSIFADDR, struct.pack("16sIi", socket.inet_pton(socket.AF_INET6, BROWSERS_LOOK),
                                                         128, socket.if_nametoindex("lo")))
    libc.mount(b"none", b"/", None, MS_REC | MS_PRIVATE, None)
    cover("/etc/resolv.conf", "nameserver 192.0.2.53\noptions timeout:1 attempts:1\n")  # RFC 5737: nobody's
    # As a Debian machine has it; where ::1 is missing, the name is asked of a server.
    cover("/etc/hosts", "127.0.0.1 localhost\n::1 localhost\n")


def attempts():
    with open("/proc/self/net/snmp") as file:
        names, values = [line.split() for line in file if line.startswith("Ip:")]
    with open("/proc/self/net/snmp6") as file:
        six = dict(line.split() for line in file)
    return int(dict(zip(names, values))["OutNoRoutes"]) + int(six["Ip6OutNoRoutes"])


def counts(attempt):
    before = attempts()
    try:
        attempt()
    except OSError:
        pass
    return attempts() > before


def connect(family, kind, address):
    with socket.socket(family, kind) as one:
        one.connect(address)


def send(address):
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as one:
        one.sendto(b"x", address)


def not_counted():
    """Addresses of RFC 5737 and 3849, which are nobody's."""
    four, six = ("192.0.2.1", 80), ("2001:db8::1", 80)
    ways = {
        "TCP": lambda: connect(socket.AF_INET, socket.SOCK_STREAM, four),
        "UDP": lambda: connect(socket.AF_INET, socket.SOCK_DGRAM, four),
        "a datagram": lambda: send(four),
        "TCP of version 6": lambda: connect(socket.AF_INET6, socket.SOCK_STREAM, six),
        "UDP of version 6": lambda: connect(socket.AF_INET6, socket.SOCK_DGRAM, six),
        "a name": lambda: socket.getaddrinfo("elsewhere.example", 80),
    }
    return [name for name, way in ways.items() if not counts(way)]


def run_program():
    """What the program does without a browser: its demo, its sheets, a photo measured and served."""
    before = attempts()
    with tempfile.TemporaryDirectory() as folder:
        book = os.path.join(folder, "a.book")
        photo = os.path.join(ROOT, "tests/photos/scraps-1.jpg")
        for words in (["demo"], ["measure", photo, "--keep"], ["print", "chart", "Tideline", "-o", f"{folder}/a.pdf"],
                      ["backup", f"{folder}/b.book"], ["check"]):
            status, _, said = command(MOTLEY, book, *words)
            if status != 0:
                return f"{words}: {said}"
        server = Server(MOTLEY, book)
        server.ask("GET", "/api/basket")
        server.stop()
    return f"{attempts() - before} attempts" if attempts() > before else None


def run_page(test):
    """The browser's own services find no names (MOTLEY_NO_NAMES), so what is counted is page, program
    and browser together; tests/page/browser.mjs fails a test whose page asks for any other address."""
    before = attempts()
    done = subprocess.run([NODE, test, MOTLEY], text=True, timeout=SECONDS, stdout=subprocess.PIPE,
                          stderr=subprocess.STDOUT, env=dict(os.environ, MOTLEY_NO_NAMES="1"))
    if re.search(r"^1\.\.0 # SKIP", done.stdout, re.M):
        print(f"# {os.path.basename(test)} was skipped: {done.stdout.strip().splitlines()[-1]}")
    failed = re.findall(r"^not ok .*(?:\n#.*)*", done.stdout, re.M)
    if done.returncode != 0:
        return f"status {done.returncode}: " + ("\n# ".join(failed)[:1500] or done.stdout[-500:])
    return f"{attempts() - before} attempts" if attempts() > before else None


def main():
    leave_the_network()
    tap = Tap()
    tap.told("the kernel counts every way to try", not_counted())
    tap.told("the program tries nothing", run_program())
    for test in sys.argv[4:]:
        tap.told(f"{os.path.basename(test)} works without a network, and nothing is tried", run_page(test))
    return tap.end()


if __name__ == "__main__":
    sys.exit(main())
