#!/usr/bin/env python3
"""Refuses a name that a file uses without a header that declares it.

    check-names.py [ROOT]       checks the source tree (default: the one this script is in)
    check-names.py --self-test  shows that a missing header is found, and where

Precompiled headers and unity builds give a file more than it includes, so that the compiler does not
notice a missing #include. Rules, for what a file includes itself or through headers of the tree:
  libraries   a name of the table LIBRARIES needs one of the headers that stand there with it
  own types   a class, struct, enumeration or alias that exactly one header of the tree declares in a
              namespace needs that header, or one that declares the name, too
Exit code: 0 nothing missing, 1 something missing (one line each), 2 wrong use.
"""

import functools
import re
import sys

import check_script

FOLDERS = ["solver", "models", "cases", "validation", "tools", "tests"]
INCLUDE = re.compile(r'^\s*#\s*include\s*(?:"([^"]+)"|<([^>]+)>)', re.MULTILINE)
# A name, as a pattern, and the headers that declare it. Where a standard header must bring in what
# another declares (std::string with <stdexcept>), any of them will do.
LIBRARIES = [
    (r"std::vector\b", ["vector"]),
    (r"std::map\b", ["map"]),
    (r"std::set\b", ["set"]),
    (r"std::array\b", ["array", "tuple", "span"]),
    (r"std::span\b", ["span"]),
    (r"std::optional\b|std::nullopt\b", ["optional"]),
    (r"std::function\b", ["functional"]),
    (r"std::variant\b|std::visit\b", ["variant"]),
    (r"std::(?:unique_ptr|shared_ptr|make_unique|make_shared)\b", ["memory"]),
    (r"std::string\b|std::to_string\b", ["string", "stdexcept", "filesystem", "sstream", "iostream"]),
    (r"std::string_view\b", ["string_view", "string", "stdexcept", "filesystem"]),
    (r"std::(?:runtime_error|invalid_argument|logic_error|out_of_range)\b", ["stdexcept"]),
    (r"std::numeric_limits\b", ["limits"]),
    (r"std::numbers::", ["numbers"]),
    (r"std::(?:sort|max_element|min_element|any_of|all_of|none_of|find_if|clamp|fill|copy|transform|"
     r"ranges::(?:sort|any_of|all_of|none_of|find|find_if|max|min|max_element|min_element))\b",
     ["algorithm"]),
    (r"std::(?:sqrt|pow|exp|log|sin|cos|tan|atan2|abs|isnan|isfinite|lround|floor|ceil|hypot)\b",
     ["cmath"]),
    (r"std::u?int(?:8|16|32|64)_t\b", ["cstdint"]),
    (r"std::accumulate\b|std::iota\b", ["numeric"]),
    (r"std::(?:ofstream|ifstream)\b", ["fstream"]),
    (r"std::o?stringstream\b", ["sstream"]),
    (r"std::filesystem\b", ["filesystem"]),
    (r"std::chrono\b", ["chrono"]),
    (r"std::(?:thread|jthread|this_thread)\b", ["thread"]),
    (r"std::(?:mutex|lock_guard|unique_lock|scoped_lock)\b", ["mutex"]),
    (r"std::atomic\b", ["atomic"]),
    (r"std::experimental\b", ["experimental/simd"]),
    (r"\bEigen::", ["Eigen/Core", "Eigen/Dense", "Eigen/QR"]),
    (r"\bfmt::", ["fmt/format.h", "fmt/core.h"]),
    (r"\btoml::", ["toml++/toml.h"]),
    (r"\bnlohmann::", ["nlohmann/json.hpp", "nlohmann/json_fwd.hpp"]),
    (r"\bCLI::", ["CLI/CLI.hpp"]),
    (r"\bH5[A-Z][a-z_]+\(|\bhid_t\b", ["hdf5.h"]),
    (r"\bbenchmark::", ["benchmark/benchmark.h"]),
    (r"\bTEST_CASE\(", ["doctest/doctest.h"]),
]
LIBRARIES = [(re.compile(pattern), headers) for pattern, headers in LIBRARIES]
# At the start of a line, as the format has it for what stands in a namespace.
DECLARED = re.compile(r"^(?:template <[^\n]*>\s)?(?:struct|class|enum class|enum|using)\s+([A-Z]\w+)"
                      r"(?=[^;\n]*[{=:])", re.MULTILINE)
ANY_DECLARATION = re.compile(r"\b(?:struct|class|enum|using|typename|concept)\s+(?:class\s+)?([A-Z]\w+)")
NAMESPACES = "pulsewright|solver|models|cases|tools|results|study|spread|report|validation|tests"
WORD = re.compile(rf"(?<![\w.>:])(?:(?:{NAMESPACES})::)*([A-Z]\w+)\b")


def without_comments_and_texts(text):
    """The text with comments and strings blanked, line breaks and #include lines kept."""
    pattern = re.compile(
        r'^[ \t]*#[ \t]*include[^\n]*|//[^\n]*|/\*.*?\*/|R"([^()\s\\]{0,16})\(.*?\)\1"|'
        r'"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])+\'', re.DOTALL | re.MULTILINE)

    def blank(match):
        found = match.group(0)
        return found if found.lstrip().startswith("#") else " " + "\n" * found.count("\n")

    return pattern.sub(blank, text)


class Tree:
    """The sources of a tree: their text, and what each gets by its includes."""

    def __init__(self, root):
        self.texts = {}
        for folder in FOLDERS:
            for path in sorted((root / folder).rglob("*")):
                if path.suffix in (".cpp", ".hpp") and path.is_file():
                    self.texts[path.relative_to(root).as_posix()] = without_comments_and_texts(
                        path.read_text(encoding="utf-8"))
        self.included = functools.cache(self.included)
        self.declared = functools.cache(lambda file: ANY_DECLARATION.findall(self.texts[file]))
        declaring = {}
        for file, text in self.texts.items():
            if file.endswith(".hpp"):
                for name in set(DECLARED.findall(text)):
                    declaring.setdefault(name, []).append(file)
        self.headers_of_types = {name: files[0] for name, files in declaring.items()
                                 if len(files) == 1}

    def included(self, file):
        """All that a file includes, itself or through headers of the tree: (own files, libraries)."""
        own, libraries = {file}, set()
        waiting = [file]
        while waiting:
            for quoted, angled in INCLUDE.findall(self.texts[waiting.pop()]):
                if angled:
                    libraries.add(angled)
                elif quoted in self.texts and quoted not in own:
                    own.add(quoted)
                    waiting.append(quoted)
        return own, libraries

    def missing(self, file):
        """(line, name, header) of what `file` uses without a header that declares it."""
        text = self.texts[file]
        own, libraries = self.included(file)
        found = []
        for pattern, headers in LIBRARIES:
            match = pattern.search(text)
            if match and not libraries.intersection(headers):
                found.append((text.count("\n", 0, match.start()) + 1, match.group(0),
                              f"<{headers[0]}>"))
        declared = {name for each in own for name in self.declared(each)}
        for match in WORD.finditer(text):
            name = match.group(1)
            header = self.headers_of_types.get(name)
            if header and name not in declared:
                declared.add(name)  # reported once
                found.append((text.count("\n", 0, match.start()) + 1, name, f'"{header}"'))
        return sorted(found)


def missing_in_tree(root):
    """List of (file, line, name, header) and the number of files checked."""
    tree = Tree(root)
    return [(file, *one) for file in tree.texts for one in tree.missing(file)], len(tree.texts)


GOOD = {
    "solver/gas.hpp": "#include <array>\nnamespace a {\nstruct Gas {\n  struct Part {};\n};\n}  // namespace a\n",
    "solver/uses.cpp": '#include "solver/gas.hpp"\na::Gas g;\nGas::Part p;\nstd::array<int, 2> x;\n',
    "models/forward.hpp": "struct Gas;\nGas* nothing();\n",
    "models/text.cpp": 'const char* s = "std::vector Gas";  // std::map, Gas\n',
    "models/own.cpp": "enum class Gas { a };\nGas g;\nOther::Range r;\n",
    "cases/range.hpp": "class Range {};\n",
}
# One bad file each: path, text, line and name to be reported.
BAD = [
    ("solver/a.cpp", "\nstd::vector<int> x;\n", 2, "std::vector"),
    ("solver/a.cpp", '#include "solver/gas.hpp"\nstd::map<int, int> x;\n', 2, "std::map"),
    ("tests/a.cpp", "namespace b {\nGas g;\n}\n", 2, "Gas"),
    ("tests/a.cpp", "solver::Gas g;\n", 1, "Gas"),
    ("cases/a.hpp", "toml::table t;\n", 1, "toml::"),
    ("tools/a.cpp", '// #include "solver/gas.hpp"\nGas g;\nGas h;\n', 2, "Gas"),
]


def self_test():
    failures = []
    cases = [(None, "", None)] + [(name, text, (name, line, word)) for name, text, line, word in BAD]
    for name, text, expected in cases:
        with check_script.tree_of({**GOOD, **({name: text} if name else {})}) as root:
            found, _ = missing_in_tree(root)
        if [one[:3] for one in found] != ([expected] if expected else []):
            failures.append(f"{name}, {text!r}: reported {found}")
    return check_script.report_self_test(len(cases), failures)


def check(root):
    missing, count = missing_in_tree(root)
    faults = [f"{file}:{line}: {name} without #include {header}"
              for file, line, name, header in missing]
    return faults, f"names: {count} files, {len(missing)} missing headers" if count else None


if __name__ == "__main__":
    sys.exit(check_script.run(sys.argv[1:], __doc__, self_test, check))
