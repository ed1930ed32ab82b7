"""What a program that was built without the page of the report prints when a report is requested."""

import pathlib
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "tools"))
from rig.program import SINGLE, WRONG_INPUT, CommandLineCase, main  # noqa: E402


class WithoutPage(CommandLineCase):
    def assert_refused(self, *arguments):
        run = self.pulsewright(*arguments)
        self.assertEqual(run.returncode, WRONG_INPUT, run.stderr)
        self.assertIn("built without the page of the report", run.stderr)
        self.assertEqual(run.stdout, "")
        self.assertEqual(list(self.folder.iterdir()), [])  # nothing was begun

    def test_report_is_refused(self):
        self.assert_refused("report", "results.h5", "-o", "page.html")

    def test_a_comparison_with_a_report_is_refused_before_it_runs(self):
        self.assert_refused("compare", SINGLE, "-o", "results.h5", "--report", "page.html")

    def test_the_live_page_is_refused(self):
        run = self.pulsewright("live", SINGLE, "-o", "live.html")
        self.assertEqual(run.returncode, WRONG_INPUT, run.stderr)
        self.assertIn("built without the live page", run.stderr)
        self.assertEqual(list(self.folder.iterdir()), [])

    def test_a_comparison_runs(self):
        self.assertEqual(self.pulsewright("compare", SINGLE, "--quick", "--speeds", "5000",
                                          "-o", "results.h5", "--quiet").returncode, 0)
        self.assertTrue((self.folder / "results.h5").is_file())


main()
