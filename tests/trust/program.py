"""The program under test, as another program meets it: its commands and its server."""
import http.client
import json
import os
import re
import subprocess


def claim(motley, book, port):
    """Lets this program in, as `motley open` lets a browser in. Returns the cookie to bring."""
    status, document, said = command(motley, book, "open", "--port", str(port))
    assert status == 0, said or document
    connection = http.client.HTTPConnection("localhost", port, timeout=60)
    connection.request("POST", "/api/pair/claim", json.dumps({"code": document["address"].rpartition("/")[2]}),
                       {"Content-Type": "application/json"})
    answer = connection.getresponse()
    assert answer.status == 200, answer.read()
    connection.close()
    return answer.getheader("Set-Cookie").split(";")[0]


class Server:
    """`motley serve` on a free port, beginning with the words of `before` (prlimit); it lets this
    program in."""

    def __init__(self, motley, book, before=()):
        self.process = subprocess.Popen([*before, motley, "serve", "--book", book, "--port", "0", "--quiet"],
                                        stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
        self.port = int(re.search(r":(\d+)/", self.process.stdout.readline())[1])
        self.cookie = claim(motley, book, self.port)

    def ask(self, method, path, body=None):
        """(status, document)"""
        connection = http.client.HTTPConnection("localhost", self.port, timeout=60)
        sent = None if body is None else json.dumps(body)
        headers = {"Cookie": self.cookie, **({"Content-Type": "application/json"} if sent else {})}
        connection.request(method, path, sent, headers)
        answer = connection.getresponse()
        text = answer.read()
        connection.close()
        return answer.status, json.loads(text) if text else None

    def stop(self):
        self.process.terminate()
        return self.process.wait(30)


def command(motley, book, *words):
    done = subprocess.run([motley, *words, "--book", book, "--json"], text=True, timeout=100,
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    return done.returncode, json.loads(done.stdout) if done.stdout else None, done.stderr


class Tap:
    def __init__(self):
        self.number = 0
        self.failed = 0

    def told(self, what, fault):
        """One line; fault is what was wrong, or nothing."""
        self.number += 1
        self.failed += bool(fault)
        print(f"{'not ok' if fault else 'ok'} {self.number} - {what}", flush=True)
        if fault:
            print(f"# {fault}", flush=True)

    def end(self):
        print(f"1..{self.number}")
        return 1 if self.failed else 0
