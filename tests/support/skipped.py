#!/usr/bin/python3
"""What did not run, after ctest: skipped.py JUNIT.xml .build/release/Testing/Temporary/LastTest.log

Lists the tests that were skipped whole and the parts of others that were, each with its reason; the last line counts.
ctest tells in its JUnit file which tests were skipped, and the whole output of each in its log only."""
import re
import sys
import xml.etree.ElementTree

EDGE = "-" * 58


def reasons_told(log):
    """name -> what stands behind the `SKIPPED: ` of its lines."""
    told = {}
    for entry in re.split(r"(?m)^(?=\d+/\d+ Testing: )", log)[1:]:
        name = entry.split("\n", 1)[0].split(" Testing: ", 1)[1]
        output = entry.split("Output:\n" + EDGE + "\n", 1)[-1].rsplit("<end of output>\n", 1)[0]
        told[name] = re.findall(r"(?m)^SKIPPED: (.*)$", output)
    return told


def main():
    junit, log = sys.argv[1:3]
    with open(log, encoding="utf-8", errors="replace") as text:
        told = reasons_told(text.read())
    whole, parts, passed, failed = [], [], 0, 0
    for case in xml.etree.ElementTree.parse(junit).iter("testcase"):
        name, skipped = case.get("name"), case.find("skipped")
        reasons = told.get(name, [])
        if skipped is not None and skipped.get("message", "").startswith("SKIP_"):
            whole.append((name, reasons))
        elif case.get("status") == "run":
            passed += 1
            parts += [(name, reason) for reason in reasons]
        else:
            failed += 1
    if whole:
        print("Skipped:")
        for name, reasons in whole:
            print(f"  {name}: {'; '.join(reasons) or 'no reason was told'}")
    if parts:
        print("Skipped parts of tests that passed otherwise:")
        for name, reason in parts:
            print(f"  {name}: {reason}")
    print(f"{passed} tests passed, {failed} failed, {len(whole)} were skipped" +
          (f"; {len(parts)} parts of those that passed were skipped." if parts else "."))


if __name__ == "__main__":
    main()
