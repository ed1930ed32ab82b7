#!/usr/bin/env python3
"""Holds references.bib and the source together.

    check-references.py [ROOT]       checks the tree (default: the one this script is in)
    check-references.py --self-test  shows that every kind of fault is found

Rules
  references.bib   each entry closes its braces, has its own key (authorYEAR, such as toro2009), a
                   title, a year, and an author, editor, institution or organization; the key ends
                   with the entry's year
  citations        [key] or [key, place] in source, documents and case files names an entry, for
                   example [toro2009, section 10.4]; several are parted by semicolons;
                   "Toro (2009)", "Winterbone & Pearson (2000)" names an entry of that year whose
                   author, editor, institution or title holds the last word before the year
Exit code: 0 nothing wrong, 1 faults (one line each), 2 wrong use.
"""

import pathlib
import re
import sys
import tempfile

KEY = r"[a-z][a-z0-9]*?(?:1[789]|20)[0-9]{2}[a-z]?"
CITATION = re.compile(rf"\[({KEY}(?:,[^\[\];]*)?(?:;\s*{KEY}(?:,[^\[\];]*)?)*)\]")
NAMED = re.compile(r"\b([A-Z][A-Za-z-]+)(?: et al\.)? \(((?:1[789]|20)[0-9]{2})\)")
PLACES = ["solver", "models", "cases", "tools", "tests", "validation"]
SUFFIXES = {".cpp", ".hpp", ".md", ".toml", ".py"}
SCRIPT = "check-references.py"


def entries_of(text):
    """Yields (line number, key, fields) for each entry; fields is None when a brace stays open."""
    for start in re.finditer(r"^@(\w+)\s*\{\s*([^,\s]*)\s*,", text, re.MULTILINE):
        line = text.count("\n", 0, start.start()) + 1
        depth, position = 1, start.end()
        while position < len(text) and depth > 0:
            if text[position] == "{":
                depth += 1
            elif text[position] == "}":
                depth -= 1
            elif text[position] == "@" and text[position - 1] == "\n":
                break
            position += 1
        body = text[start.end():position - 1]
        fields = dict(re.findall(r"^\s*(\w+)\s*=\s*\{(.*?)\}\s*,?\s*$", body,
                                 re.MULTILINE | re.DOTALL))
        yield line, start.group(2), fields if depth == 0 else None


def faults_in_tree(root):
    """List of (file, line, fault), the number of entries and the number of citations."""
    faults, keys, citations, by_year = [], set(), 0, {}
    text = (root / "references.bib").read_text(encoding="utf-8")
    for line, key, fields in entries_of(text):
        where = ("references.bib", line)
        if key in keys:
            faults.append((*where, f"{key} stands twice"))
        keys.add(key)
        if fields is None:
            faults.append((*where, f"{key}: a brace stays open"))
            continue
        by_year.setdefault(fields.get("year", ""), []).append(" ".join(
            fields.get(field, "")
            for field in ("author", "editor", "institution", "organization", "title")))
        if not re.fullmatch(KEY, key):
            faults.append((*where, f"{key}: a key is a name and a year in lower case"))
        for field in ("title", "year"):
            if not fields.get(field, "").strip():
                faults.append((*where, f"{key}: no {field}"))
        if fields.get("year") and fields["year"] != re.sub(r"\D", "", key[-5:])[-4:]:
            faults.append((*where, f"{key}: the key does not end with the year {fields['year']}"))
        if not any(fields.get(field, "").strip()
                   for field in ("author", "editor", "institution", "organization")):
            faults.append((*where, f"{key}: no author, editor, institution or organization"))

    files = [path for place in PLACES for path in sorted((root / place).rglob("*"))
             if path.suffix in SUFFIXES and path.is_file() and path.name != SCRIPT]
    files += sorted(root.glob("*.md"))
    for path in files:
        for number, line in enumerate(path.read_text(encoding="utf-8").split("\n"), start=1):
            for group in CITATION.findall(line):
                for part in group.split(";"):
                    citations += 1
                    key = part.split(",")[0].strip()
                    if key not in keys:
                        name = path.relative_to(root).as_posix()
                        faults.append((name, number, f"[{key}] is not in references.bib"))
            for name, year in NAMED.findall(line):
                citations += 1
                if not any(re.search(rf"\b{re.escape(name)}\b", text)
                           for text in by_year.get(year, [])):
                    faults.append((path.relative_to(root).as_posix(), number,
                                   f"{name} ({year}) is not in references.bib"))
    return faults, len(keys), citations


ENTRY = ("@book{toro2009,\n  author = {Toro, E. F.},\n  title = {Riemann Solvers {and} Methods},\n"
         "  year = {2009},\n}\n")
CITED = ("// [toro2009, section 10.4] and [toro2009]; v[row20], a[i], [2009]\n"
         "// Toro (2009), section 10.4; Riemann et al. (2009); J. Power 88 (1966) 73; year (2001)\n")

# references.bib, text of solver/flux.hpp, file and line of the fault (None: no fault).
CASES = [
    (ENTRY, CITED, None),
    (ENTRY, "// [sod1978]\n", ("solver/flux.hpp", 1)),
    (ENTRY, "//\n// [sod1978, eq. (3)]\n", ("solver/flux.hpp", 2)),
    (ENTRY, "// [toro2009, section 4; sod1978]\n", ("solver/flux.hpp", 1)),
    (ENTRY, "// Toro (2008), section 4\n", ("solver/flux.hpp", 1)),
    (ENTRY, "//\n// Sod & Lax et al. (2009)\n", ("solver/flux.hpp", 2)),
    (ENTRY + ENTRY, CITED, ("references.bib", 6)),
    (ENTRY.replace("title", "titel"), "// [toro2009]\n", ("references.bib", 1)),
    (ENTRY.replace("  year = {2009},\n", ""), "// [toro2009]\n", ("references.bib", 1)),
    (ENTRY.replace("author", "autor"), "// [toro2009]\n", ("references.bib", 1)),
    (ENTRY.replace("{2009}", "{2008}"), "// [toro2009]\n", ("references.bib", 1)),
    (ENTRY.replace("{2009},\n}", "{2009},\n"), "// [toro2009]\n", ("references.bib", 1)),
    (ENTRY + ENTRY.replace("toro2009", "Toro"), CITED, ("references.bib", 6)),
]


def self_test():
    failures = 0
    for bibliography, source, expected in CASES:
        with tempfile.TemporaryDirectory() as folder:
            root = pathlib.Path(folder)
            (root / "solver").mkdir()
            (root / "references.bib").write_text(bibliography, encoding="utf-8")
            (root / "solver" / "flux.hpp").write_text(source, encoding="utf-8")
            found = {(fault[0], fault[1]) for fault in faults_in_tree(root)[0]}
        if found != ({expected} if expected else set()):
            failures += 1
            print(f"{source!r} with {bibliography!r}: expected {expected}, found {found}",
                  file=sys.stderr)
    print(f"{len(CASES) - failures} passed, {failures} failed")
    return 1 if failures else 0


def main(arguments):
    if arguments == ["--self-test"]:
        return self_test()
    if len(arguments) > 1 or any(argument.startswith("-") for argument in arguments):
        print(__doc__, file=sys.stderr)
        return 2
    root = pathlib.Path(arguments[0]) if arguments else pathlib.Path(__file__).resolve().parents[2]
    faults, entries, citations = faults_in_tree(root)
    if entries == 0:
        print("references.bib: no entries", file=sys.stderr)
        return 1
    for name, number, fault in faults:
        print(f"{name}:{number}: {fault}", file=sys.stderr)
    print(f"references: {entries} entries, {citations} citations, {len(faults)} wrong")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
