"""A search over the processes of an MPI job: the designs and figures of a single process."""

import os
import pathlib
import subprocess
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "tools"))
from rig.program import CASES, DONE, PROGRAM, WRONG_INPUT, CommandLineCase, main  # noqa: E402
from rig.results import h5py, np  # noqa: E402

CASE = CASES / "tuned-single.toml"
TUNE = ("tune", CASE, "--cells", "90 mm", "--speeds", "5000,6000", "--designs", "20",
        "--no-verdict")
# Tests may run as root in a container: see over_ranks.py.
ENVIRONMENT = {**os.environ, "OMPI_ALLOW_RUN_AS_ROOT": "1", "OMPI_ALLOW_RUN_AS_ROOT_CONFIRM": "1",
               "OMPI_MCA_plm": "isolated", "OMPI_MCA_btl_vader_single_copy_mechanism": "none"}


class SearchOverRanks(CommandLineCase):
    def job(self, processes, *arguments):
        return subprocess.run(
            ["mpirun", "--oversubscribe", "-n", str(processes), PROGRAM,
             *map(str, arguments)], cwd=self.folder, env=ENVIRONMENT, stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, timeout=300, check=False)

    def assert_same(self, one, other):
        with h5py.File(self.folder / one) as first, h5py.File(self.folder / other) as second:
            self.assertEqual(set(first), set(second))
            self.assertGreater(len(first["design"]), 10)
            for name in first:
                values = first[name][()]
                self.assertTrue(np.array_equal(values, second[name][()],
                                               equal_nan=values.dtype.kind == "f"), name)

    def test_two_processes_find_what_one_finds(self):
        alone = self.pulsewright(*TUNE, "-o", "one.h5")
        self.assertEqual(alone.returncode, DONE, alone.stderr)
        shared = self.job(2, *TUNE, "-o", "two.h5")
        self.assertEqual(shared.returncode, DONE, shared.stderr)
        self.assert_same("one.h5", "two.h5")
        # A file with everything is taken over by all of them.
        again = self.job(3, *TUNE, "-o", "two.h5", "--resume")
        self.assertEqual(again.returncode, DONE, again.stderr)
        self.assert_same("one.h5", "two.h5")

    def test_a_file_that_exists_ends_the_job(self):
        (self.folder / "there.h5").write_text("something else")
        outcome = self.job(2, *TUNE, "-o", "there.h5")
        self.assertEqual(outcome.returncode, WRONG_INPUT, outcome.stderr)
        self.assertIn("exists", outcome.stderr)


if __name__ == "__main__":
    main()
