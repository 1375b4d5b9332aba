"""The program, a folder that it serves, and senders that remember what was acknowledged."""
import http.client
import json
import pathlib
import re
import shutil
import subprocess
import tempfile
import threading
import time

root = pathlib.Path(__file__).parents[2]
path = root / "build/loomgraft"
long = False


def rounds(short, full):
    return full if long else short


def until(comes_true, seconds=30):
    """Asks again and again, with a breath between; false where it never comes true."""
    deadline = time.monotonic() + seconds
    while not comes_true():
        if time.monotonic() > deadline:
            return False
        threading.Event().wait(0.01)
    return True


def run(*arguments):
    return subprocess.run([path, *map(str, arguments)], capture_output=True, text=True, timeout=120)


class Folder:
    """A folder of its own; on memory where there is such a folder, as in tests/store."""

    def __enter__(self):
        memory = pathlib.Path("/dev/shm")
        self.path = pathlib.Path(tempfile.mkdtemp(prefix="loomgraft-attack-", dir=memory if memory.is_dir() else None))
        return self.path

    def __exit__(self, *_):
        shutil.rmtree(self.path, ignore_errors=True)


def new_graft(file):
    document = file.with_suffix(".json")
    document.write_text('{"format":"loomgraft","version":1,"title":"attacked"}')
    done = run("import", document, file)
    document.unlink()
    assert file.exists(), done.stderr


def readings_of(file):
    """Ids of the readings in a file, as the program exports them; None where it refuses the file."""
    done = run("export", file)
    if done.returncode != 0:
        return None
    return [reading["id"] for reading in json.loads(done.stdout).get("readings", [])]


class Server:
    def __init__(self, folder, *options, **more):
        self.process = subprocess.Popen([path, "serve", folder, "--port", "0", *options], stdout=subprocess.PIPE,
                                        stderr=subprocess.DEVNULL, text=True, **more)
        for line in self.process.stdout:
            found = re.search(r"Workbench: .*:(\d+)/", line)
            if found:
                self.port = int(found.group(1))
                return
        raise AssertionError("the server did not start")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.end()

    def kill(self):
        self.process.kill()
        self.process.wait()
        self.process.stdout.close()

    def end(self):
        if self.process.poll() is None:
            self.process.terminate()
            self.process.wait()
        if not self.process.stdout.closed:
            self.process.stdout.close()

    def call(self, method, where, body=None, mime="application/json", fields=None):
        """Status and JSON; status 0 where nobody answers."""
        fields = dict(fields or {})
        if body is not None:
            fields["Content-Type"] = mime
            body = body if isinstance(body, bytes) else json.dumps(body).encode()
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        try:
            connection.request(method, where, body, fields)
            answer = connection.getresponse()
            text = answer.read()
            if answer.getheader("Content-Type", "").startswith("application/json") and text:
                return answer.status, json.loads(text)
            return answer.status, text
        except (OSError, http.client.HTTPException, ValueError):
            return 0, None
        finally:
            connection.close()

    def send(self, graft, number):
        body = {"id": f"r{number}", "test": "t", "value": number, "unit": "V"}
        return self.call("POST", f"/api/grafts/{graft}/readings", body)[0]


class Sender(threading.Thread):
    """Sends readings from `first` on until nobody answers or one is refused; keeps those that were acknowledged."""

    def __init__(self, server, graft, first, most=10 ** 6):
        super().__init__(daemon=True)
        self.server, self.graft, self.next, self.last = server, graft, first, first + most
        self.acknowledged, self.refused = [], None
        self.start()

    def run(self):
        while self.next < self.last:
            number, self.next = self.next, self.next + 1
            status = self.server.send(self.graft, number)
            if status not in (200, 201):
                self.refused = status
                return
            self.acknowledged.append(f"r{number}")
