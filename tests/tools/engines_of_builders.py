"""Invented engines as builders describe them, with the ready kinds of headers alone."""
# test label: long

import math
import pathlib
import unittest

from rig.program import CASES, DONE, CommandLineCase, main

ENGINES = pathlib.Path(__file__).resolve().parent / "engines"
STEPS = CASES / "street-v8.toml"


def header_names(text):
    return [line.split('"')[1] for block in text.split("[[header]]")[1:]
            for line in block.splitlines() if line.startswith("name = ")]


class EnginesOfBuilders(CommandLineCase):
    def checked(self, case, *options):
        outcome = self.pulsewright("check", case, *options)
        self.assertEqual((outcome.returncode, outcome.stderr), (DONE, ""))
        return " ".join(outcome.stdout.split())

    def test_every_header_gives_the_figures_of_an_engine(self):
        """Bounds at a good speed at full load: common practice for naturally aspirated engines
        from hot street to race, no source."""
        for case in (STEPS, *sorted(ENGINES.glob("*.toml"))):
            for header in header_names(case.read_text(encoding="utf-8")):
                with self.subTest(case=case.name, header=header):
                    point = self.json_of("run", case, "--header", header, "--cells", "30 mm")
                    self.assertTrue(point["converged"])
                    self.assertEqual(point["clipped"], 0)
                    self.assertTrue(0.8 <= point["volumetric_efficiency"] <= 1.2,
                                    point["volumetric_efficiency"])
                    self.assertTrue(9e5 <= point["bmep"] <= 14.5e5, point["bmep"])
                    for balance in ("mass", "energy", "burnt"):
                        self.assertLess(abs(point["ledger"][balance]["imbalance"]), 1e-9)
                    mass = point["ledger"]["mass"]  # what goes in comes out, but for its storage
                    self.assert_close(mass["out"] + mass["stored"], mass["in"] + mass["source"],
                                      1e-6)

    def test_check_tells_steps_neck_and_areas(self):
        text = self.checked(STEPS, "--units", "inch")
        # Inside diameters: outside less two walls of 0.065 in.
        for said in ("1-3/4 in OD, 16 ga; 1.62 in ID, 2.061 in2, from 12 in on 1-7/8 in OD, 16 ga;"
                     " 1.745 in ID, 2.392 in2",
                     "neck 2.6 in ID, 5.309 in2, behind an inlet of 4 in from the area of all tubes, straight for 1 in, then a cone of 6 in that opens",
                     "flange a sudden step from 1.62 in to 1.745 in, 1.16 times the area",
                     "entry 3.9 in ID, 11.95 in2, then a cone of 5 in that narrows",
                     "area where the tubes enter it: 5 times that of one primary, 1.25 times",
                     "port at the valve 1.767 in2 ",
                     "H, 10 in behind the end of the collectors: 2-1/4 in OD, 16 ga",
                     "X, 14 in behind the end of the collectors, half angle 20 deg",
                     "tail, shared 4 in OD, 16 ga"):
            self.assertIn(said, text)
        ratio = (2.6 / 1.745)**2
        self.assertIn(f"area of the neck: {ratio:.3g} times that of one primary, "
                      f"{ratio / 4:.3g} times that of all 4", text)
        figures = {one["name"]: one for one in self.json_of("check", STEPS)["header_figures"]}
        self.assert_close(figures["steps"]["entry_over_tubes"], ratio / 4, 1e-9)
        self.assertIsNone(figures["H"]["entry_over_tube"])
        # Half angle of the cone: 3.37 in over 2.6 in on 6 in.
        angle = math.degrees(math.atan((3.37 - 2.6) / 2 / 6))
        self.assertIn(f"half angle {angle:.3g} deg", text)

    def test_crossing_nothing_on_a_flat_plane_crank_is_said(self):
        text = self.checked(ENGINES / "flat-plane-v8.toml")
        self.assertIn('is the same pipework as "equal-length"', text)
        self.assertIn("by construction: each cylinder is another one 90 deg of crank later", text)


if __name__ == "__main__":
    main()
