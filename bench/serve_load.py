#!/usr/bin/env python3
"""The workbench under load: eight clients edit, measure and ask for reports at once.

Usage: bench/serve_load.py PROGRAM [SECONDS] [EDITS A SECOND]

Prints how long readings and edits take to be acknowledged, each report alone and under load, and the memory of the
program in the course of time. Needs Python only.
"""
import http.client
import json
import os
import random
import re
import statistics
import subprocess
import sys
import tempfile
import threading
import time

program = sys.argv[1]
seconds = float(sys.argv[2]) if len(sys.argv) > 2 else 60.0
edits_a_second = float(sys.argv[3]) if len(sys.argv) > 3 else 2.0
reports = ["reports/check", "reports/compare", "reports/design", "reports/prove", "reports/circuits", "reports/find",
           "drawings/diagram", "drawings/matrix"]
graft = "load"


def start(folder):
    child = subprocess.Popen([program, "serve", folder, "--port", "0"], stdout=subprocess.PIPE, text=True,
                             env={**os.environ, "XDG_CACHE_HOME": os.path.join(folder, "cache")})
    for line in child.stdout:
        found = re.search(r"http://127\.0\.0\.1:(\d+)", line)
        if found:
            threading.Thread(target=child.stdout.read, daemon=True).start()
            return child, int(found.group(1))
    sys.exit("the program did not start")


class Client:
    def __init__(self, port):
        self.port = port
        self.link = None

    def ask(self, method, path, body=None, headers=None):
        for _ in range(2):
            try:
                self.link = self.link or http.client.HTTPConnection("127.0.0.1", self.port, timeout=120)
                self.link.request(method, path, body, headers or {})
                answer = self.link.getresponse()
                return answer, answer.read()
            except (http.client.HTTPException, OSError):
                self.link = None
        raise RuntimeError("the program does not answer")

    def report(self, name):
        """Until the report is there, also where it takes a job."""
        path = f"/api/grafts/{graft}/{name}"
        for _ in range(2000):
            answer, body = self.ask("GET", path)
            if answer.status in (200, 503):
                return answer.status, body
            if answer.status == 202:
                job = json.loads(body)["job"]
                while json.loads(self.ask("GET", f"/api/jobs/{job}")[1]).get("state") == "running":
                    time.sleep(0.05)
                path = f"/api/grafts/{graft}/{name}?job={job}"
        return 0, b""


def memory_mb(pid):
    with open(f"/proc/{pid}/status") as status:
        return int(re.search(r"VmRSS:\s+(\d+)", status.read()).group(1)) / 1024


def figures(name, times):
    if not times:
        return print(f"{name:<28} none")
    ordered = sorted(times)
    at = lambda share: ordered[min(len(ordered) - 1, int(share * len(ordered)))] * 1000
    print(f"{name:<28} {len(times):>5}  median {at(0.5):8.1f} ms  95 % {at(0.95):8.1f} ms  worst {ordered[-1] * 1000:8.1f} ms")


class Load:
    def __init__(self, port):
        self.port = port
        self.until = time.monotonic() + seconds
        self.times = {"reading": [], "edit": [], **{name: [] for name in reports}}
        self.lock = threading.Lock()
        self.refused = 0

    def note(self, what, began, fine=True):
        with self.lock:
            if fine:
                self.times[what].append(time.monotonic() - began)
            else:
                self.refused += 1

    def going(self):
        return time.monotonic() < self.until

    def measure(self, number):
        client, count = Client(self.port), 0
        while self.going():
            count += 1
            body = json.dumps({"id": f"c{number}-{count}", "test": f"load {number}", "value": random.random(),
                               "unit": "ohm"})
            began = time.monotonic()
            answer, _ = client.ask("POST", f"/api/grafts/{graft}/readings", body, {"Content-Type": "application/json"})
            self.note("reading", began, answer.status < 300)
            time.sleep(0.2)

    def edit(self, number):
        client = Client(self.port)
        while self.going():
            answer, body = client.ask("GET", f"/api/grafts/{graft}")
            wires = json.loads(body)["wires"]
            at = random.randrange(len(wires))
            patch = [{"op": "test", "path": f"/wires/{at}/id", "value": wires[at]["id"]},
                     {"op": "add", "path": f"/wires/{at}/length_mm", "value": random.randrange(300, 4000)}]
            began = time.monotonic()
            answer, _ = client.ask("PATCH", f"/api/grafts/{graft}", json.dumps(patch),
                                   {"Content-Type": "application/json-patch+json", "If-Match": answer.headers["ETag"]})
            self.note("edit", began, answer.status < 300)
            time.sleep(2 / edits_a_second)

    def read(self, number):
        client = Client(self.port)
        while self.going():
            name = random.choice(reports)
            began = time.monotonic()
            status, _ = client.report(name)
            self.note(name, began, status == 200)


def main():
    with tempfile.TemporaryDirectory() as folder:
        child, port = start(folder)
        client = Client(port)
        demo = client.ask("GET", "/demo.json")[1]
        client.ask("POST", "/api/grafts", json.dumps({"name": graft}), {"Content-Type": "application/json"})
        client.ask("POST", f"/api/grafts/{graft}/import", demo, {"Content-Type": "application/json"})
        alone = {}
        for name in reports:
            began = time.monotonic()
            client.report(name)
            alone[name] = time.monotonic() - began
        load = Load(port)
        threads = [threading.Thread(target=work, args=(number,))
                   for number, work in enumerate([load.measure, load.measure, load.measure, load.edit, load.edit,
                                                  load.read, load.read, load.read])]
        for thread in threads:
            thread.start()
        began = time.monotonic()
        samples = []
        while load.going():
            time.sleep(min(5.0, seconds / 10))
            samples.append((time.monotonic() - began, memory_mb(child.pid)))
        for thread in threads:
            thread.join()
        figures("reading acknowledged", load.times["reading"])
        figures("edit acknowledged", load.times["edit"])
        for name in reports:
            figures(name, load.times[name])
            if load.times[name]:
                times = sorted(load.times[name])
                ratio = times[int(0.95 * len(times))] / max(alone[name], 0.02)
                print(f"{'':<28} alone {alone[name] * 1000:.1f} ms; 95 % under load is {ratio:.1f} times that (20 ms at least)")
        print(f"refused {load.refused}")
        print("memory MB at s: " + ", ".join(f"{at:.0f}: {mb:.0f}" for at, mb in samples[:: max(1, len(samples) // 12)]))
        child.terminate()
        print(f"ended with status {child.wait()}")


if __name__ == "__main__":
    main()
