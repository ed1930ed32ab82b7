"""A comparison over the processes of an MPI job: the bits of a single process, and what happens to it
when one of them fails, stops, hangs or dies."""

import os
import pathlib
import signal
import subprocess
import sys
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "tools"))
from rig.program import (CASES, DONE, FAILED, PROGRAM, SINGLE, WRONG_INPUT,  # noqa: E402
                         CommandLineCase, main)
from rig.results import Watch, datasets, differing, finished, states  # noqa: E402

# 8 points of 6 runs each, at ever more work.
SIZES = ("20 mm", "6 mm", "3 mm", "1.5 mm")
STUDY, SHORT, LONGER, LONGEST = (
    (SINGLE, "--headers", "0.8 m,1.2 m", "--cells", size, "--speeds", "4000,5000,6000,7000")
    for size in SIZES)
# 2 points of an engine whose pulses are absorbed one at a time: 6 runs each.
PULSES = tuple((CASES / "inline-four.toml", "--quick", "--interference", "--headers", "4-2-1",
                "--cells", size, "--speeds", "6000,7000") for size in ("20 mm", "10 mm", "5 mm"))
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
    of_one_process = {}  # by study: computed when a test first needs it

    def setUp(self):
        super().setUp()
        self.path = self.folder / "results.h5"
        # Tests may run as root in a container: Open MPI requires a confirmation for that, needs no
        # remote shell on one machine, and may not read the memory of its neighbours.
        self.environment = {**os.environ, "OMPI_ALLOW_RUN_AS_ROOT": "1",
                            "OMPI_ALLOW_RUN_AS_ROOT_CONFIRM": "1", "OMPI_MCA_plm": "isolated",
                            "OMPI_MCA_btl_vader_single_copy_mechanism": "none"}
        # When a job ends with an error the launcher need not give those that are left two seconds.
        self.environment["OMPI_MCA_odls_base_sigkill_timeout"] = "0"

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
        """What one process without MPI prints and writes, and how many runs that is."""
        if study not in self.of_one_process:
            path = self.folder / "alone.h5"
            outcome = self.pulsewright("compare", *study, "-o", path)
            self.assertEqual(outcome.returncode, DONE, outcome.stderr)
            self.of_one_process[study] = (outcome.stdout, datasets(path), finished(path))
            path.unlink()
        return self.of_one_process[study]

    def check_complete(self, study):
        _, content, runs = self.alone(study)
        self.assertEqual(finished(self.path), runs)
        self.assertEqual(differing(datasets(self.path), content), [])

    def test_the_bits_are_those_of_one_process(self):
        # All of it over MPI; by the coordinating process too; by as many as there are points.
        for ranks, options in ((2, ("--jobs", "0")), (2, ()), (9, ())):
            with self.subTest(ranks=ranks, options=options):
                self.path.unlink(missing_ok=True)
                code, out, err = self.job(ranks, "compare", *STUDY, "-o", self.path, *options)
                self.assertEqual(code, DONE, err)
                self.assertEqual(out, self.alone()[0])
                self.check_complete(STUDY)

    def test_one_process_is_one_without_mpi(self):
        code, out, err = self.job(1, "compare", *STUDY, "-o", self.path)
        self.assertEqual(code, DONE, err)
        self.assertEqual(out, self.alone()[0])

    def process_of(self, rank, job):
        for process in filter(str.isdigit, os.listdir("/proc")):
            if rank_of(process) == rank and parent_of(process) == job.pid:
                return int(process)
        return None

    def start_and_signal(self, studies, ranks, signals, *options):
        """Starts a job and sends each signal to its rank (None: to the launcher) when some runs are
        in the file. If all runs are there by then it came too late, and the next study, which is
        longer, is tried. Returns study and job."""
        for study in studies:
            self.path.unlink(missing_ok=True)
            runs = self.alone(study)[2]
            job = self.start_job(ranks, "compare", *study, "-o", self.path, options=options)
            watch = Watch(self.path)
            while watch.finished() < 5 and job.poll() is None:
                time.sleep(0.002)
            sent = 0
            for rank, number in signals.items():
                process = job.pid if rank is None else self.process_of(rank, job)
                if process is not None and job.poll() is None:
                    os.kill(process, number)
                    sent += 1
            if sent == len(signals) and watch.finished() < runs:
                return study, job
            job.communicate(timeout=300)
        return self.fail("every study was done before it could be disturbed")

    def end_and_resume(self, rank, number, studies=(SHORT, LONGER, LONGEST)):
        """A job that ends when the signal comes; another one completes what it left. The others may
        finish a short study before the launcher ends them: then a longer one is tried."""
        while studies:
            study, job = self.start_and_signal(studies, 3, {rank: number})
            studies = studies[studies.index(study) + 1:]
            job.communicate(timeout=300)
            self.assertNotEqual(job.returncode, DONE)
            kept = finished(self.path)
            self.assertGreaterEqual(kept, 5)
            if kept < self.alone(study)[2]:
                code, _, err = self.job(3, "compare", *study, "-o", self.path, "--resume")
                self.assertEqual(code, DONE, err)
                return self.check_complete(study)
        return self.fail("every study was done before the launcher ended it")

    def test_what_was_finished_is_kept_when_a_process_dies(self):
        self.end_and_resume(2, signal.SIGKILL)

    def test_what_was_finished_is_kept_of_a_comparison_with_interference(self):
        for rank in (0, 2):
            with self.subTest(rank=rank):
                self.end_and_resume(rank, signal.SIGKILL, PULSES)

    def test_what_was_finished_is_kept_when_the_coordinating_process_dies(self):
        self.end_and_resume(0, signal.SIGKILL)

    def test_what_was_finished_is_kept_when_the_job_is_ended(self):
        del self.environment["OMPI_MCA_odls_base_sigkill_timeout"]  # they have the time to stop
        self.end_and_resume(None, signal.SIGTERM, (LONGER, LONGEST))

    def test_a_process_that_is_stopped_leaves_its_point_to_others(self):
        study, job = self.start_and_signal((SHORT, LONGER, LONGEST), 3, {2: signal.SIGTERM})
        _, err = job.communicate(timeout=300)
        self.assertEqual(job.returncode, DONE, err)
        self.check_complete(study)

    def test_others_take_the_point_of_a_process_that_dies_or_hangs(self):
        # It is not missed but at the end, when the coordinator waits for it: both jobs at a time.
        # What this launcher returns then does not show how it went.
        jobs = []
        for name, number, options in (("dies", signal.SIGKILL, ("--enable-recovery",)),
                                      ("hangs", signal.SIGSTOP, ())):
            self.path = self.folder / (name + ".h5")
            jobs.append((self.path, *self.start_and_signal((SHORT, LONGER, LONGEST), 3,
                                                           {2: number}, *options)))
        for path, study, job in jobs:
            with self.subTest(path=path.name):
                self.path = path
                _, err = job.communicate(timeout=300)
                self.check_complete(study)
                self.assertIn("1 process of the job does not reply", err)

    def test_a_run_that_fails_is_reported_as_by_one_process(self):
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

        def reported(text):
            return sorted(line for line in text.splitlines() if " rpm failed: " in line)

        # One process computes all of it; and all of them do.
        for ranks, options in ((2, ("--jobs", "0")), (3, ())):
            with self.subTest(ranks=ranks):
                self.path.unlink()
                code, out, err = self.job(ranks, "compare", *study, "-o", self.path, *options)
                self.assertEqual((code, out), (FAILED, alone.stdout))
                self.assertEqual(len(reported(err)), failed)
                self.assertEqual(reported(err), reported(alone.stderr))
                self.assertEqual(differing(datasets(self.path), content), [])

    def test_what_fails_a_process_beside_its_input_is_reported(self):
        job = self.launch("-n", 2, os.environ["PROCESS_GROUP_PROGRAM"], SINGLE)
        out, err = job.communicate(timeout=300)
        self.assertEqual(job.returncode, FAILED, err)
        self.assertRegex(out, "^broken: process 1 of the job, '0.8 m' at 3000 rpm: .*vector")

    def job_of_two(self, here, there):
        """One process with the arguments `here` that coordinates and does not compute, one with `there`."""
        end = ("-o", self.path, "--jobs", 0)
        job = self.launch("-n", 1, PROGRAM, "compare", *here, *end,
                          ":", "-n", 1, PROGRAM, "compare", *there, *end)
        _, err = job.communicate(timeout=300)
        self.assertEqual(job.returncode, WRONG_INPUT, err)
        self.assertEqual(finished(self.path), 0)
        return err

    def test_a_process_that_has_another_case_file_or_other_options_is_refused(self):
        other = self.case_file("other.toml", ("compression_ratio = 10.5", "compression_ratio = 11"))
        for there in ((other, *STUDY[1:]), STUDY[:-1] + ("4000,5000,6000,7001",)):
            with self.subTest(there=there):
                self.path.unlink(missing_ok=True)
                self.assertIn("process 1 of the job has another case file or other options",
                              self.job_of_two(STUDY, there))

    def test_a_process_that_does_not_find_the_case_file_is_reported(self):
        self.assertIn("process 1 of the job does not find the case file",
                      self.job_of_two(STUDY, ("none.toml", *STUDY[1:])))

    def test_wrong_input_is_reported_once(self):
        code, out, err = self.job(3, "compare", "none.toml", "-o", self.path)
        self.assertEqual((code, out), (WRONG_INPUT, ""))
        self.assertEqual(err.count("none.toml"), 1)
        # What only the coordinating process can know.
        self.path.write_text("not results", encoding="utf-8")
        code, out, err = self.job(3, "compare", *STUDY, "-o", self.path)
        self.assertEqual((code, out), (WRONG_INPUT, ""))
        self.assertIn("exists", err)

    def test_a_coordinating_process_that_cannot_begin_shuts_down_the_others(self):
        code, out, err = self.job(3, "compare", *STUDY, "-o", "/dev/full/results.h5")
        self.assertEqual((code, out), (WRONG_INPUT, ""))
        self.assertEqual(err.count("/dev/full"), 2, err)  # the file and its folder, reported once

    def test_other_verbs_are_done_once(self):
        code, out, err = self.job(3, "check", SINGLE)
        self.assertEqual(code, DONE, err)
        self.assertEqual(out, self.pulsewright("check", SINGLE).stdout)


if __name__ == "__main__":
    main()
