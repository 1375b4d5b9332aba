"""The JSON schemas of schema/: checks values against them, and records which of their fields were seen.

Every reference is replaced by the definition it refers to, one shared object per definition. No schema refers
to itself, so this ends. Versions of the jsonschema package differ in how they resolve references between
files, and resolving is slow.
"""
import json
import pathlib

import jsonschema

folder = pathlib.Path(__file__).parents[2] / "schema"
ending = ".schema.json"
files = {path.name.removesuffix(ending): json.loads(path.read_text())
         for path in sorted(folder.glob("*" + ending))}
definitions = {}  # by name: "compare" for a file, "compare/hazard" for a definition in it
seen = set()  # (id of an object's schema, name of a field) of the fields that some value had


def definition(name):
    if name not in definitions:
        file, _, inner = name.partition("/")
        definitions[name] = expanded(files[file]["$defs"][inner] if inner else files[file], file)
    return definitions[name]


def expanded(node, file):
    """The schema without references. Keywords beside a reference apply too."""
    if isinstance(node, list):
        return [expanded(item, file) for item in node]
    if not isinstance(node, dict):
        return node
    fresh = {key: expanded(value, file) for key, value in node.items()
             if key not in ("$ref", "$defs", "$schema")}
    if "$ref" not in node:
        return fresh
    other, _, inner = node["$ref"].partition("#/$defs/")
    name = "/".join(filter(None, (other.removesuffix(ending) or file, inner)))
    return {"allOf": [definition(name)], **fresh} if fresh else definition(name)


def note_seen(schema, value):
    for inner in schema.get("allOf", []):
        note_seen(inner, value)
    for inner in schema.get("anyOf", []) if value is not None else []:
        note_seen(inner, value)
    if isinstance(value, dict):
        for name, inner in schema.get("properties", {}).items():
            if name in value:
                seen.add((id(schema), name))
                note_seen(inner, value[name])
    if isinstance(value, list) and "items" in schema:
        for item in value:
            note_seen(schema["items"], item)


def violations(name, value):
    """Why the value does not fit the schema, at most 20 lines."""
    schema = definition(name)
    lines = []
    for error in jsonschema.Draft202012Validator(schema).iter_errors(value):
        # Of a choice, the error in the alternative that was meant.
        error = jsonschema.exceptions.best_match([error])
        lines.append(f"{name}: /{'/'.join(map(str, error.absolute_path))}: {error.message[-300:]}")
    if not lines:
        note_seen(schema, value)
    return lines[:20]


def objects(node, path):
    """The schemas of objects with named fields, each with its path."""
    if isinstance(node, list):
        node = dict(enumerate(node))
    if not isinstance(node, dict):
        return
    if isinstance(node.get("properties"), dict):
        yield path, node
    for key, value in node.items():
        yield from objects(value, f"{path}/{key}")


def all_objects():
    """The same for all files, each schema once."""
    names = [*files, *(f"{file}/{inner}" for file in files for inner in files[file].get("$defs", {}))]
    found = {}
    for name in sorted(names, key=lambda name: -name.count("/")):
        for path, schema in objects(definition(name), name):
            found.setdefault(id(schema), (path, schema))
    return list(found.values())
