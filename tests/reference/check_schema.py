"""Checks JSON documents against a schema: check_schema.py SCHEMA DOCUMENT... Prints what does not fit; exits 1 then."""
import json
import sys

import jsonschema

schema = json.load(open(sys.argv[1], encoding="utf-8"))
validator = jsonschema.Draft202012Validator(schema)
failed = False
for name in sys.argv[2:]:
    for error in validator.iter_errors(json.load(open(name, encoding="utf-8"))):
        failed = True
        print(f"{name}: /{'/'.join(map(str, error.absolute_path))}: {error.message[:200]}")
sys.exit(1 if failed else 0)
