"""Checks every report and answer of the program against its schema: main.py [PROGRAM].

Needs python3-jsonschema. Ends with GoogleTest's closing lines, so that tools/run_tests can add them up.
"""
import pathlib
import sys

sys.dont_write_bytecode = True  # no __pycache__ in the source tree

sys.path.append(str(pathlib.Path(__file__).parents[1]))

import closing_lines  # noqa: E402
import program  # noqa: E402

if __name__ == "__main__":
    if len(sys.argv) > 1:
        program.program = pathlib.Path(sys.argv[1]).resolve()
    # In this order: the last file uses what the others recorded.
    sys.exit(closing_lines.run(["reports_test", "answers_test", "schemas_test"]))
