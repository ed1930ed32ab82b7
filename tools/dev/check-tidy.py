#!/usr/bin/env python3
"""Runs clang-tidy 14 with the checks of .clang-tidy; a finding is an error.

    check-tidy.py [BUILD]             every .cpp of solver, models, cases and tools/results
    check-tidy.py [BUILD] --changed   only those that differ from main, or are new, of any folder
    check-tidy.py [BUILD] FILE...     these files
    check-tidy.py --self-test         shows that a finding fails, alone, in a group and in a header

BUILD: a configured preset with compile_commands.json (default: build/sanitize, else build/release).

Nearly all the time of clang-tidy goes into the headers that a file includes, so files that are
compiled with the same options are looked at together, many of them as one. Each finding names its
own file and line. Files that do not go together, since two of them give the same name to something
of their own, are looked at in halves, and those in halves again. Headers of the project are checked
through the files that include them. Exit code: 0 no finding, 1 findings, 2 wrong use.
"""

import collections
import concurrent.futures
import json
import os
import pathlib
import re
import shlex
import shutil
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
FOLDERS = ["solver", "models", "cases", "tools/results"]
# The kernels for other instruction sets are the same code.
COPIES = re.compile(r"/kernels_avx(2|512)\.cpp$")
SOURCE = re.compile(r"^(solver|models|cases|tools|tests|validation)/.*\.cpp$")
GROUP = 120  # files at most that are checked as one
FEW = 60  # files: fewer join a group that has the same options and more
UNITY = re.compile(r"/Unity/unity_\d+_cxx\.cxx$")
ALONE = "// Compiled on its own in a unity build"
# Options of the code that is made, which clang-tidy does not make.
CODE = re.compile(r"-O\w$|-g\d?$|-f(no-)?sanitize|-fno-omit-frame-pointer$")
NOISE = re.compile(r"^(\d+ warnings? (generated|treated as)|Suppressed|Use -header-filter)")
# Files of a group are included by the one that is checked, so they count as headers.
FILTER = r"/(solver|models|cases|tools|tests|validation)/[^<>]*\.(hpp|cpp)$"


def tidy_program():
    found = shutil.which("clang-tidy-14") or shutil.which("clang-tidy")
    if not found:
        sys.exit("check-tidy.py: clang-tidy 14 not found; run tools/dev/install-packages.sh")
    return found


def options_of(entry):
    """What a file is compiled with: the command without compiler, source, output, how code is made of it, and
    precompiled headers, which need not have been built yet."""
    words = shlex.split(entry["command"])
    while pathlib.Path(words[0]).name in ("ccache", "env") or "=" in words[0]:
        words.pop(0)
    kept, skip = [], False
    for word in words[1:]:
        if skip or word in ("-c", entry["file"]):
            skip = False
            continue
        if word in ("-o", "-Xclang", "-include"):
            skip = True
            continue
        if word in ("-Winvalid-pch", "-fpch-instantiate-templates", "-fpch-preprocess") or CODE.match(word):
            continue
        kept.append(word)
    return tuple(kept)


def commands_by_file(entries):
    """The entries of compile_commands.json by file. What a unity build compiles as one stands there as
    one file that includes the others; each of these gets the entry of its own it would have had."""
    commands = {}
    for entry in entries:
        file = pathlib.Path(entry["file"])
        if not UNITY.search(entry["file"]) or not file.is_file():
            commands[entry["file"]] = entry
            continue
        for member in re.findall(r'^#include "(.*)"$', file.read_text(encoding="utf-8"), re.MULTILINE):
            commands[member] = {**entry, "file": member,
                                "command": entry["command"].replace(entry["file"], member)}
    return commands


def groups_of(files, commands, root, size=GROUP):
    """Files of the same options, as lists of at most `size`; a few files join others whose options have theirs
    among them, more libraries only."""
    alike = collections.defaultdict(list)
    for file in files:
        entry = commands[str(root / file)]
        alone = file if ALONE in (root / file).read_text(encoding="utf-8") else ""
        alike[(entry["directory"] if alone else "", options_of(entry), alone)].append(file)
    for key, members in sorted(alike.items(), key=lambda item: len(item[1])):
        wider = [other for other in alike if other != key and not key[2] and not other[2]
                 and is_subsequence(key[1], other[1]) and len(alike[other]) + len(members) <= size]
        if len(members) < FEW and wider:
            alike[min(wider, key=lambda other: len(alike[other]))] += alike.pop(key)
    groups = []
    for (_, options, _), members in alike.items():
        parts = -(-len(members) // size)
        for part in range(parts):
            directory = commands[str(root / members[part])]["directory"]
            groups.append((members[part::parts], directory, options))
    return sorted(groups, key=lambda group: -len(group[0]))


def is_subsequence(few, many):
    rest = iter(many)
    return all(word in rest for word in few)


def look_at(group, root, program, checks):
    """Output and whether all is well. Falls back to halves where a group does not compile."""
    members, directory, options = group
    with tempfile.TemporaryDirectory(prefix="check-tidy-") as folder:
        if len(members) == 1:
            source = root / members[0]
        else:
            source = pathlib.Path(folder) / "group.cpp"
            source.write_text("".join(f'#include "{root / member}"\n' for member in members),
                              encoding="utf-8")
        run = subprocess.run(
            [program, str(source), "--quiet", "--warnings-as-errors=*", f"--header-filter={FILTER}",
             f"--config-file={checks}", "--", *options, f"-I{root}",
             # Names of one file may hide another's.
             *(["-Wno-shadow"] if len(members) > 1 else [])],
            cwd=directory, capture_output=True, text=True, check=False)
    output = run.stdout + "".join(line for line in run.stderr.splitlines(True)
                                  if not NOISE.match(line))
    if run.returncode != 0 and len(members) > 1 and "[clang-diagnostic-" in output:
        half = len(members) // 2
        parts = [look_at((part, directory, options), root, program, checks)
                 for part in (members[:half], members[half:])]
        return "".join(part[0] for part in parts), all(part[1] for part in parts)
    return output, run.returncode == 0


def check(files, commands, root, program, checks=ROOT / ".clang-tidy"):
    groups = groups_of(files, commands, root)
    fine = True
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        for output, passed in pool.map(lambda g: look_at(g, root, program, checks), groups):
            sys.stdout.write(output)
            sys.stdout.flush()
            fine = fine and passed
    print(f"clang-tidy: {len(files)} files in {len(groups)} groups, {'ok' if fine else 'findings'}")
    return fine


GOOD = "namespace a {\nint twice(int x) { return 2 * x; }\n}  // namespace a\n"
# One finding each of readability-identifier-naming or modernize-use-nullptr.
BAD = "namespace b {\nint* nothing() { return 0; }\n}  // namespace b\n"
HEADER = "#pragma once\ninline int BadName() { return 1; }\n"
CLASH = "namespace {\nint own() { return 1; }\n}  // namespace\nint %s() { return own(); }\n"


def self_test():
    program = tidy_program()
    trees = [
        ("good files", {"one.cpp": GOOD, "two.cpp": GOOD.replace("namespace a", "namespace c")}, True),
        ("a finding in one file", {"one.cpp": BAD}, False),
        ("a finding in the second file of a group", {"one.cpp": GOOD, "two.cpp": BAD}, False),
        ("a finding in a header",
         {"one.cpp": '#include "solver/x.hpp"\n', "two.cpp": GOOD, "x.hpp": HEADER}, False),
        ("files that do not go together", {"one.cpp": CLASH % "f", "two.cpp": CLASH % "g"}, True),
        ("a finding in files that do not go together",
         {"one.cpp": CLASH % "f", "two.cpp": CLASH % "g" + BAD}, False),
    ]
    failures = 0
    for name, files, expected in trees:
        with tempfile.TemporaryDirectory() as folder:
            root = pathlib.Path(folder).resolve()
            (root / "solver").mkdir()
            for file, text in files.items():
                (root / "solver" / file).write_text(text, encoding="utf-8")
            sources = [f"solver/{file}" for file in files if file.endswith(".cpp")]
            commands = {str(root / file): {"file": str(root / file), "directory": folder,
                                           "command": f"clang++ -std=c++20 -c {root / file} -o x.o"}
                        for file in sources}
            if check(sources, commands, root, program) != expected:
                failures += 1
                print(f"{name}: expected {'no finding' if expected else 'a finding'}",
                      file=sys.stderr)
    failures += not unity_is_taken_apart()
    print(f"{len(trees) + 1 - failures} passed, {failures} failed")
    return 1 if failures else 0


def unity_is_taken_apart():
    """Whether each file of a unity build gets the command of the whole, with its own name."""
    with tempfile.TemporaryDirectory() as folder:
        unity = pathlib.Path(folder) / "a.dir/Unity/unity_0_cxx.cxx"
        unity.parent.mkdir(parents=True)
        unity.write_text('/* made by CMake */\n#include "/x/one.cpp"\n\n#include "/x/two.cpp"\n',
                         encoding="utf-8")
        entries = [{"file": str(unity), "directory": folder, "command": f"c++ -O1 -c {unity} -o u.o"},
                   {"file": "/x/alone.cpp", "directory": folder, "command": "c++ -c /x/alone.cpp"}]
        found = {file: entry["command"] for file, entry in commands_by_file(entries).items()}
    expected = {"/x/one.cpp": "c++ -O1 -c /x/one.cpp -o u.o",
                "/x/two.cpp": "c++ -O1 -c /x/two.cpp -o u.o", "/x/alone.cpp": "c++ -c /x/alone.cpp"}
    if found != expected:
        print(f"files of a unity build: {found}", file=sys.stderr)
    return found == expected


def changed_files():
    def git(*arguments):
        return subprocess.run(["git", *arguments], cwd=ROOT, capture_output=True, text=True,
                              check=False)

    base = git("merge-base", "HEAD", "main").stdout.strip() or "HEAD"
    names = git("diff", "--name-only", "--diff-filter=d", base).stdout.split()
    names += git("ls-files", "--others", "--exclude-standard").stdout.split()
    return sorted({name for name in names if SOURCE.match(name)})


def main(arguments):
    if arguments == ["--self-test"]:
        return self_test()
    build = next((ROOT / "build" / name for name in ("sanitize", "release")
                  if (ROOT / "build" / name / "compile_commands.json").is_file()), None)
    if arguments and pathlib.Path(arguments[0]).is_dir():
        build = pathlib.Path(arguments[0]).resolve()
        arguments = arguments[1:]
    if build is None or not (build / "compile_commands.json").is_file():
        print("check-tidy.py: no compile_commands.json; configure a preset first", file=sys.stderr)
        return 2
    only_changed = arguments == ["--changed"]
    if only_changed:
        files = changed_files()
    elif arguments:
        files = [pathlib.Path(name).resolve().relative_to(ROOT).as_posix() for name in arguments]
    else:
        files = sorted(path.relative_to(ROOT).as_posix() for folder in FOLDERS
                       for path in (ROOT / folder).rglob("*.cpp") if not COPIES.search(path.as_posix()))
    entries = json.loads((build / "compile_commands.json").read_text(encoding="utf-8"))
    commands = commands_by_file(entries)
    # A file that no target compiles has no options to be checked with.
    for file in files:
        if str(ROOT / file) not in commands:
            print(f"clang-tidy: {file} is not compiled in {build.relative_to(ROOT)}, left out")
    known = [file for file in files if str(ROOT / file) in commands]
    if not known:
        print("clang-tidy: nothing to check")
        return 0 if only_changed else 2
    return 0 if check(known, commands, ROOT, tidy_program()) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
