"""Holds every report and answer of the program against its schema: main.py [PROGRAM].

Needs python3-jsonschema. Ends with GoogleTest's closing lines, so that tools/run_tests adds them up with the others.
"""
import pathlib
import sys
import time
import unittest

import program


class Result(unittest.TestResult):
    """One line a test; what failed, a part of a test included, is told below it."""

    def startTest(self, test):
        super().startTest(test)
        self.started = time.monotonic()
        self.told = len(self.failures + self.errors)

    def stopTest(self, test):
        super().stopTest(test)
        fresh = (self.failures + self.errors)[self.told:]
        took = f"({round((time.monotonic() - self.started) * 1000)} ms)"
        print(f"{'[  FAILED  ]' if fresh else '[       OK ]'} {test.id()} {took}", flush=True)
        for part, text in fresh:
            print(f"{part}\n{text}")
        self.failed = getattr(self, "failed", 0) + bool(fresh)


if __name__ == "__main__":
    if len(sys.argv) > 1:
        program.program = pathlib.Path(sys.argv[1]).resolve()
    # In this order: the last one looks at what the others saw.
    loaded = [unittest.defaultTestLoader.loadTestsFromName(name) for name in ("reports_test", "answers_test", "schemas_test")]
    result = Result()
    unittest.TestSuite(loaded).run(result)
    print(f"[  PASSED  ] {result.testsRun - result.failed} tests.")
    if result.failed:
        print(f"[  FAILED  ] {result.failed} tests, listed above.")
    sys.exit(1 if result.failed else 0)
