"""The verbs sweep, tune and tolerance: file, JSON and table agree, and a search is resumed."""

import csv
import json
import re

from rig.program import CASES, DONE, FAILED, WRONG_INPUT, CommandLineCase, main
from rig.results import h5py, np

CASE = CASES / "tuned-single.toml"
SMALL = ("--cells", "90 mm", "--speeds", "5000,6000", "--jobs", "2")
FORMAT = CASES.parent / "tools" / "search" / "SEARCH_FORMAT.md"


class Search(CommandLineCase):
    def test_sweep(self):
        """Two lengths by three sizes: the map, its file, its table, its page."""
        found = self.json_of("sweep", CASE, *SMALL, "--vary", "primary_length=600 mm to 700 mm by "
                             "100 mm", "--vary", "primary_tube", "-o", "map.h5", "--csv", "map.csv")
        self.assertEqual([len(axis["values"]) for axis in found["axes"]], [2, 3])
        self.assertEqual(len(found["cells"]), 6)
        with h5py.File(self.folder / "map.h5") as file:
            self.assertEqual(file.attrs["verb"], "sweep")
            self.assert_format(file)
            torque = file["torque"][()]
            self.assertEqual(torque.shape, (7, 2))  # with the header as it is, 0.8 m
            self.assertTrue(np.all(file["status"][()] == 0))
            for cell, row in zip(found["cells"], torque[1:]):
                self.assertEqual(cell["torque_by_speed"], row.tolist())
                self.assert_close(cell["torque"], row.mean(), 1e-12)
            best = max(found["cells"], key=lambda cell: cell["torque"])
            self.assertIs(best, found["cells"][found["best"]])
        with open(self.folder / "map.csv", encoding="utf-8", newline="") as file:
            rows = list(csv.reader(file))
        self.assertEqual(len(rows), 7)
        self.assertEqual(rows[1][:2], ["600 mm", "38 mm OD, 1.5 mm wall"])

    def assert_format(self, file):
        """The format page names what is in the file, with dimensions and units, and no more."""
        text = FORMAT.read_text(encoding="utf-8")
        rows = [[part.strip() for part in line.strip("|").split("|")]
                for line in text.splitlines() if line.startswith("| `")]
        named = {row[0].strip("`"): row for row in rows}
        present = set(file) | set(file.attrs)
        present -= {"_NCProperties"}
        self.assertEqual(present, set(named))
        for name in file:
            data = file[name]
            dimensions = [dim.keys()[0] if dim.keys() else name for dim in data.dims]
            self.assertEqual(named[name][1].split(", "), dimensions, name)
            self.assertEqual(named[name][3], data.attrs.get("units", ""), name)

    def test_tune_with_verdict_case_file_and_resume(self):
        options = (*SMALL, "--designs", "24")
        outcome = self.pulsewright("tune", CASE, *options, "-o", "tune.h5", "--csv", "tune.csv")
        self.assertRegex(outcome.stdout, r"Best: score \d+\.\d N m")
        self.assertRegex(outcome.stdout, r"tuned: torque [+-]?\d|cannot be told apart")
        case = self.folder / "tune-found.toml"
        self.assertTrue(case.is_file())
        self.assertEqual(self.pulsewright("check", case).returncode, DONE)
        with h5py.File(self.folder / "tune.h5") as file:
            self.assert_format(file)
            before = {name: file[name][()] for name in file}
            findings = json.loads(file.attrs["findings"])
        # The exit code is that of the verdict, as `compare` has it.
        wrong = any(header[of] for header in findings["verdict"]["headers"] for of in
                    ("points_failed", "points_not_converged", "points_damaged", "clipped"))
        self.assertEqual(outcome.returncode, FAILED if wrong else DONE, outcome.stderr)
        # Again, with what is known: nothing is computed, and a second case file is written.
        self.pulsewright("tune", CASE, *options, "-o", "tune.h5", "--resume", "--no-verdict")
        self.assertTrue((self.folder / "tune-found-2.toml").is_file())
        self.assertEqual(case.read_text(), (self.folder / "tune-found-2.toml").read_text())
        with h5py.File(self.folder / "tune.h5") as file:
            for name, values in before.items():
                self.assertTrue(np.array_equal(values, file[name][()],
                                               equal_nan=values.dtype.kind == "f"), name)

    def test_tolerance(self):
        found = self.json_of("tolerance", CASE, *SMALL, "--samples", "4", "-o", "t.h5")
        largest = [dimension["largest"] for dimension in found["dimensions"]]
        self.assertEqual(largest, sorted(largest, reverse=True))
        length, = [d for d in found["dimensions"] if d["kind"] == "length"]
        with h5py.File(self.folder / "t.h5") as file:
            torque = file["torque"][()]
            samples = file["build_sample"][()]
            value = file["value"][()]
        drawn = value[0]
        up = (value[:, 0] > drawn[0]) & (samples == 0)
        down = (value[:, 0] < drawn[0]) & (samples == 0)
        slope = 0.5 * (torque[up][0] - torque[down][0])
        for printed, computed in zip(length["changes"][0]["torque"], slope):
            self.assert_close(printed, computed, 1e-9)
        self.assertEqual(found["spread"]["samples"], 4)
        self.assertEqual(int((samples > 0).sum()), 4)

    def test_wrong_input(self):
        for arguments, says in (
                (("sweep", CASE, "--vary", "length=1 m to 2 m"), "is no such part"),
                (("sweep", CASES / "pipe-shock.toml"), "pipes only"),
                (("sweep", CASES / "single-cylinder.toml"), "names nothing to vary"),
                (("tune", CASES / "single-cylinder.toml"), "[[tune.vary]]"),
                (("tune", CASE, "--front", "mean"), "two aims"),
                (("tune", CASE, "--front", "mean,speed"), "speed"),
                (("tolerance", CASE, "--samples", "3"), "even"),
                (("tolerance", CASE, "--header", "0.9 m"), "0.8 m"),
                (("sweep", CASE, "--band", "100-200"), "band")):
            with self.subTest(arguments=arguments):
                outcome = self.pulsewright(*arguments)
                self.assertEqual(outcome.returncode, WRONG_INPUT, outcome.stderr)
                self.assertIn(says, outcome.stderr)
        (self.folder / "other.h5").write_text("no results")
        outcome = self.pulsewright("sweep", CASE, "-o", "other.h5", "--overwrite")
        self.assertEqual(outcome.returncode, WRONG_INPUT, outcome.stderr)
        self.assertTrue(re.search("left as it is", outcome.stderr))

    def test_a_file_in_the_place_of_the_verdict_is_left(self):
        """Before anything is computed."""
        verdict = self.folder / "tune-verdict.h5"
        verdict.write_text("no results")
        for option, says in (((), "exists"), (("--overwrite",), "replaces results files only")):
            outcome = self.pulsewright("tune", CASE, *option, "-o", "tune.h5")
            self.assert_refused(outcome, "tune-verdict.h5", says)
            self.assertFalse((self.folder / "tune.h5").exists())
        self.assertEqual(verdict.read_text(), "no results")


if __name__ == "__main__":
    main()
