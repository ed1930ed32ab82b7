"""A comparison over the processes of an MPI job: the bits of a single process, and what becomes of it
when one of them fails, stops, hangs or dies."""

import os
import pathlib
import signal
import subprocess
import sys
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "tools"))
from rig.program import (DONE, FAILED, PROGRAM, SINGLE, WRONG_INPUT,  # noqa: E402
                         CommandLineCase, main)
from rig.results import Watch, datasets, differing, finished, states  # noqa: E402

# 8 points of 5 runs each, and the same with more work: the launcher takes its time to end a job.
STUDY = (SINGLE, "--concepts", "0.8 m,1.2 m", "--cells", "20 mm", "--speeds", "4000,5000,6000,7000")
LONGER = tuple("2 mm" if text == "20 mm" else text for text in STUDY)
LAUNCHER = ("mpirun", "--oversubscribe")


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

    def start_job(self, ranks, *arguments, options=()):
        return self.launch(*options, "-n", ranks, PROGRAM, *arguments)

    def launch(self, *arguments):
        job = subprocess.Popen([*LAUNCHER, *map(str, arguments)], stdin=subprocess.DEVNULL,
                               stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                               cwd=self.folder, env=self.environment)

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

    def interrupt(self, number, rank):
        """Sends the signal to a rank of a running job (None: to the launcher) when some runs are in
        the file; returns how many were finished and the exit code of the job."""
        job = self.start_job(3, "compare", *LONGER, "-o", self.path)
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

    def check_completed(self, kept, code, content, runs):
        self.assertNotEqual(code, DONE)
        self.assertGreaterEqual(kept, 5)
        self.assertLess(kept, runs)  # else nothing was interrupted
        code, _, err = self.job(3, "compare", *LONGER, "-o", self.path, "--resume")
        self.assertEqual(code, DONE, err)
        self.assertEqual(finished(self.path), runs)
        self.assertEqual(differing(datasets(self.path), content), [])

    def test_what_was_finished_is_kept_when_a_process_dies(self):
        _, content, runs = self.alone(LONGER)
        for rank in (2, 0):
            with self.subTest(rank=rank):
                self.path.unlink(missing_ok=True)
                kept, code = self.interrupt(signal.SIGKILL, rank)
                self.check_completed(kept, code, content, runs)

    def test_what_was_finished_is_kept_when_the_job_is_ended(self):
        _, content, runs = self.alone(LONGER)
        kept, code = self.interrupt(signal.SIGTERM, None)
        self.check_completed(kept, code, content, runs)

    def go_on_without(self, number, *options):
        """Sends the signal to a process that computes; all is computed all the same. Returns exit code
        and stderr of the job."""
        _, content, runs = self.alone(LONGER)
        job = self.start_job(3, "compare", *LONGER, "-o", self.path, options=options)
        watch = Watch(self.path)
        while watch.finished() < 5 and job.poll() is None:
            time.sleep(0.002)
        process = self.process_of(2, job)
        os.kill(process, number)
        self.assertLess(watch.finished(), runs)  # else it was not missed
        _, err = job.communicate(timeout=300)
        self.assertEqual(finished(self.path), runs, err)
        self.assertEqual(differing(datasets(self.path), content), [])
        return job.returncode, err

    def test_a_process_that_is_told_to_stop_leaves_its_point_to_others(self):
        code, err = self.go_on_without(signal.SIGTERM)
        self.assertEqual(code, DONE, err)
        self.assertNotIn("not answer", err)

    def test_others_take_the_point_of_a_process_that_dies_if_the_launcher_lets_them(self):
        # This launcher returns 0 then, whatever happened.
        _, err = self.go_on_without(signal.SIGKILL, "--enable-recovery")
        self.assertIn("1 process of the job does not answer", err)

    def test_others_take_the_point_of_a_process_that_hangs(self):
        # The exit code is not always the program's: the launcher may stumble over the one that hangs.
        _, err = self.go_on_without(signal.SIGSTOP)
        self.assertIn("1 process of the job does not answer", err)

    def test_a_run_that_fails_is_told_as_by_one_process(self):
        case = self.case_file("burst.toml", (
            'from = "cylinder 1"\n',
            'from = "cylinder 1"\ninitial_pressure = "200 bar"\ninitial_temperature = "100 K"\n'))
        study = (case, "--quick", "--cells", "20 mm", "--speeds", "4000,6000,12000")
        alone = self.pulsewright("compare", *study, "-o", self.path)
        self.assertEqual(alone.returncode, FAILED)
        of_states = states(self.path)
        failed = sum(int((status == 3).sum()) for status in of_states.values())
        self.assertGreater(failed, 0)
        self.assertLess(failed, sum(len(status) for status in of_states.values()))
        content = datasets(self.path)
        self.path.unlink()
        code, out, err = self.job(3, "compare", *study, "-o", self.path)
        self.assertEqual((code, out), (FAILED, alone.stdout))

        def told(text):
            return sorted(line for line in text.splitlines() if " rpm failed: " in line)

        self.assertEqual(len(told(err)), failed)
        self.assertEqual(told(err), told(alone.stderr))
        self.assertEqual(differing(datasets(self.path), content), [])

    def job_of_two(self, here, there):
        """One process with the case file `here` that leads, one with `there`."""
        job = self.launch("-n", 1, PROGRAM, "compare", here, *STUDY[1:], "-o", self.path,
                          ":", "-n", 1, PROGRAM, "compare", there, *STUDY[1:], "-o", self.path)
        _, err = job.communicate(timeout=60)
        return job.returncode, err

    def test_a_process_that_has_another_case_file_is_refused(self):
        other = self.case_file("other.toml", ("compression_ratio = 10.5", "compression_ratio = 11"))
        code, err = self.job_of_two(SINGLE, other)
        self.assertEqual(code, FAILED, err)
        self.assertIn("process 1 of the job has another case file", err)
        self.assertEqual(finished(self.path), 0)

    def test_a_process_that_does_not_find_the_case_file_is_missed(self):
        code, err = self.job_of_two(SINGLE, "none.toml")
        self.assertNotEqual(code, DONE)
        self.assertIn("no process is left to compute", err)
        self.assertEqual(finished(self.path), 0)

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
