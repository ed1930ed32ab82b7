#!/usr/bin/env python3
"""Prints which files of a build took longest to compile, from Ninja's log.

    slowest-files.py BUILD [COUNT]    the COUNT slowest (default 10), and the sum over all

Seconds from start to end, so a busy machine makes them longer. A file that the compiler cache knew
shows as quick.
"""

import pathlib
import sys


def seconds_of(log):
    """Output -> s of its last build; only what is compiled. Empty for what is no log of Ninja."""
    found = {}
    for line in log.split("\n"):
        fields = line.split("\t")
        if len(fields) >= 4 and fields[3].endswith((".o", ".gch", ".pch")):
            found[fields[3]] = (int(fields[1]) - int(fields[0])) / 1000
    return found


def main(arguments):
    if not 1 <= len(arguments) <= 2 or arguments[0].startswith("-"):
        print(__doc__, file=sys.stderr)
        return 2
    log = pathlib.Path(arguments[0]) / ".ninja_log"
    if not log.is_file():
        print(f"slowest-files.py: {log} is not there")
        return 0
    found = seconds_of(log.read_text(encoding="utf-8"))
    print(f"{arguments[0]}: {len(found)} files compiled in {sum(found.values()):.0f} s, slowest:")
    count = int(arguments[1]) if len(arguments) == 2 else 10
    for name, seconds in sorted(found.items(), key=lambda item: -item[1])[:count]:
        folder, _, file = name.partition(".dir/")
        target = folder.rpartition("/")[2]
        print(f"{seconds:7.1f} s  {target}: {file}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
