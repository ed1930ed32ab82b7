"""pulsewright new: a case file from answers, on a terminal and from a file."""

import os
import pty
import select
import subprocess
import unittest

from rig.program import DONE, PROGRAM, WRONG_INPUT, CommandLineCase, main


class FromAFile(CommandLineCase):
    def answers(self, text):
        path = self.folder / "answers.txt"
        path.write_text(text)
        return "answers.txt"

    def test_its_own_questions_make_a_case_that_check_has_nothing_against(self):
        questions = self.pulsewright("new", "--questions")
        self.assertEqual((questions.returncode, questions.stderr), (DONE, ""))
        self.assert_narrow(questions.stdout)
        made = self.pulsewright("new", "engine.toml", "--answers", self.answers(questions.stdout))
        self.assertEqual(made.returncode, DONE, made.stderr)
        checked = self.json_of("check", "engine.toml")
        self.assertTrue(checked["valid"])
        self.assertEqual(checked["headers"], ["equal-length", "180-degree"])

    def test_the_answers_of_a_metric_single(self):
        made = self.pulsewright("new", "single.toml", "--answers", self.answers(
            "units = metric\nfiring_order = 1\nbore = 86 mm  # measured\nstroke = 86 mm\n"
            "rod = 143 mm\n\n# a comment\nprimary_tube = 38 mm ID\nprimary_length = 0.8 m\n"
            "exhaust_seat = 35 mm\nintake_seat = 40 mm\nexhaust_flow = 110 cfm\n"
            "intake_flow = 150 cfm\nexhaust_lift = 10 mm\nintake_lift = 10 mm\n"))
        self.assertEqual(made.returncode, DONE, made.stderr)
        # Bore and stroke of 86 mm are half a litre: 499.6 cm3.
        text = self.pulsewright("check", "single.toml").stdout
        self.assertIn("499.6 cm3", text)
        self.assertNotIn("collector", (self.folder / "single.toml").read_text())

    def test_wrong_answers_are_named_with_their_lines_and_nothing_is_written(self):
        made = self.pulsewright("new", "engine.toml", "--answers", self.answers(
            "bore = 4.030\nstrok = 3 in\nrod\nbore = 4 in\n"))
        self.assertEqual(made.returncode, WRONG_INPUT)
        for line, says in ((2, "strok"), (2, "did you mean stroke?"), (3, "rod"),
                           (4, "answered twice")):
            self.assertIn(f"answers.txt:{line}:", made.stderr)
            self.assertIn(says, made.stderr)
        # A tube that stands in both headers is wrong once, in the words of its question.
        made = self.pulsewright("new", "engine.toml", "--answers",
                                self.answers("\nprimary_tube = 1-7/8 inch pipe\n"))
        self.assertEqual(made.returncode, WRONG_INPUT)
        self.assertEqual(made.stderr.count("answers.txt:2: primary_tube"), 1)
        self.assertIn("for example: 1-7/8 in OD, 16 ga", made.stderr)
        self.assertNotIn("header[", made.stderr)
        self.assertFalse((self.folder / "engine.toml").exists())

    def test_answers_that_are_not_needed_are_named_and_change_nothing(self):
        made = self.pulsewright("new", "engine.toml", "--answers", self.answers(
            "firing_order = 1-3-4-2\nshortest = 28 in\n"))
        self.assertEqual(made.returncode, DONE)
        self.assertIn("not needed with the other answers: shortest (line 2)", made.stderr)
        self.assertNotIn("shortest", (self.folder / "engine.toml").read_text())

    def test_what_an_answer_leaves_out_is_that_of_the_default_and_is_said(self):
        made = self.pulsewright("new", "engine.toml", "--answers", self.answers(
            "bore = 4.125\nprimary_tube = 1-3/4\ncompression_ratio = 9.8:1\nhumidity = 60\n"
            "stroke = 3.5 in\n"))
        self.assertEqual(made.returncode, DONE, made.stderr)
        said = " ".join(made.stderr.split())
        for taken in ("bore 4.125 in", "primary_tube 1-3/4 in OD, 16 ga", "humidity 60 %"):
            self.assertIn(taken, said)
        self.assertNotIn("stroke", said)
        text = (self.folder / "engine.toml").read_text()
        for line in ('bore = "4.125 in"', "compression_ratio = 9.8\n", "relative_humidity = 0.6\n"):
            self.assertIn(line, text)

    def test_the_questions_are_written_to_a_file(self):
        made = self.pulsewright("new", "--questions", "answers.txt")
        self.assertEqual((made.returncode, made.stderr), (DONE, ""))
        self.assertIn("--answers answers.txt", made.stdout)
        self.assertEqual(self.pulsewright("new", "--questions").stdout,
                         (self.folder / "answers.txt").read_text())
        self.assert_refused(self.pulsewright("new", "--questions", "answers.txt"),
                            "exists and is left as it is")
        self.assert_refused(self.pulsewright("new", "engine.toml", "--questions"),
                            "--questions writes no case")

    def test_a_file_that_exists_is_left_as_it_is(self):
        (self.folder / "engine.toml").write_text("mine")
        made = self.pulsewright("new", "engine.toml", "--answers", self.answers(""))
        self.assert_refused(made, "engine.toml exists and is left as it is")
        self.assertEqual((self.folder / "engine.toml").read_text(), "mine")

    def test_what_cannot_be_done_is_refused(self):
        self.assert_refused(self.pulsewright("new"), "names no file to write")
        self.assert_refused(self.pulsewright("new", "engine.toml"), "is no terminal")
        self.assert_refused(self.pulsewright("new", "engine.toml", "--answers", "none.txt"),
                            "none.txt")
        self.assertFalse((self.folder / "engine.toml").exists())


class OnATerminal(CommandLineCase):
    def talk(self, lines, end=b""):
        """The exit code and all that was shown; `lines` are the answers, empty ones afterwards."""
        controller, terminal = pty.openpty()
        process = subprocess.Popen([PROGRAM, "new", "engine.toml"], cwd=self.folder,
                                   stdin=terminal, stdout=terminal, stderr=terminal)
        os.close(terminal)
        shown, answered = b"", 0
        lines = list(lines)
        while True:
            ready, _, _ = select.select([controller], [], [], 30)
            self.assertTrue(ready, shown.decode())
            try:
                data = os.read(controller, 4096)
            except OSError:  # the program has closed the terminal
                break
            if not data:
                break
            shown += data
            while shown.count(b"] > ") > answered:
                answered += 1
                if lines:
                    os.write(controller, lines.pop(0).encode() + b"\n")
                else:
                    os.write(controller, end or b"\n")
        os.close(controller)
        return process.wait(timeout=30), shown.decode()

    def test_a_wrong_answer_is_asked_again(self):
        code, shown = self.talk(["", "My V8", "", "", "", "four inches", "4.125"])
        self.assertEqual(code, DONE, shown)
        self.assertEqual(shown.count("Diameter of a cylinder."), 2)
        self.assertIn("Bore, four inches: ", shown)
        self.assertIn("taken as 4.125 in", shown)
        self.assertIn('bore = "4.125 in"', (self.folder / "engine.toml").read_text())
        self.assertTrue(self.json_of("check", "engine.toml")["valid"])

    def test_the_end_of_the_input_keeps_the_answers(self):
        code, shown = self.talk(["metric", "Mine"], end=b"\x04")
        self.assertEqual(code, WRONG_INPUT, shown)
        self.assertFalse((self.folder / "engine.toml").exists())
        made = self.pulsewright("new", "engine.toml", "--answers", "engine.toml.answers")
        self.assertEqual(made.returncode, DONE, made.stderr)
        self.assertIn('title = "Mine"', (self.folder / "engine.toml").read_text())


if __name__ == "__main__":
    main()
