#!/usr/bin/env python3
"""Checks what holds for files as a whole, and that the program uses what it declares.

    check-files.py [ROOT]       checks the source tree (default: the one this script is in)
    check-files.py --self-test  shows that every kind of fault is found

Rules
  length     a source file over 400 lines says at its top "Over 400 lines because ..."
  header     each .cpp has a header of the same name beside it; exceptions: WITHOUT_HEADER
  callers    a function that a header declares is used outside of tests/; exceptions: FOR_TESTS.
             Names are looked for, not types: of two functions of one name, one that is used hides
             one that is not
Exit code: 0 nothing wrong, 1 faults (one line each), 2 wrong use.
"""

import fnmatch
import re
import sys

import check_script

FOLDERS = ["solver", "models", "cases", "validation", "tools", "tests"]
SOURCES = {".cpp", ".hpp", ".inc", ".in", ".py", ".sh", ".cmake", ".js", ".mjs", ".css"}
LONGEST = 400
REASON = re.compile(r"over 400 lines because", re.IGNORECASE)
TOP = 40  # lines within which the reason stands

# .cpp files without a header of their own, and why.
WITHOUT_HEADER = {
    "*/main.cpp": "a main()",
    "*_program.cpp": "a program of its own",
    "tests/*": "test cases register themselves",
    "tools/bench/*_bench.cpp": "benchmarks register themselves",
    "*kernels_*.cpp": "one instruction set of kernels that other headers declare",
    "validation/all_cases.cpp": "the list of cases, declared in validation/case.hpp",
    "validation/*/*.cpp": "the cases of a group, declared in the header of the group",
}

# Functions of headers that only tests use, and why they stand there all the same.
FOR_TESTS = {
    "find_case": "one validation case by its name; the program runs them by group",
    "flow_at_static_pressure": "the plain form of what models/boundary/orifice_batch.hpp computes",
    "in_ensembles": "ensembles change the speed alone, so that a test must be told of them",
    "nusselt_exhaust": "the correlation alone, held against numbers of its source",
    "clearance_volume": "geometry of the crank, held against worked numbers",
    "piston_position": "geometry of the crank, held against worked numbers",
    "molar_enthalpy": "the polynomials of the source, held against its tables",
    "molar_entropy": "the polynomials of the source, held against its tables",
}
# Folders whose headers are for tests too.
RIGS = ("validation/rig/",)

WORD = re.compile(r"[A-Za-z_]\w*")
STRINGS_AND_COMMENTS = re.compile(
    r'//[^\n]*|/\*.*?\*/|R"([^()\s\\]{0,16})\(.*?\)\1"|"(?:\\.|[^"\\\n])*"', re.DOTALL)
NOT_A_TYPE = {"return", "throw", "else", "case", "new", "delete", "co_return", "if", "while", "for",
              "switch", "goto", "using", "typedef", "namespace", "and", "or", "not", "do"}
# A line that declares or defines a function: a type, a name, an opening bracket; nothing assigned
# and nothing called before it.
DECLARED = re.compile(r"^(?P<indent> *)(?P<type>[A-Za-z_\[~][^=()\n{}]*?[\s*&>])?"
                      r"(?:[A-Za-z_]\w*(?:<[^()]*>)?::)*(?P<name>[a-z_]\w*)\(")


def code_of(text):
    """The text with comments and strings blanked, line breaks kept."""
    return STRINGS_AND_COMMENTS.sub(lambda found: " " + "\n" * found.group(0).count("\n"), text)


def declared_in(line):
    """Name of the function that a line of code declares or defines, else None."""
    found = DECLARED.match(line)
    if not found or found.group("name") == "static_assert":
        return None
    kind = (found.group("type") or "").strip()
    if not kind:  # type on the line before; indented it is a call
        return found.group("name") if not found.group("indent") else None
    words = WORD.findall(kind)
    if words and words[0] in NOT_A_TYPE or line.lstrip().startswith("#"):
        return None
    if any(sign in kind for sign in ("->", ".", "?", "!", "+", "/", "<<", "|")):
        return None
    return found.group("name")


def length_faults(name, text):
    lines = text.split("\n")
    count = len(lines) - (lines[-1] == "")
    if count > LONGEST and not REASON.search("\n".join(lines[:TOP])):
        return [(name, 1, f'{count} lines: split it, or say at its top "Over 400 lines because"')]
    return []


def header_faults(root, name):
    if not name.endswith(".cpp") or (root / (name[:-3] + "hpp")).is_file():
        return []
    if any(fnmatch.fnmatch(name, pattern) for pattern in WITHOUT_HEADER):
        return []
    return [(name, 1, "no header of the same name (exceptions: WITHOUT_HEADER in check-files.py)")]


def caller_faults(texts):
    """texts: name -> text of all C++ files. Functions of headers outside of tests/ without a use."""
    places, uses, in_tests = {}, {}, set()
    for name, text in texts.items():
        code = code_of(text)
        if name.startswith("tests/"):
            in_tests.update(WORD.findall(code))
            continue
        for number, line in enumerate(code.split("\n"), start=1):
            function = declared_in(line)
            if function and name.endswith(".hpp") and not name.startswith(RIGS):
                places.setdefault(function, (name, number))
            for word in WORD.findall(line):
                uses[word] = uses.get(word, 0) + 1
            if function:
                uses[function] -= 1
    faults = []
    for function, (name, number) in sorted(places.items(), key=lambda item: item[1]):
        if uses.get(function, 0) > 0 or function in FOR_TESTS:
            continue
        who = "tests only" if function in in_tests else "nobody"
        faults.append((name, number, f"{function}() is used by {who}"))
    return faults


def faults_in_tree(root):
    """List of (file, line, fault) and the number of files checked."""
    faults, texts, count = [], {}, 0
    for folder in FOLDERS:
        for path in sorted((root / folder).rglob("*")):
            if path.suffix not in SOURCES or not path.is_file():
                continue
            count += 1
            name = path.relative_to(root).as_posix()
            text = path.read_text(encoding="utf-8")
            faults += length_faults(name, text) + header_faults(root, name)
            if path.suffix in (".cpp", ".hpp", ".inc", ".in"):
                texts[name] = text
    return faults + caller_faults(texts), count


GOOD = {
    "solver/flux.hpp": "double flux(double x);\nclass A {\n public:\n  int size() const;\n"
                       "  static A made() { return {}; }\n};\n"
                       "template <class Real>\nReal twice(const Real& x) {\n  return x + x;\n}\n",
    "solver/flux.cpp": '#include "solver/flux.hpp"\ndouble flux(double x) {\n'
                       "  const A a = A::made();\n  return twice(x) * a.size();\n}\n"
                       "int A::size() const { return 3; }\n",
    "tools/cli/main.cpp": "int main() {\n  return flux(1.0) > 0;\n}\n",
    "tests/solver/flux_test.cpp": "TEST_CASE(\"a\") { CHECK(flux(1.0) == 6.0); }\n",
    "models/table.cpp": "// A table. Over 400 lines because it is one.\n" + "int i;\n" * 500,
    "models/table.hpp": "// The table.\n",
    "models/kernels_avx2.cpp": "int j;\n",
    "tools/long.py": "x = 1\n" * 400,
}
# One bad file each: path, text, line and word of the fault.
BAD = [
    ("models/valve.cpp", "int i;\n", 1, "header"),
    ("tools/cli/verb.cpp", "int i;\n", 1, "header"),
    ("models/long.hpp", "// Long.\n" + "int i;\n" * 400, 1, "401 lines"),
    ("models/late.hpp", "int i;\n" * 450 + "// Over 400 lines because.\n", 1, "451 lines"),
    ("tests/long_test.cpp", "int i;\n" * 401, 1, "401 lines"),
    ("tools/page.js", "let i;\n" * 401, 1, "401 lines"),
    ("solver/dead.hpp", "double dead(double x);\n", 1, "dead() is used by nobody"),
    ("solver/dead.hpp", "// dead(1) says a comment\nstd::string dead(\n    int a);\n", 2, "nobody"),
    ("solver/dead.hpp", "class B {\n  int dead() const { return 1; }\n};\n", 2, "nobody"),
    ("solver/dead.hpp", "inline constexpr double dead(int a) { return a; }\n", 1, "nobody"),
]
USED = {  # bodies that use it, so that it is no fault
    "a call": "int f() {\n  return dead(1);\n}\n",
    "an assignment": "int f() {\n  const int a = dead(1);\n  return a;\n}\n",
    "a pointer": "const auto pointer = &dead;\n",
    "an argument": "int f() {\n  g(dead(1), 2);\n}\n",
    "a member": "int f() {\n  b.dead();\n}\n",
    "a condition": "int f() {\n  if (dead(1)) return 2;\n}\n",
}


def faults_of(files):
    with check_script.tree_of(files) as root:
        return faults_in_tree(root)


def self_test():
    failures = []
    faults, count = faults_of(GOOD)
    if faults or count != len(GOOD):
        failures.append(f"the good tree: {count} of {len(GOOD)} files seen, faults {faults}")
    for name, text, line, word in BAD:
        faults, _ = faults_of({**GOOD, name: text})
        if len(faults) != 1 or faults[0][:2] != (name, line) or word not in faults[0][2]:
            failures.append(f"{name} line {line}, {word}: reported {faults}")
    dead = {"solver/dead.hpp": "int dead(int x);\n", "solver/dead.cpp": "int dead(int x) {\n}\n"}
    for what, text in USED.items():
        faults, _ = faults_of({**GOOD, **dead, "tools/cli/main.cpp": GOOD["tools/cli/main.cpp"] + text})
        if faults:
            failures.append(f"used by {what}: reported {faults}")
    faults, _ = faults_of({**GOOD, **dead, "tests/dead_test.cpp": "void f() { dead(1); }\n"})
    if [fault[2] for fault in faults] != ["dead() is used by tests only"]:
        failures.append(f"used by a test: reported {faults}")
    return check_script.report_self_test(len(BAD) + len(USED) + 2, failures)


def check(root):
    found, count = faults_in_tree(root)
    faults = [f"{name}:{number}: {fault}" for name, number, fault in found]
    return faults, f"files: {count} files, {len(faults)} wrong" if count else None


if __name__ == "__main__":
    sys.exit(check_script.run(sys.argv[1:], __doc__, self_test, check))
