"""The schemas themselves: well formed, strict, described, and with no field that the program never writes."""
import copy
import unittest

import jsonschema

import program
import schemas


class Schemas(unittest.TestCase):
    maxDiff = None

    def test_are_schemas(self):
        for name, schema in schemas.files.items():
            with self.subTest(name):
                jsonschema.Draft202012Validator.check_schema(schema)

    def test_are_strict(self):
        for path, schema in schemas.all_objects():
            with self.subTest(path):
                self.assertIs(schema.get("additionalProperties"), False)
                self.assertLessEqual(set(schema.get("required", [])), schema["properties"].keys())

    def test_describe_every_field(self):
        for path, schema in schemas.all_objects():
            for name, field in schema["properties"].items():
                with self.subTest(f"{path}/{name}"):
                    self.assertTrue(field.get("description"))

    def test_notice_what_does_not_fit(self):
        good = program.report("check", program.demo / "found-manual.csv")
        self.assertEqual(schemas.violations("check", good), [])
        self.assertTrue(good["problems"])

        def is_noticed(change):
            value = copy.deepcopy(good)
            change(value)
            return schemas.violations("check", value) != []

        self.assertTrue(is_noticed(lambda value: value.pop("usable")))
        self.assertTrue(is_noticed(lambda value: value.update(usabel=True)))
        self.assertTrue(is_noticed(lambda value: value.update(usable="yes")))
        self.assertTrue(is_noticed(lambda value: value["problems"][0].update(severity="grave")))
        self.assertTrue(is_noticed(lambda value: value["problems"][0].update(somewhere="here")))

    def test_every_field_was_seen(self):
        """After the other tests: a field of a schema that no report had is misspelt or gone."""
        unseen = [f"{path}: {name}" for path, schema in schemas.all_objects() for name in schema["properties"]
                  if (id(schema), name) not in schemas.seen]
        # The demo need not use every field of a document, and a code to join with needs a network.
        self.assertEqual([field for field in unseen if not field.startswith(("graft", "answers/join", "answers/devices"))], [])
