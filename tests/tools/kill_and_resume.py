"""A comparison that is killed or stopped at any moment leaves a file that opens, keeps what was
finished, and is completed by --resume to the very bits of an undisturbed run."""
# test label: long

import random
import signal
import time
import unittest

from rig.program import CASES, DONE, FAILED, SINGLE, WRONG_INPUT, CommandLineCase, main
from rig.results import Watch, datasets, differing, finished, total

# 8 points, of 2 headers at 4 speeds.
STUDY = (SINGLE, "--headers", "0.8 m,1.2 m", "--cells", "25 mm", "--speeds", "4000,5000,6000,7000",
         "--jobs", "2")
QUICK = (*STUDY, "--quick")
# 2 points of an engine whose pulses are absorbed one at a time.
PULSES = (CASES / "inline-four.toml", "--quick", "--interference", "--headers", "4-2-1", "--cells",
          "20 mm", "--speeds", "6000,7000", "--jobs", "2")
RUNS = {STUDY: 48, QUICK: 16, PULSES: 12}  # with 5 variants, 1, or 1 and 4 pulses of every point
SEED = 20


class Interrupted(CommandLineCase):
    undisturbed_content = {}  # by study: computed when a test first needs it

    def setUp(self):
        super().setUp()
        self.path = self.folder / "results.h5"

    def command(self, study):
        return ("compare", *study, "-o", self.path)

    def undisturbed(self, study):
        """What the file must hold in the end, and the seconds that one run takes."""
        if study not in self.undisturbed_content:
            path = self.folder / "undisturbed.h5"
            begin = time.monotonic()
            outcome = self.pulsewright("compare", *study, "-o", path)
            self.assertEqual(outcome.returncode, DONE, outcome.stderr)
            self.assertEqual((finished(path), total(path)), (RUNS[study], RUNS[study]))
            seconds = (time.monotonic() - begin) / RUNS[study]
            self.undisturbed_content[study] = (datasets(path), seconds)
            path.unlink()
        return self.undisturbed_content[study]

    def wait_for(self, process, runs):
        """Until so many runs are in the file. It opens as soon as it is there."""
        watch = Watch(self.path)
        while watch.finished() < runs and process.poll() is None:
            time.sleep(0.002)

    def kill(self, process):
        """Whether the kill came before the end."""
        process.kill()
        process.communicate()
        return process.returncode == -signal.SIGKILL

    def complete(self, study):
        outcome = self.pulsewright(*self.command(study), "--resume")
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        self.assertEqual(finished(self.path), RUNS[study])
        self.assertEqual(differing(datasets(self.path), self.undisturbed(study)[0]), [])

    def test_kills_at_random_moments(self):
        _, seconds = self.undisturbed(STUDY)
        chance = random.Random(SEED)
        landed = 0
        for _ in range(5):
            self.path.unlink(missing_ok=True)
            process = self.start(*self.command(STUDY))
            self.wait_for(process, chance.randrange(0, RUNS[STUDY] * 3 // 4))
            time.sleep(chance.uniform(0, 2 * seconds))
            killed = self.kill(process)
            kept = finished(self.path)
            with self.subTest(kept=kept):
                self.assertGreaterEqual(kept, 0)
                landed += killed and kept < RUNS[STUDY]
                self.complete(STUDY)
        # A kill after the end would show nothing.
        self.assertGreaterEqual(landed, 3)

    def test_kills_of_a_comparison_with_interference(self):
        _, seconds = self.undisturbed(PULSES)
        chance = random.Random(SEED + 3)
        landed = 0
        for runs in (1, 6):
            self.path.unlink(missing_ok=True)
            process = self.start(*self.command(PULSES))
            self.wait_for(process, runs)
            time.sleep(chance.uniform(0, seconds))
            killed = self.kill(process)
            kept = finished(self.path)
            with self.subTest(kept=kept):
                landed += killed and kept < RUNS[PULSES]
                self.complete(PULSES)
        self.assertGreaterEqual(landed, 1)

    def test_kills_again_and_again_while_resuming(self):
        """No kill takes back what an earlier run had finished."""
        _, seconds = self.undisturbed(QUICK)
        chance = random.Random(SEED + 1)
        kept, landed = 0, 0
        for runs in (0, 3, 6, 9, 12):
            process = self.start(*self.command(QUICK), "--resume")
            self.wait_for(process, runs)
            time.sleep(chance.uniform(0, seconds))
            landed += self.kill(process)
            self.assertGreaterEqual(finished(self.path), kept)
            kept = finished(self.path)
        self.assertGreaterEqual(landed, 3)
        self.complete(QUICK)

    def test_kills_at_the_start(self):
        """Before the file has its name there is none of that name, not even a broken one: then
        --resume starts from nothing. What a killed start leaves bears a name of its own."""
        chance = random.Random(SEED + 2)
        without_file = 0
        for _ in range(12):
            self.path.unlink(missing_ok=True)
            process = self.start(*self.command(QUICK))
            time.sleep(chance.uniform(0, 0.03))
            self.kill(process)
            without_file += finished(self.path) < 0  # opens the file if there is one
            for other in self.folder.iterdir():
                if other != self.path:
                    self.assertTrue(other.name.startswith("results.h5.new-"), other)
        self.path.unlink(missing_ok=True)
        self.complete(QUICK)
        # The next run deletes what they have left.
        self.assertEqual(list(self.folder.iterdir()), [self.path])
        if without_file == 0:
            self.skipTest("the file was there before every kill")

    def test_ctrl_c_keeps_finished_points_and_says_how_to_go_on(self):
        self.undisturbed(QUICK)
        for number in (signal.SIGINT, signal.SIGTERM):
            for _ in range(10):  # a run that is over before it is stopped shows nothing
                self.path.unlink(missing_ok=True)
                process = self.start(*self.command(QUICK))
                self.wait_for(process, 4)
                process.send_signal(number)
                out, err = process.communicate(timeout=60)
                if process.returncode != DONE:
                    break
            self.assertEqual((process.returncode, out), (FAILED, ""), err)
            self.assertIn("--resume", err)
            self.assertIn(str(self.path), err)
            kept = finished(self.path)
            self.assertTrue(4 <= kept < RUNS[QUICK], kept)
            self.assertEqual(list(self.folder.iterdir()), [self.path])
            self.complete(QUICK)

    def test_two_runs_do_not_write_to_one_file(self):
        process = self.start(*self.command(STUDY))
        self.wait_for(process, 2)
        for option in ("--resume", "--overwrite"):
            outcome = self.pulsewright(*self.command(STUDY), option)
            if process.poll() is not None:
                self.skipTest("the first run was over too soon")
            self.assertEqual(outcome.returncode, FAILED)
            self.assertIn("another run is writing to it", outcome.stderr)
            self.assertEqual(outcome.stdout, "")
        out, err = process.communicate(timeout=300)
        self.assertEqual(process.returncode, DONE, err)
        self.assertIn("Torque decides", out)

    def test_resuming_a_complete_file_computes_nothing(self):
        self.complete(QUICK)
        before, written = self.path.read_bytes(), self.path.stat().st_mtime_ns
        self.complete(QUICK)
        self.assertEqual((self.path.read_bytes(), self.path.stat().st_mtime_ns), (before, written))


class AnotherPlan(CommandLineCase):
    PLAN = ("--quick", "--headers", "0.8 m", "--cells", "25 mm", "--speeds", "6000,7000")

    def resume_otherwise(self):
        """What resuming under another plan prints, for every kind of difference."""
        path = self.folder / "results.h5"
        case = self.case_file("engine.toml")
        made = self.pulsewright("compare", case, *self.PLAN, "-o", path)
        self.assertEqual(made.returncode, DONE, made.stderr)
        before = path.read_bytes()

        def again(*plan):
            outcome = self.pulsewright("compare", case, *plan, "-o", path, "--resume")
            self.assertEqual(path.read_bytes(), before)
            self.assertEqual(outcome.stdout, "")
            return outcome

        quick, headers = self.PLAN[:1], self.PLAN[1:3]
        cells, speeds = self.PLAN[3:5], self.PLAN[5:]
        yield again(*quick, *cells, *speeds, "--headers", "1.2 m"), ("header",)
        yield again(*quick, *headers, *speeds, "--cells", "24 mm"), ("cell size", "0.024")
        yield again(*self.PLAN, "--merge-model", "plenum"), ("momentum", "plenum")
        self.case_file("engine.toml", ("compression_ratio = 10.5", "compression_ratio = 11"))
        yield again(*self.PLAN), ("case file, line 11", "ratio = 10.5", "ratio = 11")

    def test_the_difference_is_named_and_the_file_stays(self):
        kinds = 0
        for outcome, says in self.resume_otherwise():
            self.assertIn(outcome.returncode, (FAILED, WRONG_INPUT))
            for text in ("results.h5", "cannot be resumed", *says):
                self.assertIn(text, outcome.stderr)
            kinds += 1
        self.assertEqual(kinds, 4)

    def test_another_plan_is_wrong_input(self):
        for outcome, _ in self.resume_otherwise():
            self.assertEqual(outcome.returncode, WRONG_INPUT)


if __name__ == "__main__":
    main()
