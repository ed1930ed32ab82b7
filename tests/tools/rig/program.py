"""The program as its users start it, and what the scripts one folder above share.

A script imports this, derives its test cases from CommandLineCase and ends with main().
"""

import json
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import unittest

PROGRAM = os.environ.get("PULSEWRIGHT", "")
CASES = pathlib.Path(__file__).resolve().parents[3] / "cases"
SINGLE = CASES / "single-cylinder.toml"  # the fastest engine among the shipped cases

# Exit codes: they are part of what scripts rely on.
DONE, FAILED, WRONG_INPUT = 0, 1, 2


def scratch_root():
    """A folder in memory where there is one: results files are synchronised after every point,
    which a busy disk makes slower than the simulation."""
    memory = pathlib.Path("/dev/shm")
    if memory.is_dir() and os.access(memory, os.W_OK):
        if shutil.disk_usage(memory).free > 200e6:
            return memory
    return None


class CommandLineCase(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory(dir=scratch_root(), prefix="pulsewright-test-")
        self.addCleanup(folder.cleanup)
        self.folder = pathlib.Path(folder.name)

    def pulsewright(self, *arguments, **options):
        """Runs the program in the scratch folder, without a terminal."""
        options.setdefault("cwd", self.folder)
        options.setdefault("stdout", subprocess.PIPE)
        return subprocess.run([PROGRAM, *map(str, arguments)], stdin=subprocess.DEVNULL,
                              stderr=subprocess.PIPE, text=True, timeout=300, check=False,
                              **options)

    def start(self, *arguments):
        process = subprocess.Popen([PROGRAM, *map(str, arguments)], stdin=subprocess.DEVNULL,
                                   stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                                   cwd=self.folder)

        def end():
            if process.poll() is None:
                process.kill()
            process.communicate()

        self.addCleanup(end)
        return process

    def json_of(self, *arguments):
        """The JSON that a run with --json prints; the run must succeed."""
        outcome = self.pulsewright(*arguments, "--json")
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        return json.loads(outcome.stdout)

    def case_file(self, name, *changes, source=SINGLE):
        """A shipped case with texts exchanged, each of which must stand in it."""
        text = source.read_text(encoding="utf-8")
        for old, new in changes:
            self.assertIn(old, text)
            text = text.replace(old, new)
        path = self.folder / name
        path.write_text(text, encoding="utf-8")
        return path

    def assert_refused(self, outcome, *says, code=WRONG_INPUT):
        """Refused with this exit code, with every text of `says` on stderr and nothing on
        stdout."""
        self.assertEqual(outcome.returncode, code, outcome.stderr)
        for text in says:
            self.assertIn(text, outcome.stderr)
        if outcome.stdout is not None:
            self.assertEqual(outcome.stdout, "")

    def assert_narrow(self, text):
        """In lines that a terminal of 80 columns shows whole."""
        self.assertEqual([line for line in text.splitlines() if len(line) > 80], [])

    def assert_close(self, value, expected, relative):
        self.assertLessEqual(abs(value - expected), relative * abs(expected),
                             f"{value} is not {expected}")


def main():
    if not os.access(PROGRAM, os.X_OK):
        sys.exit("PULSEWRIGHT does not name the program")
    run = unittest.main(module="__main__", verbosity=2, exit=False)
    sys.exit(0 if run.result.wasSuccessful() and run.result.testsRun > 0 else 1)
