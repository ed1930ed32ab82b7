#!/usr/bin/env python3
"""Refuses an #include against the direction solver <- models <- cases <- validation
<- tools.

    check-includes.py [ROOT]       checks the source tree (default: the one this script is in)
    check-includes.py --self-test  shows that every kind of wrong include is found

Rules
  own files         #include "folder/file.hpp", from the root of the tree; never <...>, never `..`
  direction         a folder sees itself and what stands left of it in solver, models, cases,
                    validation, tools; tests see everything and nothing else sees tests
  inside a folder   the parts of solver, models and tools see those that PARTS lists for them; files
                    that stand directly in the folder see all its parts
  other libraries   solver sees Eigen and Boost.Align, models all of Boost too, cases and validation
                    toml++ and fmt too, tools all
Exit code: 0 nothing wrong, 1 wrong includes (one line each), 2 wrong use.
"""

import re
import sys

import check_script

ORDER = ["solver", "models", "cases", "validation", "tools"]
ONLOOKERS = ["tests"]
# What a part of a folder may include of the other parts; each new part needs its line.
PARTS = {
    "solver": {
        "simd": [],
        "gas": ["simd"],
        "riemann": ["simd", "gas"],
        "pipe": ["simd", "gas", "riemann"],
    },
    "models": {
        "sizing": [],
        "dyno": [],
        "boundary": [],
        "cylinder": ["boundary"],
        "network": ["boundary", "cylinder"],
        "figures": ["boundary", "cylinder", "network"],
        "engine": ["boundary", "cylinder", "network", "figures"],
        "sound": ["boundary"],
    },
    "tools": {
        "results": [],
        "study": ["results"],
        "search": ["results", "study"],
        "spread": ["results", "study", "search"],
        "size": ["results", "study"],
        "cutting": ["results", "study"],
        "dyno": ["results", "study"],
        "listen": ["results", "study"],
        "report": ["results", "study", "search", "cutting", "dyno", "listen"],
        "live": ["results", "study", "cutting", "report"],
        "cli": ["results", "study", "search", "dyno", "spread", "size", "cutting", "listen", "report"],
        "bench": ["results", "study", "search"],
    },
}
SUFFIXES = {".cpp", ".hpp", ".h", ".cc", ".hh", ".in", ".ipp"}

# First folder that may include a library, by the start of the included name; the first that fits
# counts.
LIBRARIES = {
    "Eigen/": "solver",
    "unsupported/Eigen/": "models",
    "sndfile.h": "tools",
    "boost/align/": "solver",
    "boost/": "models",
    "toml++/": "cases",
    "toml.hpp": "cases",
    "fmt/": "cases",
    "nlohmann/": "tools",
    "CLI/": "tools",
    "hdf5": "tools",
    "H5": "tools",
    "zlib.h": "tools",
    "benchmark/": "tools",
    "doctest/": "tests",
}

INCLUDE = re.compile(r"^\s*#\s*(?:include|include_next|import)\b\s*(.*?)\s*$")
TARGET = re.compile(r"^(?:\"([^\"]+)\"|<([^>]+)>)")


def without_comments(text):
    """The text with comments blanked, line breaks kept. Strings that hold comment signs stay."""
    pattern = re.compile(
        r'//[^\n]*|/\*.*?\*/|R"([^()\s\\]{0,16})\(.*?\)\1"|"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])*\'',
        re.DOTALL)

    def blank(match):
        found = match.group(0)
        if found.startswith("/"):
            return " " + "\n" * found.count("\n")
        if found.startswith("R"):
            return '""' + "\n" * found.count("\n")
        return found

    return pattern.sub(blank, text)


def allowed_folders(folder):
    if folder in ONLOOKERS:
        return ORDER + ONLOOKERS
    return ORDER[: ORDER.index(folder) + 1]


def part_of(parts):
    """The part of its folder that a file is in, by its path in parts; None directly in it."""
    return parts[1] if parts[0] in PARTS and len(parts) > 2 else None


def fault_of(path, statement):
    """What is wrong with the include statement (text after #include) in the file at `path`."""
    place = path.split("/")
    folder = place[0]
    target = TARGET.match(statement)
    if not target:
        return "an include must name its file in quotes or angle brackets"
    quoted, angled = target.groups()
    name = quoted or angled
    parts = name.split("/")
    if ".." in parts or "." in parts or name.startswith("/"):
        return "name the file from the root of the tree, without '.', '..' or a leading '/'"
    ours = parts[0] in ORDER + ONLOOKERS and len(parts) > 1
    if angled:
        if ours:
            return f'a file of this project is included with quotes: "{name}"'
        for start, first in LIBRARIES.items():
            if name.startswith(start):
                order = ORDER + ["tests"]
                rank = len(ORDER) if folder in ONLOOKERS else order.index(folder)
                if rank < order.index(first):
                    return f"{folder} may not use this library; {first} is the first that may"
                return None
        return None
    if len(parts) == 1:
        return f'an include must name its folder: "{folder}/{name}"?'
    if not ours:
        return f"'{parts[0]}' is no source folder; a library is included with angle brackets"
    if parts[0] not in allowed_folders(folder):
        return f"{folder} may not include from {parts[0]} (may: {', '.join(allowed_folders(folder))})"
    own, other = part_of(place), part_of(parts)
    if parts[0] == folder and own and other and own != other:
        allowed = PARTS[folder].get(own)
        if allowed is None:
            return f"the part {folder}/{own} is not in the list PARTS of check-includes.py"
        if other not in allowed:
            return f"{folder}/{own} may not include from {folder}/{other} (may: {', '.join(allowed)})"
    return None


def faults_in_tree(root):
    """List of (file, line number, statement, fault) and the number of files checked."""
    faults = []
    count = 0
    for folder in ORDER + ONLOOKERS:
        for path in sorted((root / folder).rglob("*")):
            if path.suffix not in SUFFIXES or not path.is_file():
                continue
            count += 1
            text = without_comments(path.read_text(encoding="utf-8"))
            for number, line in enumerate(text.split("\n"), start=1):
                match = INCLUDE.match(line)
                if not match:
                    continue
                fault = fault_of(path.relative_to(root).as_posix(), match.group(1))
                if fault:
                    faults.append((path.relative_to(root).as_posix(), number, match.group(1), fault))
    return faults, count


GOOD = {
    "solver/flux.hpp": '#include <Eigen/Core>\n#include <boost/align/aligned_allocator.hpp>\n'
                       '#include <cmath>\n#include "solver/gas/gas.hpp"\n',
    "models/valve.cpp": '#include <boost/numeric/odeint.hpp>\n#include "solver/gas/gas.hpp"\n'
                        '#include "models/valve.hpp"\n',
    "cases/reader.cpp": '#include <toml++/toml.h>\n#include <fmt/format.h>\n'
                        '#include "models/valve.hpp"\n#include "solver/gas/gas.hpp"\n',
    "tools/cli/main.cpp": '#include <CLI/CLI.hpp>\n#include <hdf5.h>\n#include "cases/reader.hpp"\n'
                          '#include "tools/version.hpp"\n',
    "tests/solver/riemann/fluxes_test.cpp": '#include <doctest/doctest.h>\n#include "tests/near.hpp"\n'
                                  '#include "tools/version.hpp"\n#include "solver/flux.hpp"\n',
    "validation/nozzle.cpp": '#include <Eigen/Core>\n#include <fmt/format.h>\n'
                             '#include "cases/reader.hpp"\n#include "models/valve.hpp"\n',
    "tools/cli/validate.cpp": '#include "validation/nozzle.hpp"\n#include "tools/report/a.hpp"\n'
                              '#include "tools/cli/command.hpp"\n#include "tools/version.hpp"\n',
    "models/engine/point.cpp": '#include "models/figures/a.hpp"\n#include "models/boundary/b.hpp"\n'
                               '#include "solver/pipe/pipe.hpp"\n',
    "models/kernels.cpp": '#include "models/cylinder/kernels.hpp"\n',
    "solver/pipe/pipe.cpp": '#include "solver/riemann/hllc.hpp"\n#include "solver/simd/types.hpp"\n',
    "solver/comment.hpp": '// #include "tools/a.hpp"\n/* one\n#include "models/b.hpp"\n*/\n'
                          'const char* text = R"x(\n#include "cases/c.hpp"\n)x";\n'
                          'const char* link = "http://x"; // "\n',
}

# One bad file each: path, text, line at which the fault must be reported.
BAD = [
    ("solver/a.hpp", '#include "models/valve.hpp"\n', 1),
    ("solver/a.hpp", '#include "cases/reader.hpp"\n', 1),
    ("solver/a.cpp", '\n#include "tools/version.hpp"\n', 2),
    ("models/a.hpp", '#include "cases/reader.hpp"\n', 1),
    ("models/deep/er/a.hpp", '#include "cases/reader.hpp"\n', 1),
    ("models/a.hpp", '#include "tools/version.hpp"\n', 1),
    ("cases/a.hpp", '#include "tools/version.hpp"\n', 1),
    ("solver/a.hpp", '#include "tests/near.hpp"\n', 1),
    ("tools/a.hpp", '#include "tests/near.hpp"\n', 1),
    ("cases/a.hpp", '#include "validation/nozzle.hpp"\n', 1),
    ("validation/a.hpp", '#include "tests/near.hpp"\n', 1),
    ("validation/a.hpp", '#include "tools/version.hpp"\n', 1),
    ("validation/a.hpp", '#include <nlohmann/json.hpp>\n', 1),
    ("tools/version.hpp.in", '#include "tests/near.hpp"\n', 1),
    ("solver/a.hpp", '#include "gas.hpp"\n', 1),
    ("models/a.hpp", '#include "../solver/gas.hpp"\n', 1),
    ("models/a.hpp", '#include "models/../tools/version.hpp"\n', 1),
    ("models/a.hpp", '#include "./models/valve.hpp"\n', 1),
    ("models/a.hpp", '#include "/usr/include/math.h"\n', 1),
    ("models/a.hpp", '#include <cases/reader.hpp>\n', 1),
    ("tests/a.cpp", '#include <solver/gas/gas.hpp>\n', 1),
    ("tools/a.hpp", '#include "somewhere/else.hpp"\n', 1),
    ("solver/a.hpp", '#define WHERE "tools/version.hpp"\n#include WHERE\n', 2),
    ("solver/a.hpp", '/* x */ #  include   "models/valve.hpp"  // why not\n', 1),
    ("solver/a.hpp", '#if 1\n  #include "models/valve.hpp"\n#endif\n', 2),
    ("solver/a.hpp", '/* a\n   b */\n#include "models/valve.hpp"\n', 3),
    ("solver/a.hpp", "const char quote = '\"';\n#include \"models/valve.hpp\"\n", 2),
    ("solver/a.hpp", '#include <boost/math/tools/roots.hpp>\n', 1),
    ("solver/a.hpp", '#include <fmt/format.h>\n', 1),
    ("models/a.hpp", '#include <toml++/toml.h>\n', 1),
    ("cases/a.hpp", '#include <hdf5.h>\n', 1),
    ("cases/a.hpp", '#include <hdf5_hl.h>\n', 1),
    ("cases/a.hpp", '#include <CLI/CLI.hpp>\n', 1),
    ("tools/a.hpp", '#include <doctest/doctest.h>\n', 1),
    ("solver/simd/a.hpp", '#include "solver/gas/gas.hpp"\n', 1),
    ("solver/gas/a.hpp", '#include "solver/riemann/hllc.hpp"\n', 1),
    ("solver/riemann/a.hpp", '#include "solver/pipe/pipe.hpp"\n', 1),
    ("models/boundary/a.hpp", '#include "models/cylinder/b.hpp"\n', 1),
    ("models/cylinder/a.hpp", '#include "models/network/b.hpp"\n', 1),
    ("models/network/a.hpp", '#include "models/figures/b.hpp"\n', 1),
    ("models/figures/a.hpp", '#include "models/engine/b.hpp"\n', 1),
    ("models/unheard/a.hpp", '#include "models/boundary/b.hpp"\n', 1),
    ("tools/results/a.hpp", '#include "tools/study/b.hpp"\n', 1),
    ("tools/study/a.hpp", '#include "tools/spread/b.hpp"\n', 1),
    ("tools/spread/a.hpp", '#include "tools/report/b.hpp"\n', 1),
    ("tools/report/a.hpp", '#include "tools/cli/b.hpp"\n', 1),
    ("tools/bench/a.hpp", '#include "tools/report/b.hpp"\n', 1),
]


def self_test():
    failures = []
    with check_script.tree_of(GOOD) as root:
        faults, count = faults_in_tree(root)
    if faults or count != len(GOOD):
        failures.append(f"the good tree: {count} of {len(GOOD)} files seen, faults {faults}")
    for name, text, line in BAD:
        with check_script.tree_of({**GOOD, name: text}) as root:
            faults, _ = faults_in_tree(root)
        if [(fault[0], fault[1]) for fault in faults] != [(name, line)]:
            failures.append(f"{name} line {line}, {text!r}: reported {faults}")
    return check_script.report_self_test(len(BAD) + 1, failures)


def check(root):
    found, count = faults_in_tree(root)
    faults = [f"{name}:{number}: #include {statement}: {fault}"
              for name, number, statement, fault in found]
    return faults, f"includes: {count} files, {len(faults)} wrong" if count else None


if __name__ == "__main__":
    sys.exit(check_script.run(sys.argv[1:], __doc__, self_test, check))
