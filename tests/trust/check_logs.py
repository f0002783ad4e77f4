#!/usr/bin/env python3
"""What the server logs holds neither what lets a device in nor what a maker photographs.

usage: check_logs.py MOTLEY PHOTO

The server tells all that it can (--verbose) while a device is paired, wrong codes are tried and
a photo is measured; then its log is searched.
"""
import base64
import hashlib
import http.client
import json
import os
import re
import subprocess
import sys
import tempfile
import time

from program import Tap, claim

MOTLEY, PHOTO = (os.path.abspath(argument) for argument in sys.argv[1:3])
NAME = "grandmothers-kitchen-table"
LINE_MOST = 300


class Client:
    def __init__(self, port, cookie=None):
        self.port = port
        self.cookie = cookie

    def ask(self, method, path, body=None, kind="application/json"):
        connection = http.client.HTTPConnection("localhost", self.port, timeout=60)
        headers = {"Content-Type": kind} if body is not None else {}
        if self.cookie:
            headers["Cookie"] = self.cookie
        connection.request(method, path, json.dumps(body) if isinstance(body, dict) else body, headers)
        answer = connection.getresponse()
        text = answer.read()
        given = answer.getheader("Set-Cookie")
        if given:
            self.cookie = given.split(";")[0]
        return answer.status, json.loads(text) if text else None


def hash_of(text):
    return hashlib.sha256(text.encode()).hexdigest()


def live(client, photo):
    """What happens on a busy evening. Returns {what: text} of what no log may hold."""
    own = client.cookie.partition("=")[2]
    secrets = {"the token of this machine": own, "the hash of that": hash_of(own), "a wrong code": "0123456789abcdef" * 2, "a wrong code in the address": "fedcba9876543210" * 2,
               "a name of a photo": NAME}
    client.ask("POST", "/api/pair/claim", {"code": secrets["a wrong code"], "name": "phone"})
    client.ask("POST", "/api/pair/claim?code=" + secrets["a wrong code in the address"], {})
    status, offer = client.ask("POST", "/api/pair", {})
    if status == 200:
        code = offer["addresses"][0].rpartition("/")[2]
        status, _ = client.ask("POST", "/api/pair/claim", {"code": code, "name": "phone"})
        assert status == 200 and client.cookie, status
        token = client.cookie.partition("=")[2]
        secrets.update({"the code": code, "the code's hash": hash_of(code), "the token": token,
                        "the token's hash": hash_of(token)})
        client.ask("POST", "/api/pair/claim", {"code": code, "name": "again"})
    client.ask("PUT", f"/api/photos?name={NAME}.jpg", photo, "image/jpeg")
    for _ in range(100):
        if client.ask("GET", "/api/photos")[1]["photos"]:
            break
        time.sleep(0.2)
    client.ask("PUT", f"/api/photos?name={NAME}.jpg", photo[:2000], "image/jpeg")
    client.ask("GET", f"/api/fabrics?find={NAME}")
    return secrets


def main():
    tap = Tap()
    with open(PHOTO, "rb") as file:
        photo = file.read()
    with tempfile.TemporaryDirectory() as folder:
        log_path = os.path.join(folder, "log")
        with open(log_path, "wb") as log:
            book = os.path.join(folder, "a.book")
            server = subprocess.Popen([MOTLEY, "serve", "--lan", "--verbose", "--port", "0", "--book", book],
                                      stdout=subprocess.PIPE, stderr=log, text=True)
            line = server.stdout.readline()
            port = int(re.search(r":(\d+)/", line)[1])
            secrets = live(Client(port, claim(MOTLEY, book, port)), photo)
            server.terminate()
            rest = server.communicate(timeout=30)[0]
            tap.told("it ends well", server.returncode)
        with open(log_path, "rb") as file:
            log = file.read() + (line + rest).encode()
    wanted = [b"POST /api/pair/claim", b"PUT /api/photos", b"GET /api/fabrics"]
    tap.told("the log tells what happened", [str(line) for line in wanted if line not in log])
    if "the code" not in secrets:
        print("# this machine is in no network: no device was paired")
    for what, text in secrets.items():
        tap.told(f"the log does not hold {what}", text if text.encode() in log else None)
    try:
        lines = log.decode().splitlines()
        tap.told("it is short lines of text", [line[:100] for line in lines if len(line) > LINE_MOST])
    except UnicodeDecodeError as fault:
        tap.told("it is short lines of text", fault)
    pieces = [photo[at:at + 24] for at in range(0, len(photo) - 24, len(photo) // 50)]
    tap.told("it holds no part of a photo", [piece for piece in pieces if piece in log
                                             or base64.b64encode(piece) in log or piece.hex().encode() in log])
    return tap.end()


if __name__ == "__main__":
    sys.exit(main())
