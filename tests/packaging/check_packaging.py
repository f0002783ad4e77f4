#!/usr/bin/env python3
"""Installs into an empty folder and looks at what came there as a system would.

usage: check_packaging.py MOTLEY SOURCE-ROOT BUILD-ROOT

The commands and flags are taken from what the program's own help prints. Where a shell or a
validator is missing, its check is skipped and says so.
"""
import os
import re
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree

MOTLEY, ROOT, BUILD = (os.path.abspath(argument) for argument in sys.argv[1:4])
ID = "org.motley.Motley"
number = 0


def run(command, **more):
    done = subprocess.run(command, text=True, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, timeout=100,
                          env=dict(os.environ, LC_ALL="C.UTF-8", MANWIDTH="200", MAN_KEEP_FORMATTING=""), **more)
    return done.returncode, done.stdout


def told(what, faults, needs=None):
    """One line of TAP; faults is a function, called where its tool is there."""
    global number
    number += 1
    if needs is not None and shutil.which(needs) is None:
        print(f"ok {number} - {what} # SKIP no {needs} here")
        return
    found = faults()
    print(f"{'not ok' if found else 'ok'} {number} - {what}")
    for fault in found[:10]:
        print(f"# {fault}")


def table_by_help():
    """{command: [flags]} by the program's help, and the flags of every command."""
    text = run([MOTLEY, "--help"])[1]
    commands = re.findall(r"^  ([a-z]+(?: [a-z]+)?)  +\S", text.split("With every command")[0], re.M)
    flags = {}
    for command in commands:
        shown = run([MOTLEY, *command.split(), "--help"])[1].split("With every command")[0]
        flags[command] = re.findall(r"^  (--[a-z-]+)", shown, re.M)
    return flags, re.findall(r"^  (--[a-z-]+)", text, re.M)


FLAGS, COMMON = table_by_help()


def install(prefix):
    code, text = run(["meson", "install", "-C", BUILD, "--no-rebuild", "--quiet", "--destdir", prefix])
    return [] if code == 0 else text.splitlines()[-5:]


def missing_files(usr):
    wanted = ["bin/motley", "share/man/man1/motley.1", "share/man/man5/motley.5", "lib/systemd/user/motley.service",
              "share/bash-completion/completions/motley", "share/zsh/site-functions/_motley",
              "share/fish/vendor_completions.d/motley.fish", f"share/applications/{ID}.desktop",
              f"share/metainfo/{ID}.metainfo.xml", f"share/icons/hicolor/scalable/apps/{ID}.svg"]
    return [path for path in wanted if not os.path.isfile(os.path.join(usr, path))]


def installed_runs(usr):
    code, text = run([os.path.join(usr, "bin/motley"), "plan", "--design", "single-irish-chain", "--across", "3",
                      "--down", "3"], cwd=usr)
    return [] if code == 0 else text.splitlines()


def manual_lacks(usr):
    code, text = run(["man", "--warnings", "-E", "UTF-8", "-l", os.path.join(usr, "share/man/man1/motley.1")])
    text = re.sub(r".\x08", "", text).replace("\u2010", "-")
    faults = [] if code == 0 else [text[-300:]]
    for command, flags in FLAGS.items():
        found = re.search(rf"^ *motley {command}(?: +[A-Z\[][^\n]*)?\n(.*?)(?=^ *motley [a-z]|^OPTIONS)", text, re.M | re.S)
        if not found:
            faults.append(f"no command {command}")
            continue
        faults += [f"{command} lacks {flag}" for flag in flags if not re.search(rf"{flag}\b", found[1])]
    return faults + [f"no {flag}" for flag in COMMON if flag not in text]


def page_warnings(usr):
    faults = []
    for page in ("man1/motley.1", "man5/motley.5"):
        done = subprocess.run(["groff", "-man", "-Tutf8", "-ww", os.path.join(usr, "share/man", page)],
                              stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
        faults += done.stderr.splitlines()
    return faults


def examples_fail(usr):
    """The design and the outline that motley.5 shows are read by the program itself."""
    with open(os.path.join(usr, "share/man/man5/motley.5"), encoding="utf-8") as file:
        examples = re.findall(r"^\.EX\n(.*?)^\.EE", file.read(), re.M | re.S)
    faults = []
    with tempfile.TemporaryDirectory() as folder:
        for name, text, command in (("a.design", examples[0], ["design", "check", "a.design"]),
                                    ("a.json", examples[1], ["cut", "--outline", "a.json", "--unit", "2in"])):
            with open(os.path.join(folder, name), "w", encoding="utf-8") as file:
                file.write(text)
            code, out = run([MOTLEY, *command], cwd=folder)
            faults += [] if code == 0 else [out]
    return faults


def lacks(offered, wanted, where):
    return [f"{where}: no {word}" for word in wanted if word not in offered]


def positions():
    """Each place to complete: the words before it, and what must be offered there."""
    yield [], sorted({command.split()[0] for command in FLAGS})
    for command, flags in FLAGS.items():
        yield command.split(), flags + COMMON
        first, _, second = command.partition(" ")
        if second:
            yield [first], [second]


def shell_lacks(script_of, run_script):
    asked = list(positions())
    answer = run_script("".join(script_of(words) for words, _ in asked))
    parts = answer.split("=====\n")
    if len(parts) != len(asked) + 1:
        return [f"{len(parts) - 1} answers of {len(asked)}: {answer[-300:]}"]
    return [fault for (words, wanted), part in zip(asked, parts)
            for fault in lacks(re.findall(r"[\w-]+", part), wanted, " ".join(words) or "motley")]


def bash_lacks(usr):
    path = os.path.join(usr, "share/bash-completion/completions/motley")

    def script(words):
        last = "--" if len(words) and " ".join(words) in FLAGS else ""
        listed = " ".join(["motley", *words])
        # Once for words and once for flags: compgen gives those that begin as typed.
        return "".join(f"COMP_WORDS=({listed} '{cur}'); COMP_CWORD={len(words) + 1}; _motley; "
                       "printf '%s\\n' \"${COMPREPLY[@]}\"\n" for cur in ("", last)) + "echo '====='\n"

    return shell_lacks(script, lambda text: run(["bash", "-c", f"source '{path}'\n{text}"])[1])


def zsh_lacks(usr):
    path = os.path.join(usr, "share/zsh/site-functions/_motley")
    # What the completion hands to zsh's own helpers is printed in place of shown.
    before = ("compdef() { : }; _arguments() { print -rl -- \"$@\" }\n"
              "_describe() { print -rl -- ${(P)2} }\n" f"source '{path}'\n")

    def script(words):
        return (f"words=(motley {' '.join(words)} ''); CURRENT={len(words) + 2}; _motley; print '====='\n")

    return shell_lacks(script, lambda text: run(["zsh", "-f", "-c", before + text])[1])


def fish_lacks(usr):
    path = os.path.join(usr, "share/fish/vendor_completions.d/motley.fish")

    def script(words):
        line = " ".join(["motley", *words])
        return "".join(f"complete -C '{line} {cur}'\n" for cur in ("", "--")) + "echo '====='\n"

    with tempfile.TemporaryDirectory() as home:
        return shell_lacks(script, lambda text: subprocess.run(
            ["fish", "--no-config", "-c", f"source '{path}'\n{text}"], text=True, stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT, timeout=100, env=dict(os.environ, HOME=home, LC_ALL="C.UTF-8")).stdout)


def validator(command):
    code, text = run(command)
    return [] if code == 0 and "warning" not in text.lower() else text.splitlines()


def names_differ(usr):
    metainfo = ElementTree.parse(os.path.join(usr, f"share/metainfo/{ID}.metainfo.xml"))
    with open(os.path.join(ROOT, "meson.build"), encoding="utf-8") as file:
        version = re.search(r"version: '([0-9.]+)'", file.read())[1]
    release = metainfo.find("releases/release").get("version")
    return [] if release == version else [f"the newest release is {release}, the program {version}"]


def debian_differs():
    """What packaging/debian says twice: the version, the packages to build with, the licences."""
    def text(path):
        with open(os.path.join(ROOT, path), encoding="utf-8") as file:
            return file.read()

    control, setup = text("packaging/debian/control"), text("tools/setup.sh")
    version = re.search(r"version: '([0-9.]+)'", text("meson.build"))[1]
    said = re.match(r"motley \(([^)]+)\)", text("packaging/debian/changelog"))
    wanted = re.search(r"^build=\((.*?)\)", setup, re.M | re.S)[1].split()
    build = re.search(r"^Build-Depends:\n(.*?)\n\n", control, re.M | re.S)[1]
    named = re.findall(r"^ ([a-z0-9.+-]+)", build, re.M)
    licensed = re.findall(r"^Files: (.*)$", text("packaging/debian/copyright"), re.M)
    paths = [path.rstrip("*") for line in licensed for path in line.split() if path != "*"]
    faults = [] if said and said[1] == version else [f"the change log is of {said and said[1]}, the program {version}"]
    # gcc comes with every build.
    faults += [f"control does not name {name}" for name in wanted if name not in named and name not in ("gcc", "python3")]
    faults += [f"setup.sh does not name {name}" for name in named if name not in (*wanted, "debhelper-compat")]
    return faults + [f"copyright names {path}, which is not there" for path in paths
                     if not os.path.exists(os.path.join(ROOT, path))]


def main():
    with tempfile.TemporaryDirectory() as prefix:
        told("it installs into an empty folder", lambda: install(prefix))
        options = run(["meson", "introspect", BUILD, "--buildoptions"])[1]
        usr = prefix + re.search(r'"name": "prefix", "value": "([^"]+)"', options)[1]
        told("everything is in its place", lambda: missing_files(usr))
        told("the installed program needs nothing of the sources", lambda: installed_runs(usr))
        told("the help names its commands", lambda: [] if len(FLAGS) > 40 else [str(FLAGS)])
        told("motley(1) names every command with every flag", lambda: manual_lacks(usr), "man")
        told("both pages are plain to groff", lambda: page_warnings(usr), "groff")
        told("the examples of motley(5) work", lambda: examples_fail(usr))
        told("bash completes every command and flag", lambda: bash_lacks(usr), "bash")
        told("zsh completes every command and flag", lambda: zsh_lacks(usr), "zsh")
        told("fish completes every command and flag", lambda: fish_lacks(usr), "fish")
        told("the desktop entry is valid", lambda: validator(
            ["desktop-file-validate", f"{usr}/share/applications/{ID}.desktop"]), "desktop-file-validate")
        told("the metainfo is valid", lambda: validator(
            ["appstreamcli", "validate", "--no-net", f"{usr}/share/metainfo/{ID}.metainfo.xml"]), "appstreamcli")
        told("the Debian package's files agree with the others", lambda: debian_differs())
        told("the newest release is this version", lambda: names_differ(usr))
    print(f"1..{number}")


if __name__ == "__main__":
    main()
