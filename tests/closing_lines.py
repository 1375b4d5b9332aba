"""Runs tests of Python and prints GoogleTest's lines, so that tools/run_tests can add them up."""
import time
import unittest


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


def run(names):
    """Runs the modules in this order; 1 where one of their tests failed."""
    suite = unittest.defaultTestLoader.loadTestsFromNames(names)
    result = Result()
    suite.run(result)
    print(f"[  PASSED  ] {result.testsRun - result.failed} tests.")
    if result.skipped:
        print(f"[  SKIPPED ] {len(result.skipped)} tests.")
    if result.failed:
        print(f"[  FAILED  ] {result.failed} tests, listed above.")
    return 1 if result.failed else 0
