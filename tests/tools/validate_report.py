"""pulsewright validate: table, JSON, report page, and what it refuses."""

import html.parser
import re
import unittest

from rig.program import DONE, FAILED, CommandLineCase, main


class Validate(CommandLineCase):
    def test_help_names_an_example_that_is_understood(self):
        text = self.pulsewright("validate", "--help").stdout
        self.assertIn("Example: pulsewright validate --long -o", text)
        for option in ("--group", "--case", "--long", "--output", "--json", "--broken", "--quiet"):
            self.assertIn(option, text)

    def test_list_names_every_group_and_runs_nothing(self):
        outcome = self.pulsewright("validate", "--list")
        self.assertEqual((outcome.returncode, outcome.stderr), (DONE, ""))
        groups = {line.split("/")[0] for line in outcome.stdout.splitlines()}
        self.assertLessEqual({"waves", "steady", "acoustics", "trends", "convergence"}, groups)

    def test_the_table_has_80_columns_and_every_figure(self):
        figures = 0
        for case in ("waves/driven-tube-stepped", "waves/sod", "junctions/finite-pulses"):
            with self.subTest(case=case):
                outcome = self.pulsewright("validate", "--case", case, "--quiet")
                self.assertEqual(outcome.returncode, DONE, outcome.stderr)
                lines = outcome.stdout.splitlines()
                self.assert_narrow(outcome.stdout)
                self.assertIn("1 of 1 case passes", outcome.stdout)
                (computed,) = self.json_of("validate", "--case", case)
                for figure in computed["figures"]:
                    name = ", ".join(filter(None, (figure["quantity"], figure["unit"])))
                    row = lines[lines.index("  " + name) + 1]
                    self.assertRegex(row, r" (pass|misses the goal)$")
                    figures += 1
        self.assertGreater(figures, 50)

    def test_json_holds_each_figure_with_its_source(self):
        (case,) = self.json_of("validate", "--case", "waves/contact")
        self.assertEqual((case["group"], case["case"], case["passed"]), ("waves", "contact", True))
        self.assertGreater(len(case["figures"]), 3)
        for figure in case["figures"]:
            self.assertTrue(figure["source"] and figure["confidence"] and figure["why"], figure)
            self.assertTrue(figure["passed"])
            self.assertLessEqual(abs(figure["computed"] - figure["expected"]), figure["tolerance"])

    def test_page_holds_all_figures_and_plots_and_needs_no_network(self):
        outcome = self.pulsewright("validate", "--case", "waves/contact", "-o", "report")
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        self.assertEqual([path.name for path in (self.folder / "report").iterdir()],
                         ["report.html"])
        page = (self.folder / "report" / "report.html").read_text(encoding="utf-8")
        html.parser.HTMLParser().feed(page)
        self.assertIn("1 of 1 cases pass, 5 figures", page)
        self.assertIn("Toro (2009), section 10.7", page)
        self.assertEqual(len(re.findall(r'<img alt="[^"]+" src="data:image/svg', page)), 1)
        self.assertIsNone(re.search(r'(src|href)="?https?:', page))

    def test_a_part_that_is_broken_makes_its_case_miss(self):
        outcome = self.pulsewright("validate", "--case", "waves/contact", "--broken",
                                   "smeared-contact")
        self.assertEqual(outcome.returncode, FAILED)
        self.assertIn("FAIL", outcome.stdout)
        self.assertIn("0 of 1 case passes", outcome.stdout)

    def test_wrong_names_are_refused_and_allowed_ones_shown(self):
        (self.folder / "file").write_text("", encoding="utf-8")
        for line, says in ((("--group", "boats"), "waves"), (("--case", "boats"), "validate --list"),
                           (("--case", "waves/sot"), "waves/sod"),
                           (("--broken", "boats"), "area-term"), (("--jobs", "0"), "--jobs"),
                           (("--case", "waves/contact", "-o", "file"), "file")):
            with self.subTest(line=line):
                self.assert_refused(self.pulsewright("validate", *line), says)


if __name__ == "__main__":
    main()
