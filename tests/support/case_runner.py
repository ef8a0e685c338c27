"""`case_runner.main()` in place of `unittest.main()`, for a script that is one test of ctest.

Every case that was skipped, and every part of one that called `could_not(...)`, is a line `SKIPPED: CASE: reason` at the end
(tests/run lists them). The exit status: 0 passed, 1 failed or no case was found, 77 all cases were skipped.
"""

import sys
import unittest

parts = []


def could_not(case, reason):
    """Tells that a part of a case did not run for want of something, while the rest did."""
    parts.append((case, reason))


def main():
    program = unittest.main(exit=False, verbosity=2 if "-v" in sys.argv else 1)
    result = program.result
    sys.stdout.flush()
    sys.stderr.flush()
    for case, reason in result.skipped + parts:
        print(f"SKIPPED: {'.'.join(case.id().split('.')[-2:])}: {reason.removeprefix('SKIPPED: ')}")
    if result.testsRun == 0:
        print("no case was found", file=sys.stderr)
        sys.exit(1)
    if not result.wasSuccessful():
        sys.exit(1)
    if result.skipped and len({case.id() for case, _ in result.skipped}) >= result.testsRun:
        sys.exit(77)
