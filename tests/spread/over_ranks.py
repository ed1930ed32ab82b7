"""A comparison over the processes of an MPI job: the bits of a single process, and what is left when
one of them dies."""

import os
import pathlib
import signal
import subprocess
import sys
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "tools"))
from rig.program import (DONE, PROGRAM, SINGLE, WRONG_INPUT,  # noqa: E402
                         CommandLineCase, main)
from rig.results import Watch, datasets, differing, finished  # noqa: E402

# 8 points of 5 runs each, and the same with more work: the launcher takes its time to end a job.
STUDY = (SINGLE, "--concepts", "0.8 m,1.2 m", "--cells", "20 mm", "--speeds", "4000,5000,6000,7000")
LONGER = tuple("2 mm" if text == "20 mm" else text for text in STUDY)
LAUNCHER = ("mpirun", "--oversubscribe", "-n")


def rank_of(process):
    """Rank of a process of the job; None for others."""
    try:
        variables = pathlib.Path(f"/proc/{process}/environ").read_bytes().split(b"\0")
    except OSError:
        return None
    for variable in variables:
        name, _, value = variable.partition(b"=")
        if name == b"OMPI_COMM_WORLD_RANK":
            return int(value)
    return None


def parent_of(process):
    try:
        fields = pathlib.Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()
    except OSError:
        return None
    return int(fields[1])


class OverRanks(CommandLineCase):
    def setUp(self):
        super().setUp()
        self.path = self.folder / "results.h5"
        # Tests may run as root in a container: Open MPI wants to hear that this is meant, needs no
        # remote shell on one machine, and may not read the memory of its neighbours.
        self.environment = {**os.environ, "OMPI_ALLOW_RUN_AS_ROOT": "1",
                            "OMPI_ALLOW_RUN_AS_ROOT_CONFIRM": "1", "OMPI_MCA_plm": "isolated",
                            "OMPI_MCA_btl_vader_single_copy_mechanism": "none"}

    def start_job(self, ranks, *arguments):
        job = subprocess.Popen([*LAUNCHER, str(ranks), PROGRAM, *map(str, arguments)],
                               stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                               stderr=subprocess.PIPE, text=True, cwd=self.folder,
                               env=self.environment)

        def end():
            if job.poll() is None:
                job.kill()
            job.communicate()

        self.addCleanup(end)
        return job

    def job(self, ranks, *arguments):
        """(exit code, stdout, stderr)"""
        job = self.start_job(ranks, *arguments)
        out, err = job.communicate(timeout=300)
        return job.returncode, out, err

    def alone(self, study=STUDY):
        path = self.folder / "alone.h5"
        outcome = self.pulsewright("compare", *study, "-o", path)
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        content, runs = datasets(path), finished(path)
        path.unlink()
        return outcome.stdout, content, runs

    def test_the_bits_are_those_of_one_process(self):
        text, content, runs = self.alone()
        for ranks in (2, 4):
            self.path.unlink(missing_ok=True)
            code, out, err = self.job(ranks, "compare", *STUDY, "-o", self.path)
            self.assertEqual(code, DONE, err)
            self.assertEqual(out, text)
            self.assertEqual(finished(self.path), runs)
            self.assertEqual(differing(datasets(self.path), content), [])

    def test_one_process_is_one_without_mpi(self):
        code, out, err = self.job(1, "compare", *STUDY, "-o", self.path)
        self.assertEqual(code, DONE, err)
        self.assertEqual(out, self.alone()[0])

    def interrupt(self, number, rank, study=STUDY):
        """Sends the signal to a rank of a running job (None: to the launcher) when some runs are in
        the file; returns how many were finished and the exit code of the job."""
        job = self.start_job(3, "compare", *study, "-o", self.path)
        watch = Watch(self.path)
        while watch.finished() < 5 and job.poll() is None:
            time.sleep(0.002)
        if rank is None:
            job.send_signal(number)
        else:
            os.kill(self.process_of(rank, job), number)
        job.communicate(timeout=60)
        return finished(self.path), job.returncode

    def process_of(self, rank, job):
        for process in filter(str.isdigit, os.listdir("/proc")):
            if rank_of(process) == rank and parent_of(process) == job.pid:
                return int(process)
        return self.fail(f"the job has no rank {rank} any more")

    def check_completed(self, kept, code, content, runs, study=STUDY):
        self.assertNotEqual(code, DONE)
        self.assertGreaterEqual(kept, 5)
        self.assertLess(kept, runs)  # else nothing was interrupted
        code, _, err = self.job(3, "compare", *study, "-o", self.path, "--resume")
        self.assertEqual(code, DONE, err)
        self.assertEqual(finished(self.path), runs)
        self.assertEqual(differing(datasets(self.path), content), [])

    def test_what_was_finished_is_kept_when_a_process_dies(self):
        _, content, runs = self.alone()
        for rank in (2, 0):
            with self.subTest(rank=rank):
                self.path.unlink(missing_ok=True)
                kept, code = self.interrupt(signal.SIGKILL, rank)
                self.check_completed(kept, code, content, runs)

    def test_what_was_finished_is_kept_when_the_job_is_ended(self):
        _, content, runs = self.alone(LONGER)
        kept, code = self.interrupt(signal.SIGTERM, None, LONGER)
        self.check_completed(kept, code, content, runs, LONGER)

    def test_wrong_input_is_told_once(self):
        code, out, err = self.job(3, "compare", "none.toml", "-o", self.path)
        self.assertEqual((code, out), (WRONG_INPUT, ""))
        self.assertEqual(err.count("none.toml"), 1)
        # What only the leading process can know.
        self.path.write_text("not results", encoding="utf-8")
        code, out, err = self.job(3, "compare", *STUDY, "-o", self.path)
        self.assertEqual((code, out), (WRONG_INPUT, ""))
        self.assertIn("exists", err)

    def test_a_leading_process_that_cannot_begin_lets_the_others_go(self):
        code, out, err = self.job(3, "compare", *STUDY, "-o", "/dev/full/results.h5")
        self.assertEqual((code, out), (WRONG_INPUT, ""))
        self.assertEqual(err.count("/dev/full"), 2, err)  # the file and its folder, told once

    def test_other_verbs_are_done_once(self):
        code, out, err = self.job(3, "check", SINGLE)
        self.assertEqual(code, DONE, err)
        self.assertEqual(out, self.pulsewright("check", SINGLE).stdout)


if __name__ == "__main__":
    main()
