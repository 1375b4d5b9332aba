"""Checks every report and answer of the program against its schema: main.py [PROGRAM].

Needs python3-jsonschema. Ends with GoogleTest's closing lines, so that tools/run_tests can add them up.
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
    if len(sys.argv) > 1:
        program.program = pathlib.Path(sys.argv[1]).resolve()
    # In this order: the last file uses what the others recorded.
    suite = unittest.defaultTestLoader.loadTestsFromNames(["reports_test", "answers_test", "schemas_test"])
    result = Result()
    suite.run(result)
    print(f"[  PASSED  ] {result.testsRun - result.failed} tests.")
    if result.failed:
        print(f"[  FAILED  ] {result.failed} tests, listed above.")
    sys.exit(1 if result.failed else 0)
