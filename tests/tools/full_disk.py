"""A disk without room: the run says so with path and reason, exits with 1, leaves no half file and
harms none that was there."""

import os
import resource
import shutil
import signal
import subprocess
import sys
import unittest

from rig.program import DONE, FAILED, SINGLE, CommandLineCase, main
from rig.results import datasets, differing, finished

STUDY = (SINGLE, "--quick", "--headers", "0.8 m", "--cells", "25 mm", "--speeds", "4000,6000,7000")


class FullDisk(CommandLineCase):
    def small_disk(self, size):
        """A folder on a file system of its own of so many bytes."""
        disk = self.folder / "disk"
        disk.mkdir(exist_ok=True)
        if "PULSEWRIGHT_TEST_MOUNTS" not in os.environ:
            self.skipTest("no right to mount a small file system here")
        mount = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "none", disk],
                               capture_output=True, text=True, check=False)
        if mount.returncode != 0:
            self.skipTest("no right to mount a small file system here: " + mount.stderr.strip())
        self.addCleanup(subprocess.run, ["umount", disk], check=True)
        return disk

    def fill(self, disk):
        with open(disk / "filling", "wb", buffering=0) as file:
            try:
                while file.write(b"x" * 4096) > 0:
                    pass
            except OSError:
                return

    def size(self):
        """Bytes of the results file."""
        path = self.folder / "size.h5"
        outcome = self.pulsewright("compare", *STUDY, "-o", path)
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        return path.stat().st_size

    def assert_reported(self, outcome, path, *reasons):
        self.assert_refused(outcome, str(path), code=FAILED)
        self.assertTrue(any(reason in outcome.stderr for reason in reasons), outcome.stderr)
        self.assertEqual(outcome.stderr.count("\n"), 1)

    def test_too_small_a_disk(self):
        disk = self.small_disk(self.size() // 20)
        outcome = self.pulsewright("compare", *STUDY, "-o", disk / "results.h5")
        self.assert_reported(outcome, disk / "results.h5", "no space left on the disk")
        self.assertEqual(list(disk.iterdir()), [])

    def test_old_results_survive_a_full_disk(self):
        disk = self.small_disk(4 * self.size())
        path = disk / "results.h5"
        outcome = self.pulsewright("compare", *STUDY, "-o", path)
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        before = path.read_bytes()
        self.fill(disk)
        outcome = self.pulsewright("compare", *STUDY, "-o", path, "--overwrite")
        self.assert_reported(outcome, path, "no space left on the disk")
        self.assertEqual(path.read_bytes(), before)
        self.assertEqual(sorted(p.name for p in disk.iterdir()), ["filling", "results.h5"])

    def test_points_have_their_place_before_the_disk_fills_up(self):
        disk = self.small_disk(4 * self.size())
        path = disk / "results.h5"
        process = self.start("compare", *STUDY, "--jobs", "1", "-o", path)
        while finished(path) < 1:
            self.assertIsNone(process.poll())
        process.send_signal(signal.SIGINT)
        process.communicate(timeout=60)
        self.assertEqual(process.returncode, FAILED)
        self.fill(disk)
        outcome = self.pulsewright("compare", *STUDY, "-o", path, "--resume")
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        self.assertEqual(differing(datasets(path), datasets(self.folder / "size.h5")), [])

    def test_a_disk_that_is_full_while_the_file_is_created(self):
        size = self.size()
        for percent in range(50, 100, 6):
            disk = self.small_disk(size * percent // 100)
            outcome = self.pulsewright("compare", *STUDY, "-o", disk / "results.h5")
            self.assert_reported(outcome, disk / "results.h5", "No space left on device",
                             "no space left on the disk")
            self.assertEqual(list(disk.iterdir()), [])


class FileSizeLimit(CommandLineCase):
    """A limit on the size of a file acts like a full disk, and needs no right to mount."""

    def limited(self, limit, *arguments):
        def restrict():
            signal.signal(signal.SIGXFSZ, signal.SIG_DFL)  # the interpreter ignores it
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))

        return self.pulsewright(*arguments, preexec_fn=restrict)

    def message_and_rest(self):
        """Outcome and what lies in the folder, for limits that take effect at different places."""
        for limit in (0, 10_000, 50_000, 100_000):
            outcome = self.limited(limit, "compare", *STUDY, "-o", "results.h5")
            yield outcome, os.listdir(self.folder)

    def test_reason_is_reported_and_nothing_half_made_stays(self):
        for outcome, rest in self.message_and_rest():
            self.assertNotEqual(outcome.returncode, DONE)
            self.assertEqual(outcome.stdout, "")
            self.assertIn("results.h5: ", outcome.stderr)
            self.assertIn("File too large", outcome.stderr)
            self.assertEqual(rest, [])

    def test_old_results_survive(self):
        path = self.folder / "results.h5"
        path.write_bytes(b"old results")
        outcome = self.limited(20_000, "compare", *STUDY, "-o", path, "--overwrite")
        self.assertNotEqual(outcome.returncode, DONE)
        self.assertEqual(path.read_bytes(), b"old results")
        self.assertEqual(os.listdir(self.folder), ["results.h5"])

    def test_exit_code_is_that_of_a_failed_run(self):
        for outcome, _ in self.message_and_rest():
            self.assertEqual(outcome.returncode, FAILED)
            self.assertEqual(outcome.stderr.count("\n"), 1)


def with_mounts_of_its_own():
    """Starts this script again where it may mount and where its mounts go with it, if it can."""
    unshare = ["unshare", "--mount"] + ([] if os.geteuid() == 0 else ["--map-root-user"])
    mark = "PULSEWRIGHT_TEST_MOUNTS"
    if mark in os.environ or shutil.which("unshare") is None:
        return
    if subprocess.run([*unshare, "true"], capture_output=True, check=False).returncode == 0:
        os.environ[mark] = "own"
        os.execvp("unshare", [*unshare, sys.executable, *sys.argv])


if __name__ == "__main__":
    with_mounts_of_its_own()
    main()
