#!/usr/bin/env python3
"""Counts the test cases of meson: last line "N passed, N failed".

usage: count_tests.py LOG...    each LOG.junit.xml and LOG.json, as `meson test --logbase` writes
"""
import json
import re
import sys
import xml.etree.ElementTree as ElementTree


def cases(log):
    """Yields for each test case what failed of it (None where it passed)."""
    with open(f"{log}.junit.xml", encoding="utf-8", errors="replace") as report:
        # what a test says in colours, meson copies as it is, and XML has no such characters
        text = re.sub("[\x00-\x08\x0b-\x1f]", "", report.read())
    for case in ElementTree.fromstring(text).iter("testcase"):
        if case.find("failure") is not None or case.find("error") is not None:
            yield f"{case.get('classname')}: {case.get('name')}"
        elif case.find("skipped") is None:
            yield None


def ended_badly(log):
    """Yields the programs that died half way, which left only the cases that they came to."""
    with open(f"{log}.json", encoding="utf-8") as programs:
        for program in map(json.loads, programs):
            if program["result"] not in ("OK", "SKIP", "FAIL"):
                yield f"{program['name']} ended badly ({program['result']})", program["stdout"]


def main(logs):
    passed = failed = 0
    for log in logs:
        for fault in cases(log):
            passed += fault is None
            failed += fault is not None
            if fault:
                print(f"failed: {fault}")
        for fault, said in ended_badly(log):
            failed += 1
            print(f"failed: {fault}; its last words:\n{said[-2000:]}")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except OSError as trouble:
        print(f"{trouble}\n0 passed, 1 failed")
        sys.exit(1)
