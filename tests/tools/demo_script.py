"""The script of the demo, with programs in the place of those that build and compute."""

import os
import pathlib
import shutil
import subprocess
import unittest

from rig.program import CommandLineCase, main

SCRIPT = pathlib.Path(os.environ["PULSEWRIGHT_SOURCE_DIR"]) / "tools" / "dev" / "demo.sh"


class Demo(CommandLineCase):
    def setUp(self):
        super().setUp()
        self.script("tools/dev/install-packages.sh", "")
        self.script("bin/cmake", "")
        shutil.copy(SCRIPT, self.folder / "tools" / "dev" / "demo.sh")

    def script(self, name, *lines):
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("\n".join(("#!/bin/sh", *lines, "")), encoding="utf-8")
        path.chmod(0o755)

    def demo(self, *program):
        self.script("build/release/pulsewright", *program)
        path = f"{self.folder / 'bin'}:{os.environ['PATH']}"
        return subprocess.run([self.folder / "tools" / "dev" / "demo.sh", "--quick"], text=True,
                              capture_output=True, check=False, env={**os.environ, "PATH": path})

    def test_it_ends_by_naming_the_page(self):
        for code in (0, 1):
            with self.subTest(code=code):
                outcome = self.demo("touch -d '1 minute ago' demo.h5", "touch demo.html",
                                    'echo "given $*"', f"exit {code}")
                self.assertEqual(outcome.returncode, code, outcome.stderr)
                self.assertIn("--report demo.html --overwrite --quick", outcome.stdout)
                last = outcome.stdout.splitlines()[-1]
                self.assertEqual(last, "Open this page in a browser: "
                                       f"{(self.folder / 'demo.html').resolve()}")

    def test_the_page_of_an_earlier_run_is_not_named(self):
        outcome = self.demo("touch -d '1 minute ago' demo.html", "touch demo.h5", "exit 1")
        self.assertEqual(outcome.returncode, 1)
        self.assertNotIn("browser", outcome.stdout)


if __name__ == "__main__":
    main()
