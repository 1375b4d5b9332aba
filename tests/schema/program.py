"""The program as its users call it: a command, and a workbench on a folder of its own."""
import http.client
import json
import pathlib
import re
import subprocess
import urllib.parse

root = pathlib.Path(__file__).parents[2]
demo = root / "examples/power-takeoff"
program = root / "build/loomgraft"


def run(*arguments):
    return subprocess.run([program, *map(str, arguments)], cwd=root, capture_output=True, text=True,
                          timeout=120)


def report(*arguments):
    """What `COMMAND ... --json` prints."""
    done = run(*arguments, "--json")
    if not done.stdout:
        raise AssertionError(f"{' '.join(map(str, arguments))} printed nothing: {done.stderr}")
    return json.loads(done.stdout)


def in_path(text):
    return urllib.parse.quote(text, safe="")


class Workbench:
    """`loomgraft serve` with a client. Use it in a with statement."""

    def __init__(self, folder, *options):
        self.process = subprocess.Popen([program, "serve", folder, "--port", "0", *options], cwd=root,
                                        stdout=subprocess.PIPE, text=True)
        self.port = int(re.search(r":(\d+)/", self.process.stdout.readline()).group(1))

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.process.terminate()
        self.process.wait()
        self.process.stdout.close()

    def call(self, method, path, body=None, revision=None, mime="application/json"):
        """Status and JSON of an answer; `body` is JSON or bytes."""
        fields = {"X-Author": "tester"}
        if revision:
            fields["If-Match"] = f'"r{revision}"'
        if body is not None:
            fields["Content-Type"] = mime
            body = body if isinstance(body, bytes) else json.dumps(body).encode()
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        connection.request(method, path, body, fields)
        answer = connection.getresponse()
        text = answer.read()
        connection.close()
        return answer.status, json.loads(text) if text else None

    def waited_for(self, path):
        """The same for a report that may take long: each 202 took the workbench a while."""
        status = 202
        while status == 202:
            status, answer = self.call("GET", path)
        return status, answer

    def events(self, graft, last=0):
        """Name and data of events, replayed from the one after `last`, without end."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)
        connection.request("GET", f"/api/events?graft={in_path(graft)}&last={last}")
        with connection.getresponse() as stream:
            name = ""
            for line in stream:
                field, _, value = line.decode().rstrip("\n").partition(": ")
                if field == "event":
                    name = value
                if field == "data":
                    yield name, json.loads(value)
        connection.close()
