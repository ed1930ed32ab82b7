#!/usr/bin/env python3
"""Checks that references.bib and the citations in the tree agree.

    check-references.py [ROOT]       checks the tree (default: the one this script is in)
    check-references.py --self-test  shows that every kind of fault is found

Rules
  references.bib   each entry closes its braces, has its own key (authorYEAR, such as toro2009), a
                   title, a year, and an author, editor, institution or organization; the key ends
                   with the entry's year; each entry is cited somewhere
  citations        [key] or [key, place] in source, documents and case files names an entry, for
                   example [toro2009, section 10.4]; several are separated by semicolons;
                   "Toro (2009)", "Winterbone & Pearson (2000)" names an entry of that year whose
                   author, editor, institution or title contains the last word before the year;
                   "J. Fluids Eng. 105 (1983) 89", "NACA Report 1135 (1953)" names an entry of that
                   year and volume that starts on that page, or whose report number contains the
                   number
Exit code: 0 nothing wrong, 1 faults (one line each), 2 wrong use.
"""

import re
import sys

import check_script

KEY = r"[a-z][a-z0-9]*?(?:1[789]|20)[0-9]{2}[a-z]?"
CITATION = re.compile(rf"\[({KEY}(?:,[^\[\];]*)?(?:;\s*{KEY}(?:,[^\[\];]*)?)*)\]")
YEAR = r"\(((?:1[789]|20)[0-9]{2})\)"
# White space, or a line break within a comment or a string.
GAP = r"(?:\s|//|#(?=\s)|\"\s*\n\s*\")+"
NAMED = re.compile(rf"\b([A-Z][A-Za-z-]+)(?:{GAP}et{GAP}al\.)?{GAP}{YEAR}")
NUMBERED = re.compile(rf"\b(\d+){GAP}{YEAR}(?:{GAP}(\d+))?")
PLACES = ["solver", "models", "cases", "tools", "tests", "validation"]
SUFFIXES = {".cpp", ".hpp", ".md", ".toml", ".py", ".js", ".css"}
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


def entry_faults(text):
    """List of (file, line, fault) of references.bib, and its entries: key -> (line, fields)."""
    faults, entries = [], {}
    for line, key, fields in entries_of(text):
        where = ("references.bib", line)
        if key in entries:
            faults.append((*where, f"{key} occurs twice"))
        if fields is None:
            faults.append((*where, f"{key}: a brace is not closed"))
        entries[key] = (line, fields or {})
        if fields is None:
            continue
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
    return faults, entries


def names(fields, name):
    """Whether the authors, editors, institution or title contain the word."""
    return any(re.search(rf"\b{re.escape(name)}\b", fields.get(field, "")) for field in
               ("author", "editor", "institution", "organization", "title"))


def numbers(fields, number, page):
    """Whether volume and first page, or the report number, are these."""
    if re.search(rf"\b{number}\b", fields.get("number", "")) and "volume" not in fields:
        return True
    return fields.get("volume") == number and (
        page is None or re.split(r"-+", fields.get("pages", page))[0] == page)


def citations_in(text, entries):
    """Yields (line, text of the citation, set of the keys it may mean) for each citation."""
    def line_of(match):
        return text.count("\n", 0, match.start()) + 1

    for match in CITATION.finditer(text):
        for part in match[1].split(";"):
            key = part.split(",")[0].strip()
            yield line_of(match), f"[{key}]", {key} & entries.keys()
    for match in NAMED.finditer(text):
        yield line_of(match), f"{match[1]} ({match[2]})", {
            key for key, (_, fields) in entries.items()
            if fields.get("year") == match[2] and names(fields, match[1])}
    for match in NUMBERED.finditer(text):
        yield line_of(match), " ".join(match[0].replace("//", " ").split()), {
            key for key, (_, fields) in entries.items()
            if fields.get("year") == match[2] and numbers(fields, match[1], match[3])}


def faults_in_tree(root):
    """List of (file, line, fault), the number of entries and the number of citations."""
    faults, entries = entry_faults((root / "references.bib").read_text(encoding="utf-8"))
    files = [path for place in PLACES for path in sorted((root / place).rglob("*"))
             if path.suffix in SUFFIXES and path.is_file() and path.name != SCRIPT]
    files += sorted(root.glob("*.md"))
    count, cited = 0, set()
    for path in files:
        for line, citation, keys in citations_in(path.read_text(encoding="utf-8"), entries):
            count += 1
            cited |= keys
            if not keys:
                faults.append((path.relative_to(root).as_posix(), line,
                               f"{citation} is not in references.bib"))
    faults += [("references.bib", line, f"{key} is not cited")
               for key, (line, fields) in entries.items() if fields and key not in cited]
    return faults, len(entries), count


ENTRY = ("@book{toro2009,\n  author = {Toro, E. F.},\n  title = {Riemann Solvers {and} Methods},\n"
         "  year = {2009},\n}\n")
CITED = ("// [toro2009, section 10.4] and [toro2009]; v[row20], a[i], [2009]\n"
         "// Toro (2009), section 10.4; Riemann et al. (2009); 3 of (1966) parts; year (2001)\n")

PAPER = ("@article{haaland1983,\n  author = {Haaland, S. E.},\n  title = {Formulas},\n"
         "  volume = {105},\n  pages = {89--90},\n  year = {1983},\n}\n")
REPORT = ("@techreport{naca1953,\n  institution = {NACA},\n  title = {Tables},\n"
          "  number = {NACA Report 1135},\n  year = {1953},\n}\n")

# references.bib, text of solver/flux.hpp, file and line of the fault (None: no fault).
CASES = [
    (ENTRY, CITED, None),
    (ENTRY, "// [toro2009]\n// [sod1978]\n", ("solver/flux.hpp", 2)),
    (ENTRY, "// [toro2009]\n// [sod1978, eq. (3)]\n", ("solver/flux.hpp", 2)),
    (ENTRY, "// [toro2009, section 4; sod1978]\n", ("solver/flux.hpp", 1)),
    (ENTRY, "// Toro (2008), section 4; Toro (2009)\n", ("solver/flux.hpp", 1)),
    (ENTRY, "// [toro2009]\n// Sod & Lax et al. (2009)\n", ("solver/flux.hpp", 2)),
    (ENTRY, "// by Toro\n// (2009), and Toro\n// (2008)\n", ("solver/flux.hpp", 2)),
    (ENTRY, "// Toro\n", ("references.bib", 1)),
    (ENTRY + ENTRY, CITED, ("references.bib", 6)),
    (ENTRY.replace("title", "titel"), "// [toro2009]\n", ("references.bib", 1)),
    (ENTRY.replace("  year = {2009},\n", ""), "// [toro2009]\n", ("references.bib", 1)),
    (ENTRY.replace("author", "autor"), "// [toro2009]\n", ("references.bib", 1)),
    (ENTRY.replace("{2009}", "{2008}"), "// [toro2009]\n", ("references.bib", 1)),
    (ENTRY.replace("{2009},\n}", "{2009},\n"), "// [toro2009]\n", ("references.bib", 1)),
    (ENTRY + ENTRY.replace("toro2009", "Toro"), CITED, ("references.bib", 6)),
    (PAPER, "// Haaland, J. Fluids Eng. 105\n// (1983) 89\n", None),
    (PAPER, 'Source s{"J. Fluids Eng. "\n  "105 (1983) 89"};\n', None),
    (PAPER, "// J. Fluids Eng. 105 (1983) 89; J. Fluids Eng. 105 (1983) 98\n",
     ("solver/flux.hpp", 1)),
    (PAPER, "// [haaland1983]; J. Fluids Eng. 104 (1983)\n", ("solver/flux.hpp", 1)),
    (REPORT, "// NACA Report 1135 (1953), eq. (43)\n", None),
    (REPORT, "// [naca1953]; NACA Report 1136 (1953)\n", ("solver/flux.hpp", 1)),
]


def self_test():
    failures = []
    for bibliography, source, expected in CASES:
        with check_script.tree_of({"references.bib": bibliography,
                                   "solver/flux.hpp": source}) as root:
            found = {(fault[0], fault[1]) for fault in faults_in_tree(root)[0]}
        if found != ({expected} if expected else set()):
            failures.append(f"{source!r} with {bibliography!r}: expected {expected}, found {found}")
    return check_script.report_self_test(len(CASES), failures)


def check(root):
    found, entries, citations = faults_in_tree(root)
    faults = [f"{name}:{number}: {fault}" for name, number, fault in found]
    summary = f"references: {entries} entries, {citations} citations, {len(faults)} wrong"
    return faults, summary if entries else None


if __name__ == "__main__":
    sys.exit(check_script.run(sys.argv[1:], __doc__, self_test, check))
