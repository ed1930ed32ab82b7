"""The verb run: one operating point of an engine, and pipes without an engine."""

import json
import math
import os
import re
import signal
import time

from rig.program import CASES, DONE, FAILED, SINGLE, CommandLineCase, main

ROOT = CASES.parent

POINT = (SINGLE, "--speed", "6000", "--cells", "20 mm")
SWEPT = math.pi / 4 * 0.086**3  # m3, of the case

# SI to shown units. Factors: NIST Special Publication 811 (2008), appendix B; horsepower of
# 550 foot pounds-force per second.
TORQUE = {"metric": (1.0, "N m"), "inch": (1 / 1.355818, "lb ft")}
POWER = {"metric": (1e-3, "kW"), "inch": (1 / 745.6999, "hp")}
PRESSURE = {"metric": (1e-3, "kPa"), "inch": (1 / 6894.757, "psi")}
HIGH_PRESSURE = {"metric": (1e-5, "bar"), "inch": (1 / 6894.757, "psi")}
# Words that a text in the other system would have.
OTHER_UNITS = {"metric": r" (psi|degF|ft/s|lb|hp)\b", "inch": r" (mm|kPa|bar|m/s|degC|N m|kW)\b"}


class EnginePoint(CommandLineCase):
    def test_figures_are_those_of_an_engine(self):
        """Bounds: common practice for a naturally aspirated engine at full load, no source."""
        point = self.json_of("run", *POINT)
        self.assertTrue(point["converged"])
        self.assertEqual(point["clipped"], 0)
        self.assertEqual(len(point["cylinders"]), 1)
        bounds = {
            "volumetric_efficiency": (0.5, 1.3), "charging_efficiency": (0.5, 1.3),
            "residual_fraction": (0.005, 0.15), "short_circuit_fraction": (0, 0.1),
            "bmep": (6e5, 15e5), "fmep": (0.8e5, 3.5e5), "pmep": (0, 2.5e5),
            "blowdown_pulse": (0.3e5, 1.5e5), "depression": (-0.8e5, -0.05e5),
            "depression_angle": (240, 400), "exhaust_temperature": (900, 1400),
        }
        for name, (least, most) in bounds.items():
            self.assertTrue(least <= point[name] <= most, f"{name} = {point[name]}")
        self.assertTrue(50e5 <= point["cylinders"][0]["peak_pressure"] <= 110e5)
        self.assertTrue(5 <= point["cylinders"][0]["peak_pressure_angle"] <= 25)

    def test_figures_agree_with_each_other(self):
        """Heywood, Internal Combustion Engine Fundamentals (1988), sections 2.3 to 2.7."""
        point = self.json_of("run", *POINT)
        self.assertEqual(point["speed_rpm"], 6000)
        self.assert_close(point["power"], point["torque"] * 2 * math.pi * 100, 1e-9)
        self.assert_close(point["bmep"], point["torque"] * 4 * math.pi / SWEPT, 1e-9)
        self.assert_close(point["bmep"], point["imep"] - point["fmep"], 1e-9)
        # 50 cycles per second; the delivered air is what the runner takes from the ambient, but
        # for what the content of the runner changes from cycle to cycle.
        ledger = point["ledger"]
        air = 101325 / (287.05 * 293.15) * SWEPT
        self.assert_close(point["volumetric_efficiency"], ledger["mass"]["in"] / air, 2e-3)
        # Fuel goes with all the air that comes in; what is trapped burns (sections 2.9, 2.10, 6.6).
        trapped = 1 - point["short_circuit_fraction"]
        self.assert_close(point["charging_efficiency"], trapped * point["volumetric_efficiency"],
                          2e-3)
        self.assert_close(trapped * point["fuel_flow"], 50 * ledger["mass"]["source"], 2e-3)
        self.assertGreater(point["fuel_flow"], 50 * ledger["mass"]["source"])
        for name in ("volumetric_efficiency", "residual_fraction", "blowdown_pulse"):
            self.assertEqual(point[name], point["cylinders"][0][name])

    def test_json_has_every_figure_of_the_results_file(self):
        """Those that the format page lists, by cylinder, merge and pipe, and no other."""
        point = self.json_of("run", *POINT)
        page = (ROOT / "tools" / "results" / "FORMAT.md").read_text(encoding="utf-8")
        sections = {part.split("\n", 1)[0]: set(re.findall(r"(?m)^\| `(\w+)` \|", part))
                    for part in page.split("\n## ")}
        parts = {"cylinder": "cylinders", "merge": "merges", "pipe": "pipes"}
        own = set(parts.values()) | {"ledger", "speed_rpm", "converged"}
        self.assertEqual(set(point) - own, sections["Figures of a point"])
        labels = {"cylinder": "number", "merge": "merge", "pipe": "pipe"}
        units = {"arrival": "arrival_deg", "gap": "gap_deg", "cylinder": "cylinders",
                 "length_to_even": "length_to_even_m", "added_length": "added_length_m"}
        engine = self.json_of("run", CASES / "inline-four.toml", "--speed", "5000", "--cells",
                             "40 mm")
        for part, key in parts.items():
            names = {name.removeprefix(part + "_") for name in sections[f"Figures of a {part}"]}
            if part == "merge":
                names = {units.get(name, name) for name in names}
            self.assertGreaterEqual(len(engine[key]), 1)
            for one in engine[key]:
                self.assertEqual(set(one), names | {labels[part]})
        ledger = {f"ledger_{line}_{column}" for line, columns in point["ledger"].items()
                  for column in columns}
        self.assertEqual(ledger, sections["Balance"])
        # Gross less net work is that of the gas exchange, Heywood (1988), section 2.4.
        for one in engine["cylinders"]:
            self.assert_close(one["imep_gross"] - one["imep"], one["pmep"], 1e-9)
        self.assertGreater(len({one["pmep"] for one in engine["cylinders"]}), 1)

    def test_text_of_eight_cylinders_has_80_columns(self):
        for system in ("metric", "inch"):
            with self.subTest(system=system):
                text = self.pulsewright("run", CASES / "hillclimb-v8.toml", "--cells", "60 mm",
                                        "--speed", "7000", "--units", system).stdout
                self.assertIn("cylinder 8 at ", " ".join(text.split()))
                self.assert_narrow(text)
                self.assertNotRegex(text, OTHER_UNITS[system])

    def test_ledger_closes(self):
        """Exact up to round-off: what is counted in, made, out, lost and stored is one sum."""
        for header in ("0.8 m", "megaphone"):
            ledger = self.json_of("run", *POINT, "--header", header)["ledger"]
            for name in ("mass", "burnt", "energy"):
                line = ledger[name]
                gains = line["in"] + line["source"]
                rest = gains - line["out"] - line["lost"] - line["stored"]
                self.assertLess(abs(rest) / gains, 1e-10, name)
                self.assertLess(abs(line["imbalance"]), 1e-10, name)
                self.assertGreater(gains, 0)
            # Burnt mass is made from air and fuel, and the heat of combustion from fuel.
            self.assertLess(ledger["burnt"]["source"],
                            ledger["mass"]["in"] + ledger["mass"]["source"])
            self.assertLess(ledger["energy"]["source"], 46e6 * ledger["mass"]["source"])

    def shown(self, text, pattern):
        found = re.search(pattern, text)
        self.assertIsNotNone(found, f"{pattern} in {text}")
        return [float(value) for value in found.groups()]

    def assert_shown(self, printed, si, unit, digits):
        """A printed number is the SI value in this unit, rounded to the digits shown."""
        self.assertLessEqual(abs(printed - si * unit[0]),
                             0.5001 * 10**-digits + 1e-6 * abs(printed))

    def test_text_shows_the_numbers_of_the_json_in_both_systems(self):
        point = self.json_of("run", *POINT)
        for system in ("metric", "inch"):
            with self.subTest(system=system):
                text = self.pulsewright("run", *POINT, "--units", system).stdout
                self.assert_narrow(text)
                text = re.sub(r"\n  (?=\S)", " ", text)  # sentences that go on
                self.assertNotRegex(text, OTHER_UNITS[system])
                torque, power = TORQUE[system], POWER[system]
                high, low = HIGH_PRESSURE[system], PRESSURE[system]
                values = self.shown(text, rf"torque (\S+) {torque[1]}, power (\S+) {power[1]}\n")
                self.assert_shown(values[0], point["torque"], torque, 1)
                self.assert_shown(values[1], point["power"], power, 1)
                values = self.shown(text, rf"pressures in {high[1]}: brake (\S+), indicated (\S+),"
                                          r" gas exchange (\S+), friction (\S+)\n")
                for printed, name in zip(values, ("bmep", "imep", "pmep", "fmep")):
                    self.assert_shown(printed, point[name], high, 2)
                values = self.shown(text, r"volumetric efficiency (\S+) % \(air through the intake\), "
                                          r"charging efficiency (\S+) % \(air trapped\)")
                self.assert_shown(values[0], point["volumetric_efficiency"], (100,), 1)
                self.assert_shown(values[1], point["charging_efficiency"], (100,), 1)
                values = self.shown(text, r"fuel (\S+) g/s\n")
                self.assert_shown(values[0], point["fuel_flow"], (1e3,), 2)
                fastest = point["pipes"][point["exhaust_peak_mach_pipe"]]
                values = self.shown(text, rf"highest Mach number in the exhaust (\S+): "
                                          rf"{re.escape(fastest['pipe'])}, (\S+) (?:mm|in) from its "
                                          r"start, at (\S+) deg of the engine")
                self.assert_shown(values[0], fastest["peak_mach"], (1,), 2)
                self.assert_shown(values[2], fastest["peak_mach_angle"], (1,), 0)
                values = self.shown(text, rf"valve, {low[1]} gauge: overlap (\S+) \(weighted with lift "
                                          r"(\S+)\), exhaust stroke (\S+), blowdown pulse (\S+), peak suction (\S+) at "
                                          r"(\S+) deg")
                names = ("overlap_exhaust_pressure", "overlap_exhaust_pressure_by_lift",
                         "exhaust_stroke_pressure", "blowdown_pulse",
                         "depression")
                for printed, name in zip(values, names):
                    self.assert_shown(printed, point[name], low, 1 if system == "metric" else 2)
                self.assert_shown(values[5], point["depression_angle"], (1,), 0)
                kelvin = point["exhaust_temperature"]
                if system == "metric":
                    degrees = self.shown(text, r"exhaust port (\S+) degC")
                    self.assert_shown(degrees[0], kelvin - 273.15, (1,), 0)
                else:
                    degrees = self.shown(text, r"exhaust port (\S+) degF")
                    self.assert_shown(degrees[0], 1.8 * kelvin - 459.67, (1,), 0)

    def test_options_have_an_effect(self):
        base = self.json_of("run", *POINT)
        longer = self.json_of("run", *POINT, "--header", "1.2 m")
        finer = self.json_of("run", *POINT[:-1], "15 mm")
        slower = self.json_of("run", SINGLE, "--speed", "80 rev/s", "--cells", "20 mm")
        self.assertGreater(longer["cells"], base["cells"])
        self.assertNotEqual(longer["torque"], base["torque"])
        self.assertGreater(finer["cells"], base["cells"])
        self.assertNotEqual(finer["torque"], base["torque"])
        self.assert_close(slower["speed_rpm"], 4800, 1e-12)
        # The middle speed of the case is 5000 rpm.
        self.assert_close(self.json_of("run", SINGLE, "--cells", "20 mm")["speed_rpm"], 5000, 1e-12)

    def test_probes_of_an_engine_are_recorded_over_a_cycle(self):
        case = self.case_file("probes.toml",
                              ('primary_length = "800 mm"',
                               'primary_length = "800 mm"\n\n[[header.probe]]\n'
                               'pipe = "primary 1"\ndistance = "300 mm"'))
        point = self.json_of("run", case, *POINT[1:])
        (probe,) = point["probes"]
        self.assertEqual(probe["probe"], "primary 1 at 300 mm")
        angles = point["probe_angle_deg"]
        self.assertEqual((angles[0], angles[1], len(angles)), (0, 1, 720))
        # What passes in a cycle of 20 ms is what leaves by the tail, but for the content of the pipe.
        flow = sum(probe["mass_flow"]) / len(angles) * 0.02
        self.assert_close(flow, point["ledger"]["mass"]["out"], 5e-3)

    def test_the_same_command_gives_the_same_numbers(self):
        first = self.pulsewright("run", *POINT, "--json").stdout
        self.assertEqual(first, self.pulsewright("run", *POINT, "--json").stdout)

    def test_the_vector_types_of_the_compiler_give_the_same_bits(self):
        """The kernels that the module for the page has alone (solver/simd/dispatch.hpp)."""
        points = (POINT, (CASES / "hillclimb-v8.toml", "--header", "4-2-1", "--speed", "6000",
                          "--cells", "40 mm"))
        for point in points:
            outcome = self.pulsewright("run", *point, "--json",
                                       env={**os.environ, "PULSEWRIGHT_SIMD": "portable"})
            if "this build lacks" in outcome.stderr:
                self.skipTest("built without them")
            self.assertEqual(outcome.returncode, DONE, outcome.stderr)
            self.assertEqual(json.loads(outcome.stdout), self.json_of("run", *point))

    def test_a_point_that_does_not_repeat_is_a_failed_run(self):
        case = self.case_file("short.toml", ("[run]\n", "[run]\nmost_cycles = 4\n"))
        outcome = self.pulsewright("run", case, *POINT[1:])
        self.assertEqual(outcome.returncode, FAILED)
        self.assertIn("DOES NOT REPEAT", outcome.stdout)
        self.assertRegex(outcome.stdout, r"(?m)^! the cycle does not repeat")
        self.assertIn("run.most_cycles", outcome.stderr)
        quiet = self.pulsewright("run", case, *POINT[1:], "--quiet", "--json")
        self.assertEqual((quiet.returncode, quiet.stderr), (FAILED, ""))
        self.assertIn('"converged": false', quiet.stdout)

    def test_ctrl_c_ends_a_run(self):
        # A thousand cycles: long on any machine, and short from one to the next.
        case = self.case_file("long.toml", ("[run]\n",
                                            "[run]\nleast_cycles = 1000\nmost_cycles = 1000\n"))
        process = self.start("run", case, "--speed", "4000", "--cells", "10 mm")
        time.sleep(0.5)
        self.assertIsNone(process.poll(), "the run was over before it could be stopped")
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=60)
        self.assertEqual((process.returncode, out), (FAILED, ""))
        self.assertIn("stopped", err)

    def test_output_that_cannot_be_written_is_a_failed_run(self):
        with open("/dev/full", "w", encoding="utf-8") as full:
            outcome = self.pulsewright("run", *POINT, stdout=full)
        self.assertEqual(outcome.returncode, FAILED)
        self.assertIn("standard output", outcome.stderr)


def star_state(p_left, rho_left, p_right, rho_right, gamma):
    """Pressure, velocity and shock speed behind a diaphragm between gases at rest, the left one
    denser: rarefaction to the left, shock to the right. Toro, Riemann Solvers and Numerical
    Methods for Fluid Dynamics (2009), sections 4.2 and 4.3 (pressure function, bisected here) and
    3.1.3 (speed of the shock)."""
    c_left = math.sqrt(gamma * p_left / rho_left)
    c_right = math.sqrt(gamma * p_right / rho_right)
    drop = (gamma - 1) / (2 * gamma)

    def velocity_behind_rarefaction(p):
        return 2 * c_left / (gamma - 1) * (1 - (p / p_left) ** drop)

    def velocity_behind_shock(p):
        a, b = 2 / ((gamma + 1) * rho_right), (gamma - 1) / (gamma + 1) * p_right
        return (p - p_right) * math.sqrt(a / (p + b))

    low, high = p_right, p_left
    for _ in range(100):
        middle = (low + high) / 2
        if velocity_behind_rarefaction(middle) > velocity_behind_shock(middle):
            low = middle
        else:
            high = middle
    ratio = low / p_right
    shock = c_right * math.sqrt((gamma + 1) / (2 * gamma) * ratio + drop)
    return low, velocity_behind_rarefaction(low), shock


class PipesOnly(CommandLineCase):
    CELL = 0.005  # m
    END = 1.5e-3  # s

    def test_nothing_gets_lost(self):
        for name in ("pipe-shock.toml", "pipe-blowdown.toml"):
            output = self.json_of("run", CASES / name)
            self.assertLess(abs(output["mass_imbalance"]), 1e-12)
            self.assertLess(abs(output["energy_imbalance"]), 1e-12)
            self.assertGreater(output["steps"], 0)

    def check_shock_tube(self, output):
        """Against the exact solution with gamma = 1.4, which dry air has within 0.1 % from 250 K to
        350 K (NASA polynomials: McBride, Zehe and Gordon, NASA/TP-2002-211556): 0.1 % of the
        plateau's velocity. Tolerances: 0.2 % on the plateau, without
        the twelve cells behind the shock that still feel its start at the junction, two cells on the shock and three on
        the contact, which any shock-capturing scheme smears over as many, and 1 % of the pressure
        step for the mean error in the fan, whose corners are rounded."""
        driver, driven = output["pipes"]
        self.assertEqual(output["time"], self.END)
        p_left, rho_left = driver["pressure"][0], driver["density"][0]
        p_right, rho_right = driven["pressure"][-1], driven["density"][-1]
        self.assertEqual(round(p_left), 300000)
        self.assertEqual(round(p_right), 101325)
        p, u, shock = star_state(p_left, rho_left, p_right, rho_right, 1.4)

        x = driven["x"]
        jump = max(i for i, value in enumerate(driven["pressure"]) if value > (p + p_right) / 2)
        self.assertLess(abs(x[jump] + self.CELL / 2 - shock * self.END), 2 * self.CELL)
        # In front of the contact the gas was compressed by the shock, behind it is cold.
        hot = min(i for i, value in enumerate(driven["temperature"]) if value > 293.15)
        self.assertLess(abs(x[hot] - self.CELL / 2 - u * self.END), 3 * self.CELL)
        plateau = range(4, jump - 12)
        for i in plateau:
            self.assert_close(driven["pressure"][i], p, 0.002)
            self.assert_close(driven["velocity"][i], u, 0.002)
        # Behind the shock: the density ratio of Rankine and Hugoniot (Toro, equation 3.58).
        ratio = p / p_right
        rho = rho_right * (6 * ratio + 1) / (ratio + 6)
        self.assert_close(driven["density"][jump - 12], rho, 0.002)

        c_left = math.sqrt(1.4 * p_left / rho_left)
        error = 0
        for place, pressure in zip(driver["x"], driver["pressure"]):
            velocity = min(max(2 / 2.4 * (c_left + (place - 1) / self.END), 0), u)
            error += abs(pressure - p_left * (1 - 0.2 * velocity / c_left) ** 7) * self.CELL
        self.assertLess(error, 0.01 * (p_left - p_right))

    def test_shock_tube_matches_the_exact_solution(self):
        """With a junction as small as a cell of the pipes, 19.635 cm2 x 5 mm."""
        self.check_shock_tube(self.json_of("run", CASES / "pipe-shock.toml"))

    def test_the_check_of_the_shock_tube_can_fail(self):
        """A junction that lets jets die is a restriction: the plateau is not the exact one."""
        case = self.case_file("plenum.toml",
                              ('law = "momentum"', 'law = "plenum"'),
                              source=CASES / "pipe-shock.toml")
        output = self.json_of("run", case)
        with self.assertRaises(AssertionError):
            self.check_shock_tube(output)

    def test_a_shock_passes_a_probe_at_the_time_and_with_the_state_of_the_exact_solution(self):
        """Tolerances as of the shock tube above; two cells on the arrival."""
        place = 0.5  # m
        case = self.case_file("probe.toml",
                              ("[run]", '[[header.probe]]\npipe = "driven"\ndistance = "500 mm"\n'
                                        'name = "half-way"\n\n[run]'),
                              source=CASES / "pipe-shock.toml")
        output = self.json_of("run", case)
        driver, driven = output["pipes"]
        p, u, shock = star_state(driver["pressure"][0], driver["density"][0],
                                 driven["pressure"][-1], driven["density"][-1], 1.4)
        (probe,) = output["probes"]
        self.assertEqual(set(probe), {"probe", "pressure", "velocity", "temperature", "mass_flow"})
        self.assertEqual(probe["probe"], "half-way")
        time = output["probe_time"]
        for name in set(probe) - {"probe"}:
            self.assertEqual(len(probe[name]), len(time), name)
        self.assertEqual(time[0], 0)
        self.assert_close(time[-1], self.END, 1e-9)
        half = (p + driven["pressure"][-1]) / 2
        arrival = next(t for t, value in zip(time, probe["pressure"]) if value > half)
        self.assertLess(abs(arrival - place / shock), 2 * self.CELL / shock)
        self.assert_close(probe["pressure"][-1], p, 2e-3)
        self.assert_close(probe["velocity"][-1], u, 4e-3)
        for system in ("metric", "inch"):
            text = self.pulsewright("run", case, "--units", system).stdout
            self.assertIn("half-way", text)
            self.assert_narrow(text)
            self.assertNotRegex(text, OTHER_UNITS[system])
            shown = {"metric": (1, "m/s"), "inch": (1 / 0.3048, "ft/s")}[system]
            (highest,) = re.findall(r"(?m)^half-way +\S+ +\S+ +\S+ +(\S+) ", text)
            self.assertLess(abs(float(highest) - max(probe["velocity"]) * shown[0]), 0.051)
            self.assertIn(f" {shown[1]} ", text)
        self.assertNotIn("probes", self.json_of("run", CASES / "pipe-shock.toml"))

    def test_text_shows_the_pressures_of_the_json(self):
        case = CASES / "pipe-shock.toml"
        pressure = self.json_of("run", case)["pipes"][0]["pressure"]
        for system, unit in PRESSURE.items():
            text = self.pulsewright("run", case, "--units", system).stdout
            rows = re.findall(r"(?m)^ *([\d.]+) +([\d.]+) +[-\d.]+ +[-\d.]+ +[\d.]+ +[\d.]+$", text)
            self.assertEqual(len(rows), 80)  # every fifth of 2 x 200 cells
            for i in range(40):
                self.assertLess(abs(float(rows[i][1]) - pressure[5 * i] * unit[0]), 6e-4)


if __name__ == "__main__":
    main()
