"""Attacks on the files of a folder that is served: main.py [PROGRAM] [--long].

Kills, broken uploads, full disks, two servers, damaged files, backups put back, logs of other files, mutants of tables. What
was acknowledged must be there afterwards, or the error was said. Ends with GoogleTest's closing lines, as tests/schema/main.py does.
"""
import pathlib
import sys
import time
import unittest

sys.dont_write_bytecode = True  # no __pycache__ in the source tree

import program  # noqa: E402


class Result(unittest.TestResult):
    """Prints one line for each test, and below it what failed in it."""

    failed = 0

    def startTest(self, test):
        super().startTest(test)
        self.started = time.monotonic()
        self.before = len(self.failures), len(self.errors)

    def stopTest(self, test):
        super().stopTest(test)
        fresh = self.failures[self.before[0]:] + self.errors[self.before[1]:]
        took = f"({round((time.monotonic() - self.started) * 1000)} ms)"
        print(f"{'[  FAILED  ]' if fresh else '[       OK ]'} {test.id()} {took}", flush=True)
        for part, text in fresh:
            print(f"{part}\n{text}")
        self.failed += bool(fresh)


if __name__ == "__main__":
    arguments = [argument for argument in sys.argv[1:] if argument != "--long"]
    program.long = "--long" in sys.argv
    if arguments:
        program.path = pathlib.Path(arguments[0]).resolve()
    suite = unittest.defaultTestLoader.loadTestsFromNames(["files_test", "backup_test", "tables_test"])
    result = Result()
    suite.run(result)
    print(f"[  PASSED  ] {result.testsRun - result.failed} tests.")
    if result.skipped:
        print(f"[  SKIPPED ] {len(result.skipped)} tests.")
    if result.failed:
        print(f"[  FAILED  ] {result.failed} tests, listed above.")
    sys.exit(1 if result.failed else 0)
