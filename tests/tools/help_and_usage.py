"""Help, version, and command lines that the program does not understand."""

import re
import shlex
import unittest

from rig.program import CASES, DONE, SINGLE, WRONG_INPUT, CommandLineCase, main

OF_A_CASE = ("check", "run", "compare", "cutsheet", "dyno", "conditions", "sweep", "tune", "tolerance",
             "live")  # what these verbs are given
VERBS = OF_A_CASE + ("report", "sound")


class Help(CommandLineCase):
    def test_help_has_80_columns(self):
        for verb in (*VERBS, "size", "validate"):
            self.assert_narrow(self.pulsewright(verb, "--help").stdout)

    def test_program_names_verbs_example_and_exit_codes(self):
        outcome = self.pulsewright("--help")
        self.assertEqual((outcome.returncode, outcome.stderr), (DONE, ""))
        for verb in VERBS:
            self.assertRegex(outcome.stdout, rf"(?m)^ +{verb} +[A-Z]")
        self.assertIn("Example: pulsewright ", outcome.stdout)
        self.assertRegex(outcome.stdout, r"Exit codes: 0 .*1 .*2 ")
        self.assert_narrow(outcome.stdout)

    def test_every_verb_names_an_example_of_itself(self):
        for verb in VERBS:
            with self.subTest(verb=verb):
                outcome = self.pulsewright(verb, "--help")
                self.assertEqual((outcome.returncode, outcome.stderr), (DONE, ""))
                given = r"cases/\S+\.toml" if verb in OF_A_CASE else r"\S+\.h5"
                self.assertRegex(outcome.stdout, rf"Example: pulsewright {verb} {given}")
                for option in ("--quiet", "--json", "--units"):
                    self.assertIn(option, outcome.stdout)

    def test_examples_are_understood_as_they_stand(self):
        """The case of an example is shipped, and the options of the example exist."""
        for verb in VERBS:
            with self.subTest(verb=verb):
                text = self.pulsewright(verb, "--help").stdout
                # As a shell reads it: a backslash at the end of a line goes on with the next.
                text = text.replace("\\\n", "")
                example = shlex.split(re.search(r"Example: pulsewright (.*)", text)[1])
                case = CASES.parent / example[1]
                if verb in OF_A_CASE:
                    self.assertTrue(case.is_file(), example[1])
                if verb == "check":  # the other examples compute an engine of eight cylinders
                    outcome = self.pulsewright("check", case, *example[2:])
                    self.assertEqual(outcome.returncode, DONE, outcome.stderr)
                for option in example[2:]:
                    if option.startswith("-"):
                        self.assertRegex(text, rf"(^|[\s,]){re.escape(option)}[\s,]")

    def test_version_is_one_line_with_a_number(self):
        outcome = self.pulsewright("--version")
        self.assertEqual((outcome.returncode, outcome.stderr), (DONE, ""))
        self.assertRegex(outcome.stdout, r"\Apulsewright \d+\.\d+\.\d+ \([^)\n]+\)\n\Z")

    def test_check_says_what_it_understood_and_writes_nothing(self):
        outcome = self.pulsewright("check", SINGLE)
        self.assertEqual((outcome.returncode, outcome.stderr), (DONE, ""))
        # 500 cm3: pi / 4 x (8.6 cm)^3 = 499.6 cm3
        for text in ("499.6 cm3", "firing order 1", "5 speeds from 3000 to 7000 rpm", "0.8 m",
                     "1.2 m", "megaphone", "invented"):
            self.assertIn(text, outcome.stdout)
        self.assertIn("800 mm", outcome.stdout)
        self.assertIn("31.5 in", self.pulsewright("check", SINGLE, "--units", "inch").stdout)
        headers = self.json_of("check", SINGLE)["headers"]
        self.assertEqual(headers, ["0.8 m", "1.2 m", "megaphone"])
        self.assertEqual(list(self.folder.iterdir()), [])

    def test_manual_page_needs_no_case(self):
        outcome = self.pulsewright("check", "--manual")
        self.assertEqual((outcome.returncode, outcome.stderr), (DONE, ""))
        self.assertTrue(outcome.stdout.startswith("The case file\n=============\n"))
        self.assert_narrow(outcome.stdout)
        # Every key of the page; its markup is not for a terminal.
        keys = re.findall(r"(?m)^\| `(\w+)` \|", (CASES / "MANUAL.md").read_text(encoding="utf-8"))
        self.assertGreater(len(keys), 100)
        for key in keys:
            self.assertRegex(outcome.stdout, rf"(?m)^{key}$")
        for mark in ("`", "**", "|", "<!--"):
            self.assertNotIn(mark, outcome.stdout)


class Usage(CommandLineCase):
    def test_what_is_not_understood_is_refused_on_stderr(self):
        lines = {
            (): "--help",
            ("check",): "for example: pulsewright check",
            ("run",): "case",
            ("compare",): "case",
            ("check", "--weld", SINGLE): "--weld",
            ("run", SINGLE, "--weld"): "--weld",
            ("compare", SINGLE, "--weld"): "--weld",
            ("run", SINGLE, "another.toml"): "another.toml",
            ("run", SINGLE, "--speed"): "--speed",
            ("run", SINGLE, "--units", "furlong"): "furlong",
            ("compare", SINGLE, "--jobs", "0"): "--jobs",
            ("compare", SINGLE, "--jobs", "many"): "many",
            ("compare", SINGLE, "--resume", "--overwrite"): "--overwrite",
        }
        for line, says in lines.items():
            with self.subTest(line=line):
                self.assert_refused(self.pulsewright(*line), says)
                self.assertEqual(list(self.folder.iterdir()), [])

    def test_an_unknown_verb_or_option_of_the_program_is_refused(self):
        for line in (("weld",), ("weld", SINGLE), ("--weld",), ("--weld", "check", SINGLE),
                     ("-x", "check", SINGLE)):
            with self.subTest(line=line):
                self.assert_refused(self.pulsewright(*line), line[0], "--help")

    def test_without_a_verb_those_there_are_are_named(self):
        self.assert_refused(self.pulsewright(), "new, check, size, run, compare, sweep, tune, tolerance, report, live, cutsheet, dyno, conditions, sound, validate", "--help")

    def test_a_list_is_one_argument(self):
        """An empty entry does not make the list go on with what follows it."""
        lists = {"--speeds": ("5000,6000", "7000"), "--headers": ("0.8 m", "1.2 m")}
        for option, (first, second) in lists.items():
            for empty in (",", "", first + ",", "," + first, f"{first},,{second}"):
                with self.subTest(option=option, empty=empty):
                    outcome = self.pulsewright("compare", option, empty, "--quick", SINGLE)
                    self.assert_refused(outcome, option, f"'{empty}'", "empty entry")
            with self.subTest(option=option):
                outcome = self.pulsewright("compare", SINGLE, option, first, second)
                self.assert_refused(outcome, second)
        self.assertEqual(list(self.folder.iterdir()), [])

    def test_an_empty_header_is_no_header(self):
        self.assert_refused(self.pulsewright("run", SINGLE, "--header", ""), 'header = ""',
                            "allowed: 0.8 m, 1.2 m, megaphone")

    def test_cases_of_validate_are_listed_as_json_too(self):
        lines = self.pulsewright("validate", "--list").stdout.splitlines()
        listed = [f"{case['group']}/{case['case']}{' long' if case['long'] else ''}"
                  for case in self.json_of("validate", "--list")]
        self.assertEqual(listed, lines)
        self.assertGreater(len(listed), 20)

    def test_an_unknown_verb_is_named(self):
        self.assertIn("weld", self.pulsewright("weld", SINGLE).stderr)


if __name__ == "__main__":
    main()
