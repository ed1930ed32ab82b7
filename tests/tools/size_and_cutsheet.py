"""pulsewright size and cutsheet: from a few figures to a case file that runs, and to the bench."""

import csv
import io
import math

from rig.program import CASES, DONE, SINGLE, CommandLineCase, main

V8 = CASES / "hillclimb-v8.toml"


class Size(CommandLineCase):
    def test_a_few_figures_make_a_case_that_checks_and_runs(self):
        """A single: the one simulation in these tests, on coarse cells."""
        made = self.pulsewright("size", "--displacement", "500 cc", "--cylinders", "1", "--band",
                                "6000-7000", "--cells", "60 mm", "-o", "one.toml", "--csv",
                                "tubes.csv", "--units", "inch")
        self.assertEqual(made.returncode, DONE, made.stderr)
        self.assert_narrow(made.stdout)
        self.assertIn("One simulation of each header", made.stdout)
        self.assertIn("# assumed", (self.folder / "one.toml").read_text())
        self.assertTrue(self.json_of("check", "one.toml")["valid"])
        ran = self.json_of("run", "one.toml", "--cells", "60 mm", "--speed", "6500")
        self.assertGreater(ran["torque"], 10)
        rows = list(csv.reader(io.StringIO((self.folder / "tubes.csv").read_text())))
        self.assertEqual(len({len(row) for row in rows}), 1)
        taken, = [row for row in rows if row[-1] == "yes"]
        # Mean gas speed 245 ft/s at the speed of the rule.
        self.assertAlmostEqual(float(taken[3]) / 6500 * float(taken[4]), 245, delta=1)
        again = self.pulsewright("size", "--displacement", "500 cc", "--no-simulation", "-o",
                                 "one.toml")
        self.assert_refused(again, "one.toml exists and is left as it is")

    def test_json_has_every_rule_with_its_source(self):
        sized = self.json_of("size", V8, "--no-simulation")
        self.assertEqual([header["name"] for header in sized["headers"]],
                         ["equal-length", "180-degree", "stepped-length", "4-2-1"])
        for rule in sized["rules"]:
            self.assertTrue(rule["formula"] and rule["source"] and rule["range"], rule)
        # P = 850 (180 + EVO) / rpm - 3 in with the 82 deg BBDC and the 4500 to 7000 rpm of the case.
        lengths = sized["lengths_from_valve"]
        self.assertAlmostEqual(lengths["lower"] / 0.0254, 850 * 262 / 4500 - 3, places=6)
        self.assertAlmostEqual(lengths["upper"] / 0.0254, 850 * 262 / 7000 - 3, places=6)
        self.assertEqual(sized["trials"], [])

    def test_wrong_options(self):
        for options, *says in (
                ((), "names neither a case file nor an engine"),
                (("--displacement", "5.7"), "--displacement", "has no unit"),
                (("--displacement", "-1 L"), "--displacement", "above zero"),
                (("--displacement", "5 L", "--power", "5 cfm"), "--power", "unit of volume flow"),
                (("--displacement", "5 L", "--band", "7000-5000"), "--band", "above the first"),
                (("--displacement", "5 L", "--exhaust-opens", "70 deg ATDC"), "--exhaust-opens"),
                (("--displacement", "5 L", "--cylinders", "7"), "no usual firing order"),
                ((V8, "--bore", "4 in"), "--bore", "without a case file"),
                (("--displacement", "5 L", "-o", "none/one.toml"), "-o 'none/one.toml'",
                 "there is no folder"),
                ((CASES / "pipe-shock.toml",), "no engine")):
            with self.subTest(options=options):
                self.assert_refused(self.pulsewright("size", *options, "--no-simulation"), *says)


class Cutsheet(CommandLineCase):
    POINTS = "cylinder,x,y,z\n1,0 in,0 in,0 in\n1,10 in,0 in,0 in\n1,10 in,{} in,0 in\n" \
             "1,10 in,{} in,14.575 in\n"

    def points(self, corner):
        path = self.folder / "wire.csv"
        path.write_text(self.POINTS.format(corner, corner))
        return path

    def test_measured_points_to_the_bench(self):
        """Right angles of 3 in with 10 in between: straights of 7, 4 and 11.575 in, arcs of
        3 pi/2 in, 32 in in all."""
        path = self.case_file("v8.toml", ("[build]\n", "[build]\nbend_radii = [\"3 in\"]\n"),
                              source=V8)
        command = ("cutsheet", path, "--header", "equal-length", "--points", self.points(10))
        text = self.pulsewright(*command, "--units", "inch")
        self.assertEqual(text.returncode, DONE, text.stderr)
        self.assert_narrow(text.stdout)
        for part in ("1. straight 7 in", "turned 90 deg clockwise", "Carbon monoxide", "Bank left"):
            self.assertIn(part, text.stdout)
        sheet = self.json_of(*command)
        tube = sheet["pages"][0]["tubes"][0]
        self.assertAlmostEqual(tube["made"]["m"] / 0.0254, 22.575 + 3 * math.pi, places=6)
        self.assertEqual(tube["pieces"][0]["length"]["inch"], "7 in")
        self.assertEqual(self.pulsewright(*command, "--csv", "pieces.csv").returncode, DONE)
        rows = list(csv.DictReader(io.StringIO((self.folder / "pieces.csv").read_text())))
        self.assertEqual([row["kind"] for row in rows[:5]],
                         ["straight", "bend", "straight", "bend", "straight"])

    def test_what_cannot_be_bent_is_refused_by_tube_and_point(self):
        path = self.case_file("v8.toml", ("[build]\n", "[build]\nbend_radii = [\"3 in\"]\n"),
                              source=V8)
        self.assert_refused(self.pulsewright("cutsheet", path, "--points", self.points(5),
                                             "--units", "inch"),
                            "wire.csv", "cylinder 1",
                            "the straight behind point 2 is 1 in shorter")
        self.assert_refused(self.pulsewright("cutsheet", path, "--points", "none.csv"), "none.csv")
        self.assert_refused(self.pulsewright("cutsheet", CASES / "pipe-shock.toml"), "no engine")

    def test_every_shipped_header_has_a_sheet(self):
        self.assert_refused(self.pulsewright("cutsheet", SINGLE, "--header", "megaphone"),
                            "megaphone", "is a network")
        for case in (V8, CASES / "street-v8.toml", CASES / "inline-four.toml"):
            for header in self.json_of("check", case)["headers"]:
                outcome = self.pulsewright("cutsheet", case, "--header", header)
                self.assertEqual(outcome.returncode, DONE, outcome.stderr)
                self.assert_narrow(outcome.stdout)


if __name__ == "__main__":
    main()
