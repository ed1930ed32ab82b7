"""The worked example, cases/worked-example/README.md: its commands run in their order, and print what stands there.

A block ```sh holds commands, the block ```text behind it an excerpt of what they print; a line `...` stands for
lines left out. Numbers may differ by one unit of the last digit that is printed, since another compiler or library
of math functions rounds otherwise; whole numbers below 100, which are sizes, counts and names, may not. The excerpts are
what this program printed: a regression test of the whole way, no check from outside.

    PULSEWRIGHT_WRITE_EXAMPLE=1      writes the excerpts anew, where only numbers have changed
    PULSEWRIGHT_EXAMPLE_FOLDER=path  runs there and leaves everything, for tests/page/pictures.mjs
"""
# test label: long
# test needs: page

import json
import os
import pathlib
import re
import subprocess
import unittest

from rig.program import CASES, PROGRAM, CommandLineCase, main

EXAMPLE = CASES / "worked-example" / "README.md"
BLOCK = re.compile(r"(?ms)^```(\w+)\n(.*?)^```$")
DATA = re.compile(r'(?s)<script type="application/json" id="results">(.*?)</script>')
DECIMAL = re.compile(r"(?<![\w.])\d+\.\d+")
# A sign belongs to the number where none or a bracket stands before it: not that of "5-1/2 in".
NUMBER = re.compile(r"(?:(?:^|(?<=[\s(]))[+-])?\d+(?:\.\d+)?")


def shape(line):
    """The line without its numbers and the width of its gaps."""
    return " ".join(NUMBER.sub("#", line).split())


def alike(text, expected):
    """Two printed numbers."""
    if text == expected:
        return True
    digits = len(expected.partition(".")[2])
    if not digits and abs(int(expected)) < 100:
        return False
    return abs(float(text) - float(expected)) < 1.01 * 10 ** -digits


def same_shape(line, expected):
    return shape(line) == shape(expected)


def same_numbers(line, expected):
    return same_shape(line, expected) and all(map(alike, NUMBER.findall(line), NUMBER.findall(expected)))


def find(lines, passage, start, same):
    """Where `passage` stands in `lines` from `start` on, or None."""
    for i in range(start, len(lines) - len(passage) + 1):
        if all(map(same, lines[i:i + len(passage)], passage)):
            return i
    return None


def passages(excerpt):
    """Runs of lines between those that stand for others."""
    return [part.strip("\n").split("\n") for part in re.split(r"(?m)^\.\.\.$", excerpt) if part.strip()]


class WorkedExample(CommandLineCase):
    @classmethod
    def setUpClass(cls):
        cls.text = EXAMPLE.read_text(encoding="utf-8")
        cls.blocks = [(match[1], match[2]) for match in BLOCK.finditer(cls.text)]

    def run_commands(self):
        """What each block of commands prints. They run in one shell, in a folder that has what a clone has."""
        self.folder = folder = pathlib.Path(os.environ.get("PULSEWRIGHT_EXAMPLE_FOLDER", self.folder)).resolve()
        (folder / "build").mkdir(parents=True)
        (folder / "build" / "release").symlink_to(pathlib.Path(PROGRAM).resolve().parent)
        (folder / "cases").symlink_to(CASES)
        outputs = [folder / f"printed-{i}.txt" for i in range(len(self.blocks))]
        lines = ["set -eu"]
        for (kind, commands), output in zip(self.blocks, outputs):
            if kind == "sh":
                lines += [f"exec > '{output}'", commands]
        outcome = subprocess.run(["/bin/sh"], input="\n".join(lines), cwd=folder, text=True, check=False,
                                 stderr=subprocess.PIPE, timeout=500)
        self.assertEqual(outcome.returncode, 0, outcome.stderr)
        return [output.read_text(encoding="utf-8") if kind == "sh" else None
                for (kind, _), output in zip(self.blocks, outputs)]

    def test_commands_print_the_excerpts(self):
        printed = self.run_commands()
        rewritten = []
        for (before, _), (kind, excerpt), output in zip(self.blocks, self.blocks[1:], printed):
            if kind != "text":
                continue
            self.assertEqual(before, "sh", "an excerpt stands behind its commands")
            self.assertTrue(passages(excerpt), "the excerpt is empty")
            lines = output.split("\n")
            with self.subTest(excerpt=excerpt.partition("\n")[0]):
                new = excerpt
                place = 0
                for passage in passages(excerpt):
                    changed = find(lines, passage, place, same_shape)
                    found = find(lines, passage, place, same_numbers)
                    whole = "\n".join(passage)
                    if changed is not None:
                        new = new.replace(whole, "\n".join(lines[changed:changed + len(passage)]), 1)
                    place = (found if found is not None else changed or place) + len(passage)
                    self.assertIsNotNone(found, f"is not printed:\n{whole}\nbut:\n{output}")
            rewritten.append((excerpt, new))
        # The dyno sheet is in the page of the case that names pulls, and in no other.
        for page, sheet in (("built.html", False), ("measured.html", True)):
            data = DATA.search((self.folder / "job" / page).read_text(encoding="utf-8"))[1]
            self.assertIs("dyno" in json.loads(data), sheet, page)
        if os.environ.get("PULSEWRIGHT_WRITE_EXAMPLE"):
            text = self.text
            for old, new in rewritten:
                text = text.replace(old, new, 1)
            EXAMPLE.write_text(text, encoding="utf-8")

    def test_numbers_of_the_text_are_printed_ones(self):
        """Each number with a decimal point stands in a block, in the files of the pulls, or in the README of the
        project, whose comparison the example refers to."""
        others = [CASES.parent / "README.md", *EXAMPLE.parent.glob("*.csv")]
        known_texts = "".join(path.read_text(encoding="utf-8") for path in others)
        known = set(DECIMAL.findall(known_texts + "".join(body for _, body in self.blocks)))
        told = set(DECIMAL.findall(BLOCK.sub("", self.text)))
        self.assertTrue(told)
        self.assertEqual(told - known, set())

    def test_numbers_of_the_short_version_are_printed_ones(self):
        """The table in the README of the project."""
        short, = re.findall(r"(?ms)^## One job.*?(?=^## )", (CASES.parent / "README.md").read_text(encoding="utf-8"))
        told = set(DECIMAL.findall(short))
        self.assertTrue(told)
        self.assertEqual(told - set(DECIMAL.findall("".join(body for _, body in self.blocks))), set())


class Comparison(unittest.TestCase):
    def test_numbers_within_one_unit_of_the_last_digit(self):
        for line, expected, same in (("a 12.3 b", "a  12.4 b", True), ("a 12.3 b", "a 12.5 b", False),
                                     ("a -0.0*", "a +0.1*", True), ("a 5937 rpm", "a 5938 rpm", True),
                                     ("2-1/8 in", "2-1/4 in", False), ("19 in", "20 in", False),
                                     ("12.3 lb", "12.3 hp", False), ("12.3", "12.3*", False)):
            self.assertIs(same_numbers(line, expected), same, (line, expected))
        lines = ["one 1", "two 2", "three 3", "two 2"]
        self.assertEqual(find(lines, ["two 2"], 2, same_numbers), 3)
        self.assertIsNone(find(lines, ["two 2", "two 2"], 0, same_numbers))
        self.assertEqual(passages("...\na\nb\n...\nc\n"), [["a", "b"], ["c"]])


if __name__ == "__main__":
    main()
