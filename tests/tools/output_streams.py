"""Standard output and error that are closed, full, broken or not read: what is computed and stored is
the same, and the exit code says what happened. And Ctrl-C in verbs that simulate nothing."""
# test label: long

import os
import signal
import subprocess
import time
import unittest

from rig.program import DONE, FAILED, PROGRAM, SINGLE, WRONG_INPUT, CommandLineCase, main
from rig.results import datasets, differing

SOUND = ("compare", SINGLE, "--quick", "--headers", "0.8 m", "--cells", "25 mm",
         "--speeds", "4000,6000")


class OutputStreams(CommandLineCase):
    def failing_study(self):
        """Some points fail, each with a message."""
        case = self.case_file("burst.toml", (
            'from = "cylinder 1"\n',
            'from = "cylinder 1"\ninitial_pressure = "200 bar"\ninitial_temperature = "100 K"\n'))
        return ("compare", case, "--quick", "--cells", "20 mm", "--speeds", "4000,6000,12000")

    def unread_pipe(self):
        """The end to write to of a pipe that is full."""
        read_end, full = os.pipe()
        os.set_blocking(full, False)
        try:
            while os.write(full, b"x" * 4096):
                pass
        except BlockingIOError:
            os.set_blocking(full, True)
        self.addCleanup(os.close, read_end)
        return full

    def spoiled(self, stream):
        """By name: what stands in the place of a stream, and what to do with it before the program
        begins."""
        read_end, broken = os.pipe()
        os.close(read_end)
        full = self.unread_pipe()
        yield "closed", subprocess.DEVNULL, lambda: os.close(stream)
        for name, end in (("broken", broken), ("not read", full),
                          ("full", os.open("/dev/full", os.O_WRONLY))):
            if (name, stream) != ("not read", 1):  # the program waits there until it is read
                yield name, end, lambda: signal.signal(signal.SIGPIPE, signal.SIG_DFL)
            os.close(end)

    def run_with(self, arguments, **streams):
        options = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **streams}
        return subprocess.run([PROGRAM, *map(str, arguments)], stdin=subprocess.DEVNULL, text=True,
                              cwd=self.folder, timeout=120, check=False, **options)

    def test_an_error_stream_that_cannot_be_written_changes_nothing(self):
        study = self.failing_study()
        outcome = self.pulsewright(*study, "-o", "usual.h5")
        self.assertEqual(outcome.returncode, FAILED)
        self.assertIn(" rpm failed: ", outcome.stderr)
        content = datasets(self.folder / "usual.h5")
        for name, end, prepare in self.spoiled(2):
            with self.subTest(stream=name):
                silent = self.run_with((*study, "-o", "silent.h5", "--overwrite"), stderr=end,
                                       preexec_fn=prepare)
                self.assertEqual(silent.returncode, FAILED)
                self.assertEqual(silent.stdout, outcome.stdout)
                self.assertEqual(differing(datasets(self.folder / "silent.h5"), content), [])

    def test_wrong_input_without_an_error_stream(self):
        for name, end, prepare in self.spoiled(2):
            with self.subTest(stream=name):
                for wrong in (("check", "none.toml"), ("compare",), ("run", SINGLE, "--speed", "x")):
                    outcome = self.run_with(wrong, stderr=end, preexec_fn=prepare)
                    self.assertEqual(outcome.returncode, WRONG_INPUT)

    def test_an_output_that_cannot_be_written_is_a_failure_and_the_file_is_complete(self):
        outcome = self.pulsewright(*SOUND, "-o", "usual.h5")
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        content = datasets(self.folder / "usual.h5")
        for name, end, prepare in self.spoiled(1):
            with self.subTest(stream=name):
                outcome = self.run_with((*SOUND, "-o", "silent.h5", "--overwrite"), stdout=end,
                                        preexec_fn=prepare)
                self.assertEqual(outcome.returncode, FAILED)
                self.assertIn("cannot write to the standard output", outcome.stderr)
                self.assertEqual(differing(datasets(self.folder / "silent.h5"), content), [])

    def test_without_any_stream_the_results_are_not_written_into(self):
        outcome = self.pulsewright(*SOUND, "-o", "usual.h5")
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)

        def close_all():
            for stream in (0, 1, 2):
                os.close(stream)

        outcome = self.run_with((*SOUND, "-o", "silent.h5"), preexec_fn=close_all)
        self.assertEqual(outcome.returncode, FAILED)
        self.assertEqual(differing(datasets(self.folder / "silent.h5"),
                                   datasets(self.folder / "usual.h5")), [])

    def test_what_is_printed_stands_before_the_messages_that_follow_it(self):
        """In one file for both: no line of the text is split, and the fault stands behind it."""
        case = self.case_file("short.toml", ("[run]\n",
                                             "[run]\nleast_cycles = 2\nmost_cycles = 2\n"))
        run = ("run", case, "--cells", "25 mm", "--speed", "5000")
        apart = self.pulsewright(*run)
        self.assertEqual(apart.returncode, FAILED, apart.stderr)
        self.assertGreater(len(apart.stdout), 500)
        self.assertIn("does not repeat", apart.stderr)
        with open(self.folder / "both.txt", "w+", encoding="utf-8") as both:
            self.run_with(run, stdout=both, stderr=both)
            both.seek(0)
            self.assertEqual(both.read(), apart.stdout + apart.stderr)

    def test_help_to_a_full_device(self):
        for arguments in (("--help",), ("--version",), ("compare", "--help"), ("check", "--manual"),
                          ("check", SINGLE)):
            with self.subTest(arguments=arguments), open("/dev/full", "w", encoding="ascii") as full:
                outcome = self.run_with(arguments, stdout=full)
                self.assertEqual(outcome.returncode, FAILED)
                self.assertIn("cannot write to the standard output", outcome.stderr)

    def test_the_first_ctrl_c_ends_check_and_report(self):
        fifo = self.folder / "waits"
        os.mkfifo(fifo)  # opening it waits for somebody who writes
        # And printing waits for somebody who reads.
        for arguments in (("check", SINGLE), ("check", "--manual"), ("report", fifo)):
            for number in (signal.SIGINT, signal.SIGTERM):
                with self.subTest(arguments=arguments, signal=number):
                    process = subprocess.Popen([PROGRAM, *map(str, arguments)],
                                               stdout=self.unread_pipe(), stderr=subprocess.PIPE,
                                               text=True, cwd=self.folder)
                    time.sleep(0.5)
                    self.assertIsNone(process.poll())
                    process.send_signal(number)
                    try:
                        _, err = process.communicate(timeout=20)
                    finally:
                        process.kill()
                        process.communicate()
                    self.assertEqual(process.returncode, FAILED)
                    self.assertIn("stopped", err)


class Places(CommandLineCase):
    """Where results and page may go is known before anything is computed."""

    def test_no_name(self):
        self.assert_refused(self.pulsewright(*SOUND, "-o", ""), "-o ''")
        self.assert_refused(self.pulsewright(*SOUND, "-o", "x.h5", "--report", ""), "--report ''")
        self.assert_refused(self.pulsewright("report", "x.h5", "-o", ""), "-o ''")
        self.assertEqual(list(self.folder.iterdir()), [])

    def test_one_file_for_results_and_page(self):
        (self.folder / "link").symlink_to(self.folder)
        for page in ("x.h5", "./x.h5", self.folder / "x.h5", "link/x.h5"):
            with self.subTest(page=page):
                outcome = self.pulsewright(*SOUND, "-o", "x.h5", "--report", page)
                self.assert_refused(outcome, "x.h5", "one file")
                self.assertFalse((self.folder / "x.h5").exists())

    def test_a_case_of_pipes_only_is_named(self):
        case = SINGLE.parent / "pipe-shock.toml"
        self.assert_refused(self.pulsewright("compare", case, "-o", "x.h5"), str(case), "pipes only",
                            "pulsewright run")


if __name__ == "__main__":
    main()
