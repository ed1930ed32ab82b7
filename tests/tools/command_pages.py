"""The manual page and the completion that the program prints of its command line: in step with its
help, understood by groff and bash, and what the build installs."""

import pathlib
import re
import shutil
import subprocess
import unittest

from rig.program import DONE, PROGRAM, CommandLineCase, main

BUILD = pathlib.Path(PROGRAM).parent


class CommandPages(CommandLineCase):
    def setUp(self):
        super().setUp()
        self.man = self.printed("--man-page")
        self.completion = self.printed("--bash-completion")
        text = self.printed("--help")
        self.verbs = re.findall(r"(?m)^  (\w+) ", text[text.index("Subcommands:"):])
        self.options = {verb: self.options_of(self.printed(verb, "--help")) for verb in self.verbs}

    def printed(self, *arguments):
        outcome = self.pulsewright(*arguments)
        self.assertEqual((outcome.returncode, outcome.stderr), (DONE, ""))
        return outcome.stdout

    @staticmethod
    def options_of(text):
        """Names of the options that a help lists."""
        names = set()
        for entry in re.findall(r"(?m)^  (-\S+)", text):
            names |= set(entry.split(","))
        return names

    def completed(self, *words):
        """What bash offers for the last of the words."""
        script = self.folder / "completion.bash"
        script.write_text(self.completion, encoding="utf-8")
        (self.folder / "my engine.toml").touch()
        (self.folder / "shop").mkdir(exist_ok=True)
        call = ('source ./completion.bash; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _pulsewright; '
                'printf "%s\\n" "${COMPREPLY[@]}"')
        outcome = subprocess.run(["bash", "-c", call, "bash", "pulsewright", *words], text=True,
                                 capture_output=True, cwd=self.folder, check=True)
        self.assertEqual(outcome.stderr, "")
        return {line for line in outcome.stdout.splitlines() if line}

    def test_the_help_was_understood(self):
        self.assertEqual(set(self.verbs) & {"check", "run", "compare", "report", "validate"},
                         {"check", "run", "compare", "report", "validate"})
        for verb in self.verbs:
            self.assertLess({"--help", "-h", "--json", "--quiet", "-q"}, self.options[verb])

    def test_the_completion_offers_every_verb_and_option_and_no_other(self):
        self.assertLessEqual(set(self.verbs), self.completed(""))
        self.assertEqual(self.completed("comp"), {"compare"})
        self.assertEqual(self.completed("--ver"), {"--version"})
        for verb in self.verbs:
            with self.subTest(verb=verb):
                self.assertEqual(self.completed(verb, "-"), self.options[verb])

    def test_the_completion_offers_values(self):
        self.assertEqual(self.completed("check", "case.toml", "--units", ""), {"metric", "inch"})
        self.assertEqual(self.completed("run", "--merge-model", "pl"), {"plenum"})
        self.assertEqual(self.completed("check", "my"), {"my engine.toml"})
        self.assertEqual(self.completed("check", "--json", "my"), {"my engine.toml"})
        self.assertEqual(self.completed("compare", "-o", "my"), {"my engine.toml"})
        self.assertEqual(self.completed("validate", "-o", ""), {"shop"})
        self.assertEqual(self.completed("run", "--speed", ""), set())

    def test_the_manual_page_has_every_verb_and_option_with_its_text(self):
        page = self.man.replace("\\-", "-")
        for verb in self.verbs:
            with self.subTest(verb=verb):
                section = re.split(r"(?m)^\.S[SH] ", page.split(f"\n.SS {verb}\n")[1])[0]
                listed = set()
                for names in re.findall(r"(?m)^\.TP\n\\fB(-.*?)\\fR", section):
                    listed |= set(names.split(", "))
                self.assertEqual(listed, self.options[verb])
                self.assertIn(f"pulsewright {verb}", section)
                # The texts of the help, which breaks them into lines.
                help_words = " ".join(self.printed(verb, "--help").replace("\\\n", "").split())
                for text in re.findall(r"(?m)^\.TP\n.*\n(.*)$", section):
                    self.assertIn(" ".join(text.split()), help_words)
        self.assertIn("Exit codes: 0 done", page)

    @unittest.skipUnless(shutil.which("groff"), "there is no groff")
    def test_groff_has_nothing_to_complain_about(self):
        outcome = subprocess.run(["groff", "-man", "-ww", "-Tascii", "-P-cbou"], input=self.man,
                                 text=True, capture_output=True, check=True)
        self.assertEqual(outcome.stderr, "")
        self.assertIn("--merge-model momentum|constant_pressure|plenum", outcome.stdout)

    def test_the_build_installs_what_the_program_prints(self):
        rules = (BUILD / "tools" / "cli" / "cmake_install.cmake").read_text(encoding="utf-8")
        for name, text, place in (("pulsewright.1", self.man, "/man1"),
                                  ("pulsewright.bash", self.completion, "/completions")):
            with self.subTest(file=name):
                self.assertEqual((BUILD / name).read_text(encoding="utf-8"), text)
                self.assertRegex(rules, rf'{place}"[^)]*{re.escape(name)}"')


if __name__ == "__main__":
    main()
