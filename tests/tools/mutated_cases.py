"""Case files with faults of every kind, made from the shipped ones by chance, the same ones in every
run. `check` reads or refuses each: no crash, no hang, every error with file and line, nothing in its
output that a terminal obeys. What it reads, `run` and `compare` do not refuse.

MUTATED_CASES (environment): how many, 400 if it is not set. MUTATED_SEED: which, 1. A fault is shown
with the number of its case: MUTATED_SEED=1 MUTATED_ONLY=17 makes that one alone.
"""
# test label: long

import os
import random
import re
import subprocess
import time
import unicodedata
import unittest

from rig.program import CASES, DONE, FAILED, PROGRAM, WRONG_INPUT, CommandLineCase, main

COUNT = int(os.environ.get("MUTATED_CASES", "400"))
SEED = int(os.environ.get("MUTATED_SEED", "1"))
ONLY = os.environ.get("MUTATED_ONLY")
ACCEPTED_RUN = 6  # one in so many of the accepted ones is run and compared

NUMBERS = ["0", "-1", "1e-9", "1e9", "1e999", "-0", "nan", "inf", "0.5", "3", "17", "7/8", "1-7/8", "3/0",
           "1,5", "99999999999999999999", "1e-300", "0x10", "1_000", "720", "360", "180", "90", "1.0e2"]
UNITS = ["mm", "m", "in", "ft", "thou", "deg", "rad", "bar", "Pa", "inH2O", "psi", "K", "degC", "degF",
         "rpm", "rev/s", "cfm", "L/s", "cm2", "cc", "L", "ms", "deg BBDC", "deg ATDC", "deg BTDC",
         "deg ABDC", "mm OD, 16 ga", "mm ID", "mm OD, 30 mm wall", "OD", "", "furlong"]
VALUES = ["true", "false", "0", "-3", "1e308", "nan", "[]", "[[]]", "{}", "[1, 2]", '[["a"], 3]', '""', '"x"',
          "1979-05-27", "07:32:00", "{ a = 1 }", "{ at = \"0 mm\" }", "'''\nx\n'''", '"\\u0000"', '"\\u001b[2J"',
          '"\\u202e"', '"' + "9" * 300 + ' mm"', "[" * 12 + "]" * 12, "[" * 40, "9" * 40]
PIECES = ["[", "]", "[[", "{", "}", '"', "'", '"""', "=", ",", ".", "#", "\n", "\r", "\t", "\0", "\x1b[2J", "\x7f",
          "\u009b", "\u202e", "\u2028", "\ufeff", "é", "€", " ", "a.b.c.d = 1\n", "x" + ".y" * 3000 + " = 1\n",
          "[a.b.c]\n", "[[header]]\n", "[engine]\n", "[[header.pipe]]\n", "-", "0", "e", "\\", "bends", "name"]


def quantity(rng, value):
    """The text of a quantity with another number or another unit."""
    parts = re.match(r"\s*([-+0-9./ ]*[0-9])\s*(.*)", value, re.S)
    number, unit = parts.groups() if parts else ("1", value)
    kind = rng.randrange(4)
    if kind == 0:
        number = rng.choice(NUMBERS)
    elif kind == 1:
        unit = rng.choice(UNITS)
    else:
        scale = 10 ** rng.uniform(-2, 2) if kind == 2 else rng.uniform(0.5, 2)
        try:
            number = f"{float(number) * scale:.6g}"
        except ValueError:
            number = f"{scale:.6g}"
    return f"{number} {unit}".strip()


class Mutator:
    def __init__(self, rng, sources):
        self.rng = rng
        self.source, text = rng.choice(sources)
        self.lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]

    def line_with(self, pattern):
        found = [i for i, line in enumerate(self.lines) if re.search(pattern, line)]
        return self.rng.choice(found) if found else None

    def change_quantity(self):
        i = self.line_with(r'"[^"]*[0-9][^"]*"')
        if i is None:
            return
        texts = list(re.finditer(r'"([^"]*)"', self.lines[i]))
        one = self.rng.choice(texts)
        new = quantity(self.rng, one.group(1))
        self.lines[i] = self.lines[i][:one.start(1)] + new + self.lines[i][one.end(1):]

    def change_number(self):
        i = self.line_with(r"(?<![\w\"./-])\d+(\.\d+)?(?![\w\"/])")
        if i is None:
            return
        one = self.rng.choice(list(re.finditer(r"\d+(\.\d+)?", self.lines[i])))
        new = self.rng.choice(NUMBERS + [str(self.rng.randrange(20))])
        self.lines[i] = self.lines[i][:one.start()] + new + self.lines[i][one.end():]

    def change_value(self):
        i = self.line_with("=")
        if i is not None:
            self.lines[i] = self.lines[i].split("=")[0] + "= " + self.rng.choice(VALUES)

    def borrow_value(self):
        i, k = self.line_with("="), self.line_with("=")
        if i is not None:
            self.lines[i] = self.lines[i].split("=")[0] + "=" + self.lines[k].split("=", 1)[1]

    def change_text(self):
        i = self.line_with(r'"[A-Za-z]')
        if i is None:
            return
        j = self.line_with(r'"[A-Za-z]')
        texts = re.findall(r'"([A-Za-z][^"]*)"', self.lines[j])
        self.lines[i] = re.sub(r'"[A-Za-z][^"]*"', lambda _: f'"{self.rng.choice(texts)}"', self.lines[i],
                               count=1)

    def delete_line(self):
        if len(self.lines) > 1:
            del self.lines[self.rng.randrange(len(self.lines))]

    def delete_lines(self):
        start = self.rng.randrange(len(self.lines))
        del self.lines[start:start + self.rng.randrange(1, 8)]
        self.lines = self.lines or [""]

    def repeat_lines(self):
        start = self.rng.randrange(len(self.lines))
        some = self.lines[start:start + self.rng.randrange(1, 12)]
        place = self.rng.randrange(len(self.lines) + 1)
        self.lines[place:place] = some

    def exchange_lines(self):
        i, k = self.rng.randrange(len(self.lines)), self.rng.randrange(len(self.lines))
        self.lines[i], self.lines[k] = self.lines[k], self.lines[i]

    def insert_piece(self):
        i = self.rng.randrange(len(self.lines))
        at = self.rng.randrange(len(self.lines[i]) + 1)
        self.lines[i] = self.lines[i][:at] + self.rng.choice(PIECES) + self.lines[i][at:]

    def delete_piece(self):
        i = self.rng.randrange(len(self.lines))
        at = self.rng.randrange(len(self.lines[i]) + 1)
        self.lines[i] = self.lines[i][:at] + self.lines[i][at + self.rng.randrange(1, 6):]

    def mutated(self):
        changes = [self.change_quantity] * 6 + [self.change_number] * 2 + [
            self.change_value, self.borrow_value, self.change_text, self.delete_line, self.delete_lines,
            self.repeat_lines, self.exchange_lines, self.insert_piece, self.delete_piece]
        for _ in range(self.rng.choice((1, 1, 1, 2, 3))):
            self.rng.choice(changes)()
        text = "\n".join(self.lines) + "\n"
        data = bytearray(text.encode("utf-8"))
        if self.rng.randrange(12) == 0:  # a byte that is no text
            data[self.rng.randrange(len(data))] = self.rng.randrange(256)
        return bytes(data)


class MutatedCases(CommandLineCase):
    def assert_plain(self, outcome):
        for text in (outcome.stdout, outcome.stderr):
            odd = [c for c in text if c != "\n" and unicodedata.category(c) in ("Cc", "Cf", "Zl", "Zp")]
            self.assertEqual(odd, [], ascii(text))

    def check(self, path):
        """Whether the program reads the case."""
        outcome = self.pulsewright("check", path)
        self.assertIn(outcome.returncode, (DONE, WRONG_INPUT), outcome.stderr)
        self.assert_plain(outcome)
        if outcome.returncode == DONE:
            self.assertEqual(outcome.stderr, "")
            return True
        self.assertEqual(outcome.stdout, "")
        places = [line for line in outcome.stderr.splitlines()
                  if not line.startswith("  ") and not re.match(r"and \d+ more$", line)]
        self.assertGreater(len(places), 0)
        for line in places:
            self.assertRegex(line, rf"^{re.escape(str(path))}:[1-9]\d*: .")
        return False

    def begin(self, *arguments, enough):
        """Starts the program and lets it go on until enough() or its end. The exit code and what it
        says, None if it was still at work."""
        with subprocess.Popen([PROGRAM, *map(str, arguments)], stdin=subprocess.DEVNULL, cwd=self.folder,
                              stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True) as process:
            limit = time.monotonic() + 60
            while process.poll() is None and not enough() and time.monotonic() < limit:
                time.sleep(0.01)
            at_work = process.poll() is None
            if at_work:
                self.assertLess(time.monotonic(), limit, "neither begins nor ends")
                process.kill()
            says = process.communicate()[1]
            return None if at_work else (process.returncode, says)

    def run_accepted(self, path):
        """Begun, and ended as soon as the results file is there: then nothing was refused."""
        results = self.folder / "results.h5"
        pipes_only = "[engine]" not in path.read_text(encoding="utf-8", errors="replace")
        begun = time.monotonic()
        if pipes_only:
            end = self.begin("run", path, enough=lambda: time.monotonic() > begun + 0.3)
        else:
            end = self.begin("compare", path, "--jobs", "1", "-o", results, enough=results.exists)
        results.unlink(missing_ok=True)
        if end is None:
            return
        code, says = end
        self.assertIn(code, (DONE, FAILED), says)
        if code == FAILED:
            self.assertRegex(says, r"'.+'|header \"|rpm", says)  # the part it happened in

    def test_mutated_cases(self):
        sources = [(path.name, path.read_text(encoding="utf-8")) for path in sorted(CASES.glob("*.toml"))]
        accepted = 0
        for number in range(COUNT) if ONLY is None else [int(ONLY)]:
            rng = random.Random(f"{SEED}/{number}")
            mutator = Mutator(rng, sources)
            path = self.folder / f"mutated-{number}.toml"
            path.write_bytes(mutator.mutated())
            with self.subTest(number=number, source=mutator.source, seed=SEED):
                if self.check(path):
                    accepted += 1
                    if ONLY is not None or rng.randrange(ACCEPTED_RUN) == 0:
                        self.run_accepted(path)
            if ONLY is None:
                path.unlink()
            else:
                print(path.read_bytes().decode("utf-8", errors="replace"))
        if ONLY is None and COUNT >= 100:
            # Some are read, some are not: else the faults would be too coarse or too fine.
            self.assertGreater(accepted, COUNT // 10)
            self.assertLess(accepted, COUNT * 9 // 10)


if __name__ == "__main__":
    main()
