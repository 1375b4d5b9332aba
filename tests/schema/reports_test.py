"""What each command prints with --json, against its schema."""
import json
import pathlib
import tempfile
import unittest

import program
import schemas

demo = program.demo
graft = demo / "graft.json"
found = f"{demo}/found-manual.csv+{demo}/found-forum.md"


class Reports(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory(prefix="loomgraft-schema-")
        self.addCleanup(self.folder.cleanup)

    def file(self, name, content):
        path = pathlib.Path(self.folder.name) / name
        path.write_text(content if isinstance(content, str) else json.dumps(content))
        return path

    def changed_demo(self, change):
        document = json.loads(graft.read_text())
        change(document)
        return self.file("changed.json", document)

    def empty_graft(self):
        path = pathlib.Path(self.folder.name) / "empty.json"
        program.run("new", path, "--title", "")
        return path

    def check(self, schema, *arguments):
        value = program.report(*arguments)
        if lines := schemas.violations(schema, value):
            self.fail("\n".join(lines))
        return value

    def test_read(self):
        for name in ("found-manual.csv", "found-forum.md", "donor.txt", "donor-automatic.md"):
            self.assertTrue(self.check("read", "read", demo / name)["tables"])
        for name in ("two_plugs_openpyxl.xlsx", "two_plugs_groff.pdf", "two_plugs_libreoffice.ods"):
            pin = self.check("read", "read", program.root / "tests/data" / name)["tables"][0]["pins"][0]
            self.assertRegex(pin["source"]["place"], "^(sheet|page) ")
        letter = self.file("letter.txt", "No table in here.\n")
        self.assertTrue(self.check("read", "read", letter)["problems"])
        self.assertTrue(self.check("read", "read", "no-such-file.csv")["problems"])

    def test_compare(self):
        report = self.check("compare", "compare", found, demo / "donor.txt")
        self.assertTrue(report["circuits"] and report["moves"] and report["questions"] and report["tags"])
        self.check("compare", "compare", found, demo / "donor.txt", "--supply", "24")
        self.check("compare", "compare", f"{graft}#found", f"{graft}#donor")
        self.check("compare", "compare", demo / "found-manual.csv", demo / "donor-wrong-generation.csv")

    def test_compare_that_fails(self):
        report = self.check("compare", "compare", found, "no-such-file.csv")
        self.assertTrue(report["problems"] and not report["circuits"])

    def test_compare_after_a_person_decided(self):
        questions = self.check("compare", "compare", f"{graft}#found", f"{graft}#donor")["questions"]
        self.assertTrue(any("measure" in question for question in questions))
        document = json.loads(graft.read_text())
        ends = {module["role"]: module["pins"][0] for module in document["modules"]}
        answer = {"id": "answer1", **{role: {"connector": pin["connector"], "cavity": pin["cavity"]}
                                      for role, pin in ends.items() if role != "other"}}
        path = self.changed_demo(lambda document: document.update(circuit_answers=[answer]))
        circuits = self.check("compare", "compare", f"{path}#found", f"{path}#donor")["circuits"]
        self.assertTrue(any("decided" in circuit for circuit in circuits))

    def test_rank(self):
        donors = [demo / name for name in ("donor.txt", "donor-automatic.md", "donor-wrong-generation.csv")]
        self.assertEqual(len(self.check("rank", "rank", demo / "found-manual.csv", *donors)["donors"]), 3)
        self.assertTrue(self.check("rank", "rank", demo / "found-manual.csv", "no-such-file.csv")["problems"])

    def test_plug(self):
        seen = "r1c1 BN/YE, r1c2 YE/RD, r1c10 RD, r1c11 RD/GN large, r3c1 empty, latch top"
        self.assertTrue(self.check("plug", "plug", f"{graft}#found", "--seen", seen)["places"])
        self.check("plug", "plug", f"{graft}#found", "--seen", "r1c1 RD")
        self.assertTrue(self.check("plug", "plug", f"{graft}#found", "--seen", "hello")["problems"])
        self.assertTrue(self.check("plug", "plug", "no-such-file.csv", "--seen", "r1c1 RD")["problems"])

    def test_circuits(self):
        path = self.changed_demo(lambda document: document["plan"].append(
            {"action": "add", "added": {"id": "spare", "signal": "fog lamp relay", "from": {"at": "found.C2", "cavity": "11"}}}))
        cards = self.check("circuits", "circuits", path)["cards"]
        self.assertTrue(any(card["open"] for card in cards) and any(not card["open"] for card in cards))
        self.assertTrue(self.check("circuits", "circuits", path, "--take-all", "--vehicle", "van")["cards"])
        self.assertGreater(len(self.check("recipes", "circuits", "--recipes")["recipes"]), 60)

    def test_design(self):
        report = self.check("design", "design", graft)
        self.assertTrue(report["circuits"] and report["assumptions"])
        self.assertFalse(self.check("design", "design", self.empty_graft())["circuits"])

    def test_design_that_fails_its_checks(self):
        def starve(document):
            for step in document["plan"]:
                if step["action"] == "add":
                    step["added"]["area_mm2"] = 0.1
            for device in document["devices"]:
                device.pop("suppression", None)
                if device.get("kind") in ("valve", "solenoid", "coil"):
                    device["resistance_ohm"] = 1

        report = self.check("design", "design", self.changed_demo(starve))
        self.assertFalse(report["passes"])

    def test_design_that_lacks_a_fact(self):
        def unknown_length(document):
            for step in document["plan"]:
                step.get("added", {}).pop("length_mm", None)
                step.get("added", {}).pop("along", None)

        report = self.check("design", "design", self.changed_demo(unknown_length))
        self.assertTrue(any(circuit["missing"] for circuit in report["circuits"]))

    def test_design_with_a_back_feed(self):
        lamp = {"id": "wrong", "from": {"at": "BUS30", "cavity": "1"}, "to": {"at": "H21", "cavity": "1"}}
        path = self.changed_demo(lambda document: document["plan"].append({"action": "add", "added": lamp}))
        self.assertTrue(self.check("design", "design", path)["back_feeds"])

    def test_what_if(self):
        report = self.check("what_if", "design", graft, "--what", "n_y21.area_mm2=4")
        self.assertTrue(report["sizes"] or report["checks"])
        self.check("what_if", "design", graft, "--what", "Y21.resistance_ohm=1")
        self.check("what_if", "design", graft, "--what", "rules.drop_earth_v=0.001")

    def test_solve(self):
        for condition in ("PTO engaged", "off", "crank"):
            self.assertTrue(self.check("solve", "solve", graft, "--condition", condition)["branches"])
        self.check("solve", "solve", graft, "--condition", "on", "--corner", "weakest", "--as-found")
        self.check("solve", "solve", self.empty_graft(), "--condition", "on")

    def test_prove(self):
        report = self.check("prove", "prove", graft)
        self.assertTrue(report["plan"] and report["unexposed"] and report["access"])
        self.assertIsNone(report["budget"])
        self.assertTrue(self.check("prove", "prove", graft, "--minutes", "40")["budget"])
        self.assertFalse(self.check("prove", "prove", self.empty_graft())["plan"])

    def test_find(self):
        self.assertGreater(self.check("find", "find", graft)["no_fault"], 0.5)
        report = self.check("find", "find", graft, "--reading", "1=over")
        self.assertTrue(report["fault_notes"] and report["repairs"])
        unusable = self.check("find", "find", graft, "--reading", "1=over", "--reading", "2=hello")
        self.assertTrue(unusable["problems"] and not unusable["repairs"])
        self.check("find", "find", self.empty_graft())
        differing = self.check("find", "find", graft, "--reading", "1=OL", "--reading", "1=0,2 Ohm")
        self.assertTrue(differing["differing"] and not differing["isolated"])
        self.assertEqual(differing["next"][0]["reason"], "readings-differ")

    def test_symptoms(self):
        symptoms = self.check("symptoms", "find", graft, "--symptoms")["symptoms"]
        self.assertIn("Y20:never-works", [one["id"] for one in symptoms])
        noticed = self.check("find", "find", graft, "--symptom", "PTO valve:never pulls")
        self.assertEqual(noticed["symptoms"][0]["id"], "Y20:never-works")

    def test_find_of_a_practice_fault(self):
        practice = self.check("practice", "find", graft, "--as-if", "blown_fuse F31")
        readings = [f"{reading['test']}={reading['value']}" for reading in practice["readings"]]
        arguments = [part for reading in readings for part in ("--reading", reading)]
        report = self.check("find", "find", graft, *arguments)
        self.assertIn("F31", report["isolated"])

    def test_check(self):
        self.assertTrue(self.check("check", "check", graft)["usable"])
        self.assertTrue(self.check("check", "check", self.empty_graft())["usable"])
        broken = self.changed_demo(lambda document: document["wires"][0].update(area_mm2="thick", colour=7))
        problems = self.check("check", "check", broken)["problems"]
        self.assertTrue(any(problem.get("pointer") for problem in problems))
        named = self.changed_demo(lambda document: document["devices"][0].update(name="airbag squib"))
        self.assertEqual(self.check("check", "check", named)["presumed"][0]["kind"], "restraint")
        torn = self.file("torn.json", '{"format":"loomgraft",\n,')
        self.assertFalse(self.check("check", "check", torn)["usable"])
        self.assertFalse(self.check("check", "check", "no-such-file.json")["usable"])

    def test_plan(self):
        self.check("plan", "plan", graft)
        path = self.changed_demo(lambda document: document.pop("plan"))
        self.assertGreater(self.check("plan", "plan", path)["moves"], 0)

    def test_graft(self):
        self.assertEqual(schemas.violations("graft", json.loads(self.empty_graft().read_text())), [])
        self.assertEqual(schemas.violations("graft", json.loads(graft.read_text())), [])

    def test_history(self):
        file = pathlib.Path(self.folder.name) / "van.graft"
        program.run("import", graft, file, "--author", "tester", "--time", "2026-03-01T10:00:00Z")
        self.assertEqual(len(self.check("history", "history", file)["history"]), 1)
