"""Attacks on the files of a folder that is served: main.py [PROGRAM] [--long].

Kills, broken uploads, full disks, two servers, damaged files, backups put back, logs of other files, mutants of tables. What
was acknowledged must be there afterwards, or the error was said. Ends with GoogleTest's closing lines, as tests/schema/main.py does.
"""
import pathlib
import sys

sys.dont_write_bytecode = True  # no __pycache__ in the source tree

sys.path.append(str(pathlib.Path(__file__).parents[1]))

import closing_lines  # noqa: E402
import program  # noqa: E402

if __name__ == "__main__":
    arguments = [argument for argument in sys.argv[1:] if argument != "--long"]
    program.long = "--long" in sys.argv
    if arguments:
        program.path = pathlib.Path(arguments[0]).resolve()
    sys.exit(closing_lines.run(["files_test", "backup_test", "tables_test"]))
