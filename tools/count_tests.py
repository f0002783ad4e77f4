#!/usr/bin/env python3
"""Counts the test cases of meson: last line "N passed, N failed".

usage: count_tests.py TESTLOG.junit.xml TESTLOG.json
"""
import json
import sys
import xml.etree.ElementTree as ElementTree

passed = failed = 0
for case in ElementTree.parse(sys.argv[1]).iter("testcase"):
    suite_and_name = f"{case.get('classname')}: {case.get('name')}"
    if case.find("failure") is not None or case.find("error") is not None:
        failed += 1
        print(f"failed: {suite_and_name}")
    elif case.find("skipped") is None:
        passed += 1
# A program that died half way leaves only the cases that it came to; its own line says so.
with open(sys.argv[2], encoding="utf-8") as log:
    for program in map(json.loads, log):
        if program["result"] not in ("OK", "SKIP", "FAIL"):
            failed += 1
            print(f"failed: {program['name']} ended badly ({program['result']})")
print(f"{passed} passed, {failed} failed")
sys.exit(1 if failed or not passed else 0)
