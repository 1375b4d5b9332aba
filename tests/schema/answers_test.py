"""The workbench's answers and events, against their schemas."""
import base64
import json
import pathlib
import tempfile
import unittest

import program
import schemas

tiny_png = base64.b64decode("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNkYPhfDwAC"
                            "hwGA60e6kgAAAABJRU5ErkJggg==")
van = "/api/grafts/van"


def flat_spreadsheet(sheets):
    """An OpenDocument spreadsheet as one XML text."""
    tables = "".join(
        f'<table name="{name}">' + "".join(
            "<table-row>" + "".join(f"<table-cell><p>{cell}</p></table-cell>" for cell in row) + "</table-row>"
            for row in rows) + "</table>" for name, rows in sheets.items())
    return ('<office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"><body><spreadsheet>'
            f"{tables}</spreadsheet></body></office:document>").encode()


class Answers(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory(prefix="loomgraft-schema-")
        self.addCleanup(folder.cleanup)
        self.folder = pathlib.Path(folder.name)
        self.bench = program.Workbench(self.folder)
        self.addCleanup(self.bench.__exit__)

    def fits(self, schema, value):
        if lines := schemas.violations(schema, value):
            self.fail("\n".join(lines))
        return value

    def send(self, method, path, schema, status=200, body=None, revision=None, request=None,
             mime="application/json"):
        if request:
            self.fits("requests/" + request, body)
        got, answer = self.bench.call(method, path, body, revision, mime)
        self.assertEqual(got, status, answer)
        return self.fits(schema, answer)

    def get(self, path, schema, status=200):
        return self.send("GET", path, schema, status)

    def refused(self, method, path, status, **more):
        return self.send(method, path, "answers/refusal", status, **more)["problems"]

    def make(self, name="van", example=True):
        body = {"name": name, "title": "", "example": example}
        return self.send("POST", "/api/grafts", "graft", 201, body, request="new_graft")

    def test_session_and_list(self):
        self.assertTrue(self.get("/api/session", "answers/session")["loopback"])
        self.assertEqual(self.get("/api/grafts", "answers/grafts")["grafts"], [])
        self.make()
        (self.folder / "damaged.graft").write_bytes(b"SQLite format 3\0 and then nothing of the kind")
        entries = self.get("/api/grafts", "answers/grafts")["grafts"]
        self.assertTrue(any("problems" in entry for entry in entries))

    def test_copies(self):
        self.make()
        copy = self.send("POST", van + "/copies", "answers/copy", 201)
        self.assertEqual(self.get(van + "/copies", "answers/copies")["copies"], [copy])
        self.send("POST", f"{van}/copies/{copy['name']}/put_back", "answers/put_back")
        self.refused("GET", van + "/copies/none", 404)
        # A copy that lacks its log: made while there is one, which is not for long.
        remarks = []
        for number in range(50):
            reading = {"id": f"r{number}", "test": "t", "value": 1, "unit": "V"}
            self.send("POST", van + "/readings", "answers/appended", 201, reading)
            (self.folder / "copied.graft").write_bytes((self.folder / "van.graft").read_bytes())
            entries = self.get("/api/grafts", "answers/grafts")["grafts"]
            remarks = [entry for entry in entries if "remarks" in entry]
            if remarks:
                break
        self.assertTrue(remarks)

    def test_join(self):
        with program.Workbench(self.folder, "--lan", "--any-address") as bench:
            status, answer = bench.call("GET", "/api/join")
            self.fits("answers/join" if status == 200 else "answers/refusal", answer)
            body = self.fits("requests/pairing", {"token": "wrong"})
            refusal = self.fits("answers/refusal", bench.call("POST", "/api/pair", body)[1])
            self.assertEqual(refusal["problems"][0]["code"], "wrong-code")
            if status == 200:
                bench.call("POST", "/api/pair", {"token": answer["token"]})
                devices = self.fits("answers/devices", bench.call("GET", "/api/devices")[1])
                self.assertEqual(len(devices["devices"]), 1)

    def test_edits(self):
        self.make()
        patch = [{"op": "add", "path": "/title", "value": "Van"}]
        kind = "application/json-patch+json"
        saved = self.send("PATCH", van, "answers/saved", 200, patch, 1, "patch", kind)
        self.assertEqual(saved["revision"], 2)
        other = [{"op": "add", "path": "/title", "value": "Bus"}]
        self.refused("PATCH", van, 409, body=other, revision=1, mime=kind)
        self.refused("PATCH", van, 400, body=[{"op": "remove", "path": "/nothing"}], revision=2, mime=kind)
        self.assertTrue(self.send("POST", van + "/undo", "answers/step_taken", revision=2)["text"])
        self.send("POST", van + "/redo", "answers/step_taken", revision=3)
        self.refused("POST", van + "/redo", 409, revision=4)
        revisions = self.get(van + "/history", "answers/revisions")["revisions"]
        self.assertEqual([one["kind"] for one in revisions], ["redo", "undo", "edit", "edit"])

    def test_documents(self):
        self.make()
        self.make("empty", example=False)
        self.get("/api/grafts/empty", "graft")
        document = self.get(van + "/export", "graft")
        document["readings"] = [{"id": "one", "test": "t", "value": 1.5, "unit": "V"}]
        document["wires"][0]["area_mm2"] = "thick"
        imported = self.send("POST", "/api/grafts/empty/import", "answers/imported", body=document)
        self.assertTrue(imported["problems"])
        self.get("/api/grafts/empty/readings", "answers/readings")
        self.refused("GET", "/api/grafts/none", 404)
        self.refused("POST", "/api/grafts", 409, body={"name": "van"})

    def test_tables(self):
        self.make("empty", example=False)
        fuses = "\n| fuse | rating |\n|---|---|\n| F1 | 10 A |\n| F2 | 15 A |\n"
        text = (program.demo / "found-forum.md").read_text() + fuses
        rules = {"colour_codes": {"LG": "GN"}, "types": {"x7": "knock"}}
        body = {"name": "forum.md", "text": text, "columns": {"Pin": "cavity"}, **rules}
        read = self.send("POST", "/api/tables", "read", body=body, request="table")
        self.assertTrue(read["tables"][0]["columns"] and read["skipped"])
        body = {**body, "role": "found", "table": 0}
        path = "/api/grafts/empty/tables"
        added = self.send("POST", path, "answers/table_added", body=body, request="new_table")
        packed = base64.b64encode((program.demo / "found-manual.csv").read_bytes()).decode()
        body = {"name": "manual.csv", "base64": packed, "role": "found", "module": added["module"]}
        self.send("POST", path, "answers/table_added", body=body, request="new_table")
        self.refused("POST", path, 400, body={"name": "letter", "text": "No table."})
        self.send("POST", "/api/tables", "read", body={"name": "letter", "text": "No table."})
        body = {"name": "manual.csv", "base64": packed}
        self.send("POST", "/api/tables", "read", body=body, request="table")

    def test_spreadsheets(self):
        self.make("empty", example=False)
        rows = {"Connector X2": [["Pin", "Function"], ["1", "earth"], ["2", "supply"], ["2", "lamp"]],
                "Fuses": [["Fuse", "Rating"], ["F1", "10 A"], ["F2", "15 A"]]}
        body = {"name": "pins.fods", "base64": base64.b64encode(flat_spreadsheet(rows)).decode()}
        read = self.send("POST", "/api/tables", "read", body=body, request="table")
        self.assertEqual(read["tables"][0]["place"], "sheet Connector X2, row 1")
        self.assertEqual(read["skipped"][0]["place"], "sheet Fuses, row 1")
        self.assertIn("sheet Connector X2, A4", [problem.get("place") for problem in read["problems"]])
        body["role"] = "found"
        self.send("POST", "/api/grafts/empty/tables", "answers/table_added", body=body, request="new_table")
        pins = self.get("/api/grafts/empty", "graft")["modules"][0]["pins"]
        self.assertEqual(pins[0]["claims"][0]["place"], "sheet Connector X2, A2")
        photo = {"name": "pins.xlsx", "base64": base64.b64encode(tiny_png).decode()}
        problems = self.send("POST", "/api/tables", "read", body=photo, request="table")["problems"]
        self.assertEqual(problems[0]["code"], "file-kind-not-read")
        self.refused("POST", "/api/grafts/empty/tables", 400, body=photo)

    def test_circuits(self):
        self.make()
        self.get("/api/recipes", "recipes")
        patch = [{"op": "add", "path": "/plan/-", "value": {
            "action": "add", "added": {"id": "spare", "signal": "fog lamp relay", "from": {"at": "found.C2", "cavity": "11"}}}}]
        self.bench.call("PATCH", van, patch, 1, "application/json-patch+json")
        path = van + "/circuits"
        changes = [{"change": "take", "wire": "spare", "recipe": "ls_relay_lamp_pair", "use": {}, "text": "fog lamps"},
                   {"change": "insert", "wire": "spare", "part": "connector"},
                   {"change": "places", "shape": "van"}]
        for body in changes:
            self.send("POST", path, "answers/circuit_changed", body=body, request="circuit_change")
        earthed = {"change": "second_earth", "device": "fog_lamp_left"}
        self.send("POST", path, "answers/circuit_changed", body=earthed, request="circuit_change")
        for body in ({"change": "remedy", "remedy": "relay", "subject": "nothing"},
                     {"change": "use_existing", "device": "fog_lamp_left", "other": "nothing"}):
            self.refused("POST", path, 409, body=self.fits("requests/circuit_change", body))

    def test_plan_and_plug(self):
        self.make()
        body = {"found": "found", "donor": "donor"}
        path = van + "/plan/propose"
        self.send("POST", path, "answers/proposal", body=body, revision=1, request="proposal_query")
        seen = [{"row": 1, "column": 1, "colour": "BN/YE"}, {"row": 3, "column": 1, "empty": True},
                {"row": 1, "column": 11, "colour": "RD/GN", "large": True}]
        body = {"seen": seen, "latch": "top", "side": "mating"}
        self.send("POST", van + "/plug", "plug", body=body, request="plug_query")
        body = {"text": "r1c1 RD", "connectors": ["found.C2"]}
        self.send("POST", van + "/plug", "plug", body=body, request="plug_query")
        self.make("empty", example=False)
        self.refused("POST", "/api/grafts/empty/plug", 404, body={})
        self.refused("POST", "/api/grafts/empty/plan/propose", 404, body={})

    def report(self, path, schema, status=200):
        got, answer = self.bench.waited_for(path)
        self.assertEqual(got, status, answer)
        return self.fits(schema, answer)

    def test_reports(self):
        self.make()
        reports = van + "/reports/"
        for name in ("check", "compare", "rank", "design", "solve", "prove", "find"):
            self.report(reports + name, name)
        self.report(reports + "design?what=Y21.resistance_ohm%3D1", "what_if")
        self.report(reports + "practice?fault=", "practice")
        self.report(reports + "find?learn=off", "find")
        symptoms = self.report(reports + "symptoms", "symptoms")["symptoms"]
        self.assertTrue(any(one["kind"] == "never-works" for one in symptoms))
        noticed = self.report(reports + "find?learn=off&symptom=" + symptoms[0]["id"], "find")
        self.assertEqual([one["id"] for one in noticed["symptoms"]], [symptoms[0]["id"]])
        practised = self.report(reports + "find?learn=off&practice=0:1000000000,0:0.2", "find")
        self.assertEqual(practised["differing"][0]["values"], [1e9, 0.2])
        self.report(reports + "solve?corner=strongest&stage=found", "solve")
        for wrong in ("compare?donor=none", "rank?found=none", "solve?condition=none", "solve?corner=none",
                      "design?what=none", "practice?fault=none"):
            status, answer = self.bench.waited_for(reports + wrong)
            self.assertGreaterEqual(status, 400)
            self.fits("answers/refusal", answer)

    def test_reports_of_a_new_graft(self):
        self.make("empty", example=False)
        for name in ("check", "design", "solve", "prove", "find", "practice"):
            status, answer = self.bench.waited_for("/api/grafts/empty/reports/" + name)
            self.fits(name if status == 200 else "answers/refusal", answer)
        for name in ("compare", "rank"):
            self.report("/api/grafts/empty/reports/" + name, "answers/refusal", 404)

    def many_circuits(self):
        """A graft that takes long to prove: the demo's added circuits many times over."""
        document = json.loads((program.demo / "graft.json").read_text())
        added = [step for step in document["plan"] if step["action"] == "add"]
        for copy in range(20):
            for step in added:
                wire = {**step["added"], "id": f"{step['added']['id']}_{copy}"}
                document["plan"].append({**step, "added": wire})
        return document

    def test_jobs(self):
        self.make("empty", example=False)
        self.send("POST", "/api/grafts/empty/import", "answers/imported", body=self.many_circuits())
        job = self.get("/api/grafts/empty/reports/prove", "answers/job_started", 202)["job"]
        self.assertEqual(self.get("/api/jobs/" + job, "answers/job")["state"], "running")
        self.assertEqual(self.send("DELETE", "/api/jobs/" + job, "answers/job")["state"], "cancelled")
        self.refused("GET", "/api/jobs/none", 404)

    def test_ticks_readings_photos(self):
        self.make()
        self.send("PUT", van + "/ticks/step:1", "answers/appended", body={"done": True}, request="new_tick")
        self.refused("PUT", van + "/ticks/step:1", 400, body={})
        self.get(van + "/ticks", "answers/ticks")
        reading = self.fits("answers/reading", {"id": "r1", "test": "t", "value": 0.4, "unit": "ohm"})
        self.send("POST", van + "/readings", "answers/appended", 201, reading)
        self.send("POST", van + "/readings", "answers/appended", 200, reading)
        self.refused("POST", van + "/readings", 409, body={**reading, "value": 1})
        marked = self.fits("answers/reading", {"id": "r2", "test": "t", "value": 0.4, "unit": "ohm", "in_band_only": True})
        self.send("POST", van + "/readings", "answers/appended", 201, marked)
        shown = self.fits("answers/reading", {"id": "r3", "test": "t", "value": 0.4, "unit": "ohm", "practice": True})
        self.send("POST", van + "/readings", "answers/appended", 200, shown)
        self.assertTrue(self.report(van + "/reports/find", "find")["problems"])
        self.get(van + "/readings", "answers/readings")
        path = van + "/photos?subject=step:1&name=a.png&id=p1"
        self.send("POST", path, "answers/photo_added", 201, tiny_png, mime="image/png")
        self.get(van + "/photos", "answers/photos")
        self.send("DELETE", van + "/photos/p1", "answers/appended")
        self.assertIn("removed", self.get(van + "/photos", "answers/photos")["photos"][0])
        self.refused("GET", van + "/photos/p1", 410)

    def test_meter(self):
        meter = self.get("/api/meter", "answers/meter")
        self.assertEqual(meter["state"], "none")
        body = self.fits("requests/meter_step", {"page": "p1", "graft": "van", "test": "t"})
        self.assertEqual(self.refused("POST", "/api/meter", 409, body=body)[0]["code"], "no-meter")
        self.fits("events/meter_event", meter)

    def test_events(self):
        self.make("van", example=False)
        self.send("PUT", van + "/ticks/step:1", "answers/appended", body={"done": True})
        reading = {"id": "r1", "test": "t", "value": 1, "unit": "V", "in_band_only": True}
        self.send("POST", van + "/readings", "answers/appended", 201, reading)
        path = van + "/photos?subject=a&name=a.png&id=p1"
        self.send("POST", path, "answers/photo_added", 201, tiny_png, mime="image/png")
        self.send("DELETE", van + "/photos/p1", "answers/appended")
        self.send("POST", van + "/import", "answers/imported", body=self.many_circuits())
        events = self.bench.events("van")
        names = set()
        for name, data in events:
            self.fits(f"events/{name}_event", data)
            if name == "revision" and data["revision"] == 2:
                job = self.get(van + "/reports/prove", "answers/job_started", 202)["job"]
                self.send("DELETE", "/api/jobs/" + job, "answers/job")
            names.add(name)
            if name == "job":
                break
        events.close()
        self.assertEqual(names, {"revision", "tick", "reading", "photo", "job"})
