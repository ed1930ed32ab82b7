"""What `check` says of a case: figures in text and JSON, units, widths and plurals."""

import math
import re
import unittest

from rig.program import CASES, DONE, SINGLE, WRONG_INPUT, CommandLineCase, main

V8 = CASES / "hillclimb-v8.toml"
STREET = CASES / "carburettor-v8.toml"
SHIPPED = sorted(CASES.glob("*.toml"))
# Tubes go by the size by which they are ordered in both.
METRIC = re.compile(r"\d (mm|mm2|cm3|m/s|kPa|bar|degC|K)\b(?! OD| wall)")


class CheckOutput(CommandLineCase):
    def text(self, *arguments):
        outcome = self.pulsewright("check", *arguments)
        self.assertEqual((outcome.returncode, outcome.stderr), (DONE, ""))
        return outcome.stdout

    def test_text_has_80_columns_and_one_system_of_units(self):
        for case in SHIPPED:
            for units in ("metric", "inch"):
                with self.subTest(case=case.name, units=units):
                    text = self.text(case, "--units", units)
                    self.assertEqual([line for line in text.splitlines() if len(line) > 80
                                      and str(case) not in line], [])
                    if units == "inch":
                        self.assertNotRegex(text, METRIC)

    def test_figures_of_the_engine(self):
        text = " ".join(self.text(V8).split())
        # pi / 4 x 102^2 x 76.5 mm3 x 8; 2 x 76.5 mm x 125 / s; timing from the card.
        for said in ("8 cylinders, 5001 cm3,", "mean piston speed 19.1 m/s",
                     "compression ratio 12 static",
                     "air outside 1013 mbar, 20 degC; air-fuel ratio 12.8, 0.88 of stoichiometric", "37 deg at 1.27 mm; lobe separation 108.5 deg",
                     # Opens, closes and for how long; 40 + 42 deg. At 1.27 mm half of 256 and 252 deg to
                     # either side of 111 deg BTDC and 106 deg ATDC.
                     "seat 82 BBDC 40 ATDC 302 42 BTDC 74 ABDC 296 82",
                     "1.27 mm 59 BBDC 17 ATDC 256 20 BTDC 52 ABDC 252 37",
                     "lobe centerline 111 deg BTDC 106 deg ATDC",
                     "port at the valve 1257 mm2 1662 mm2"):
            self.assertIn(said, text)
        self.assertIn("305.2 in3", self.text(V8, "--units", "inch"))
        # Half a degree more: of 302.5 deg nothing is rounded away, and the table stays
        # narrow.
        later = self.case_file("later.toml", ('closes = "40 deg ATDC"', 'closes = "40.5 deg ATDC"'),
                               source=V8)
        text = self.text(later)
        self.assertIn("seat 82 BBDC 40.5 ATDC 302.5 42 BTDC 74 ABDC 296 82.5", " ".join(text.split()))
        self.assert_narrow(text.replace(str(later), ""))

    def test_figures_of_the_headers(self):
        text = " ".join(self.text(V8, "--units", "inch").split())
        for said in ("primaries 1-7/8 in OD, 16 ga; 1.745 in ID, 2.392 in2",
                     "secondaries 2-1/4 in OD, 16 ga; 2.12 in ID, 3.53 in2, 16 in long",
                     "collector 3-1/2 in OD, 16 ga; 3.37 in ID, 8.92 in2, 16 in long",
                     "3.73 times that of one primary, 0.932 times that of all 4",
                     "2.53 times that of one secondary", "Car Craft, Header Basics, J. McFarland",
                     "tuned to 5574 to 6559 rpm by length", "Bell, Four-Stroke Performance Tuning, 1981"):
            self.assertIn(said, text)
        self.assertIn("megaphone (network): 2 pipes", self.text(SINGLE))
        self.assertIn("36 mm to 76 mm ID", self.text(SINGLE))

    def test_figures_of_parts_and_intake(self):
        text = " ".join(self.text(STREET, "--units", "inch").split())
        for said in ("750 cfm at 1.5 inHg", "plenum behind its barrels: resonates at",
                     # 349.8 in3 at 5500 rpm: 349.8 x 5500 / 3456 = 557 cfm, the rule of the trade.
                     "the engine asks for 557 cfm",
                     "part 1 catalyst brick 4.66 in by 4 in, 87 % open, channels of 0.0537 in",
                     "part 3 straight-through shell 5 in by 16 in, core 2.37 in",
                     "part 5 helmholtz tuned to", "part 2 chamber 6 in by 8 in, 6.41 times the area",
                     "tubes reach in by 3 in and 2 in", "part 2 back-pressure 2 psi at 16.5 lb/min of "
                     "1112 degF"):
            self.assertIn(said, text)
        output = self.json_of("check", STREET)
        self.assert_close(output["engine"]["intake"]["four_barrel_flow"], 750 * 0.3048**3 / 60, 1e-9)
        parts = [header["parts"] for header in output["header_figures"]]
        self.assertEqual([len(one) for one in parts], [0, 4, 6, 2])
        brick = parts[1][0]
        # 300 per square inch stand 0.057735 in apart, 0.004 in of which is wall.
        self.assert_close(brick["open_share"], (1 - 0.004 * math.sqrt(300)) ** 2, 1e-9)
        self.assertLess(brick["channel_reynolds"], 2000)

    def test_json_has_the_same_figures(self):
        output = self.json_of("check", V8)
        engine = output["engine"]
        self.assert_close(engine["displacement"], math.pi / 4 * 0.102**2 * 0.0765 * 8, 1e-9)
        self.assertEqual((engine["overlap"], engine["lobe_separation"]), (82, 108.5))
        self.assert_close(engine["intake_valve"]["checked_duration"], 252, 1e-4)
        rows = {(row["from"], round(row["lift"] / 25.4e-6)): row for row in engine["timing"]}
        # In thousandths of an inch; the card has figures at the seat and at 0.050 in.
        self.assertEqual(list(rows), [("seat", 0), ("less lash", 0), ("lift", 6), ("lift", 50)])
        self.assert_close(rows["lift", 50]["overlap"], 37, 1e-6)
        ratios = [row["compression_ratio"] for row in rows.values()]
        self.assertEqual(ratios[2:], sorted(ratios[2:]))  # the higher the lift, the earlier it closes
        self.assertEqual(engine["dynamic_compression_ratio"], ratios[2])
        self.assert_close(engine["mean_piston_speed"], 2 * 0.0765 * 125, 1e-9)
        figures = {header["name"]: header for header in output["header_figures"]}
        self.assertEqual(list(figures), output["headers"])
        equal = figures["equal-length"]
        self.assert_close(equal["primary_tube"]["inside_diameter"], 1.745 * 0.0254, 1e-9)
        self.assert_close(equal["collector_over_tube"], (3.37 / 1.745)**2, 1e-9)
        self.assert_close(equal["hand_rules"]["longest_rpm"], 850 * 262 / (32 + 75 / 25.4 + 3), 1e-9)
        self.assertIsNone(equal["secondary_tube"])
        self.assertNotIn("engine", self.json_of("check", CASES / "pipe-shock.toml"))

    def test_what_is_left_out_is_listed_with_its_range(self):
        text = " ".join(self.text(SINGLE).split())
        self.assertIn("combustion.burned_50 = 8 deg ATDC (5 deg ATDC to 15 deg ATDC)", text)
        self.assertIn("--defaults shows by how much each matters", text)
        listed = self.json_of("check", SINGLE)["assumptions"]
        self.assertIn("exhaust_valve.cam.lobe_exponent", [one["key"] for one in listed])
        self.assertNotIn("assumptions", self.json_of("check", CASES / "pipe-shock.toml"))

    def test_defaults_by_their_effect(self):
        listed = self.json_of("check", SINGLE, "--defaults")["assumptions"]
        changes = {one["key"]: (one["torque_at_least"], one["torque_at_greatest"]) for one in listed}
        sizes = [max(abs(change or 0) for change in ends) for ends in changes.values()]
        self.assertEqual(sizes, sorted(sizes, reverse=True))
        # Torque goes with the pressure outside: 1040 mbar are 2.6 % more than 1013.25, and friction
        # is left as it is.
        low, high = changes["ambient.pressure"]
        self.assertTrue(-0.07 < low < -0.03 and 0.02 < high < 0.045, (low, high))
        self.assertTrue(changes["combustion.efficiency"][0] < 0 < changes["combustion.efficiency"][1])
        self.assertEqual(changes["exhaust.finish"][0], 0)
        refused = self.pulsewright("check", CASES / "pipe-shock.toml", "--defaults")
        self.assert_refused(refused, "--defaults")

    def test_one_thing_has_no_plural(self):
        case = self.case_file("one.toml", ('wave_speeds = ["5000 rpm"]\n', ""),
                              ('"3000 rpm", "4000 rpm", "5000 rpm", "6000 rpm", "7000 rpm"',
                               '"3000 rpm"'))
        text = self.text(case)
        self.assertIn("1 speed, 3000 rpm", text)
        self.assertIn("1 cylinder, ", text)
        self.assertNotRegex(text, r"(?<![\d.])1 (speeds|cylinders|pipes|cells|remarks)\b")

    def test_errors_and_remarks_are_in_inches_too(self):
        wrong = self.case_file("wrong.toml", ('bore = "86 mm"', 'bore = "5 mm"'))
        for verb in ("check", "run"):
            outcome = self.pulsewright(verb, wrong, "--units", "inch")
            self.assertEqual(outcome.returncode, WRONG_INPUT)
            self.assertIn("engine.bore = \"5 mm\": is less than 0.7874 in", outcome.stderr)
            self.assertIn("is less than 20 mm", self.pulsewright(verb, wrong).stderr)
        outcome = self.pulsewright("run", SINGLE, "--units", "inch", "--cells", "1 m")
        self.assert_refused(outcome, "from 0.01969 in to 3.937 in")
        odd = self.case_file("odd.toml", ('port_diameter = "36 mm"', 'port_diameter = "40 mm"'))
        self.assertIn("has a bore of 1.496 in, less than the 1.575 in of the port",
                      " ".join(self.text(odd, "--units", "inch").split()))


if __name__ == "__main__":
    main()
