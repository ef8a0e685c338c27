#!/usr/bin/env python3
"""rejection_cost --lines | rejection_lines.py FILE...: writes each line that the bench printed above the
number that it is of, in place of the one that stands there. Names the numbers that are in none of the
files, with status 1."""

import re
import sys
import textwrap


def put(text, name, line):
    """The text with the line above the number, and whether the number is there."""
    member = re.compile(
        r"(?:^ *// rejection_cost %s:.*\n(?: *//   .*\n)*)?^( *)((?:double|int) (?:\w+ = [^;]*, )?%s = )"
        % (name, name.removeprefix("speech_")), re.M)
    wrapped = textwrap.wrap(line, 116, initial_indent="// ", subsequent_indent="//   ")
    return member.subn(
        lambda found: "".join(found[1] + part + "\n" for part in wrapped) + found[1] + found[2], text, count=1)


def main():
    texts = {}
    for path in sys.argv[1:]:
        with open(path, encoding="utf-8") as file:
            texts[path] = file.read()
    missing = []
    for line, name in re.findall(r"^(rejection_cost (\w+): .*)$", sys.stdin.read(), re.M):
        found = 0
        # A number of speech has its name in speech.h; no other file has it.
        for path in texts:
            if name.startswith("speech_") != path.endswith("speech.h"):
                continue
            texts[path], count = put(texts[path], name, line)
            found += count
        if not found:
            missing.append(name)
    for path, text in texts.items():
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)
    if missing:
        sys.exit("in none of the files: " + ", ".join(missing))


if __name__ == "__main__":
    main()
