"""The verb compare: results file, table and JSON agree, whatever the number of threads.

Over 400 lines because all of it is about the one table that compare makes."""
# test label: long

import csv
import json
import os
import pty
import re
import subprocess

from rig.program import CASES, DONE, FAILED, PROGRAM, SINGLE, CommandLineCase, main
from rig.results import datasets, differing, finished, h5py, np, states, total

HEADERS = ("0.8 m", "1.2 m")
SMALL = (SINGLE, "--headers", ",".join(HEADERS), "--cells", "25 mm", "--speeds", "5000,7000")


class Compare(CommandLineCase):
    made = {}  # by options: what a comparison of SMALL printed, and its file; made when a test first needs it

    def small(self, *options):
        """The outcome of a comparison of SMALL with --json, whose file is then some.h5."""
        path = self.folder / "some.h5"
        if options not in self.made:
            outcome = self.pulsewright("compare", *SMALL, *options, "--json", "-o", path)
            self.assertEqual(outcome.returncode, DONE, outcome.stderr)
            self.made[options] = (outcome.stdout, path.read_bytes())
        printed, content = self.made[options]
        path.write_bytes(content)
        return json.loads(printed)

    def groups(self, file):
        """Name of the header -> group of its run on the production grid."""
        return {file["headers/" + name].attrs["name"]: file["headers/" + name]
                for name in file.attrs["header_groups"] if "/variants/" not in name}

    def test_ranges_of_speeds(self):
        """Each speed once, and rising, whichever entry names it."""
        self.json_of("compare", SINGLE, "--quick", "--headers", "0.8 m", "--cells", "30 mm",
                     "--speeds", "7000,5000 rpm-5800:400,5800", "-o", "range.h5")
        with h5py.File(self.folder / "range.h5") as file:
            speeds = file["speed"][()]
        self.assertEqual(len(speeds), 4)
        for speed, expected in zip(speeds, (5000, 5400, 5800, 7000)):
            self.assert_close(speed, expected, 1e-12)

    def test_file_and_json_hold_the_same_numbers(self):
        output = self.small()
        with h5py.File(self.folder / "some.h5") as file:
            groups = self.groups(file)
            self.assertEqual(tuple(groups), HEADERS)
            self.assertEqual([c["name"] for c in output["headers"]], list(HEADERS))
            self.assertEqual(list(file["speed"]), [5000, 7000])
            for printed in output["headers"]:
                group = groups[printed["name"]]
                self.assertTrue(np.all(group["status"][()] == 1))
                torque = group["torque"][()]
                self.assertEqual(printed["torque"], torque.tolist())
                self.assertEqual(printed["peak_torque"], torque.max())
                self.assertEqual(printed["peak_power"], group["power"][()].max())
                self.assert_close(printed["band"]["torque"], torque.mean(), 1e-12)
                self.assert_close(printed["band"]["overlap_exhaust_pressure"],
                                  group["overlap_exhaust_pressure"][()].mean(), 1e-12)
                self.assertTrue(np.all(torque > 20) and np.all(torque < 60))
                for name in ("mass", "burnt", "energy"):
                    worst = np.abs(group[f"ledger_{name}_imbalance"][()]).max()
                    self.assertLess(worst, 1e-10)
                self.assertEqual(int(group["clipped"][()].sum()), 0)
            difference = groups["1.2 m"]["torque"][()] - groups["0.8 m"]["torque"][()]
            pair, = output["pairs"]
            self.assertEqual((pair["header"], pair["other"]), ("1.2 m", "0.8 m"))
            self.assert_close(pair["torque"]["value"], difference.mean(), 1e-9)
            level = 0.5 * (groups["1.2 m"]["torque"][()] + groups["0.8 m"]["torque"][()])
            for printed, value, torque in zip(pair["speeds"], difference, level):
                self.assert_close(printed["torque"]["value"], value, 1e-9)
                self.assertEqual(printed["verdict"], self.verdict_of(printed["torque"], torque))

    def verdict_of(self, difference, torque):
        """Beyond 0.5 % of the torque: the whole interval, or three quarters of it."""
        floor = 0.005 * torque
        for low, high, word in ((difference["low"], difference["high"], "ahead"),
                                (-difference["high"], -difference["low"], "behind")):
            if low > floor:
                return word
            if high > floor and (high - floor) / (high - low) >= 0.75:
                return "probably " + word
        return "too close to call"

    def test_interval_follows_from_the_variants_in_the_file(self):
        """Value, moved by merge and gas, and widened by the root of the sum of squares of grid, cycles,
        build and speeds. That of the gas is what the difference changes by with cooler gas on the coarse grid; the
        grid's share is what the difference changes by from the coarse grid to the production grid,
        at the speed itself or the one beside it, times 3 / (3 - 1):
        Roache, J. Fluids Eng. 116 (1994) 405, two grids of ratio 3, order 1."""
        output = self.small()
        with h5py.File(self.folder / "some.h5") as file:
            one, other = (self.groups(file)[name] for name in HEADERS)
            fine = other["torque"][()] - one["torque"][()]
            coarse = (other["variants/coarse/torque"][()] - one["variants/coarse/torque"][()])
            cooler, weak, strong = (other[f"variants/{name}/torque"][()] -
                                    one[f"variants/{name}/torque"][()]
                                    for name in ("cooler-gas", "merge-weak", "merge-strong"))
            # Less heat is less torque and cooler gas, whatever the tuning does: 0.86 of 0.92 of it.
            for group in (one, other):
                heat = [group[f"variants/{name}/ledger_energy_source"][()]
                        for name in ("cooler-gas", "coarse")]
                air = [group[f"variants/{name}/charging_efficiency"][()]
                       for name in ("cooler-gas", "coarse")]
                self.assertTrue(np.allclose(heat[0] / air[0] / (heat[1] / air[1]), 0.86 / 0.92,
                                            rtol=2e-3))
                temperature = [group[f"variants/{name}/exhaust_temperature"][()]
                               for name in ("cooler-gas", "coarse")]
                self.assertTrue(np.all(temperature[0] < temperature[1] - 15))
        grid = 1.5 * np.abs(fine - coarse).max()  # each of the two speeds is beside the other one
        for s, printed in enumerate(output["pairs"][0]["speeds"]):
            self.check_interval(printed["torque"], fine[s], grid, cooler[s] - coarse[s],
                                [weak[s] - coarse[s], strong[s] - coarse[s]])
            self.assertEqual(printed["torque"]["parts"]["speeds"], 0)
        change = 0.5 * np.sum(fine - coarse)
        squares = np.sqrt(np.sum(np.square(0.5 * (fine - coarse))))
        self.check_interval(output["pairs"][0]["torque"], fine.mean(),
                            1.5 * max(abs(change), squares), np.mean(cooler - coarse),
                            [np.mean(weak - coarse), np.mean(strong - coarse)])

    def check_interval(self, printed, value, grid, gas, merge):
        parts = printed["parts"]
        self.assertLess(abs(printed["value"] - value), 1e-9)
        self.assertLess(abs(parts["grid"] - grid), 1e-9)
        self.assertLess(abs(parts["gas_temperature"] - gas), 1e-9)
        self.assertLess(abs(parts["merge_low"] - min(0, *merge)), 1e-9)
        self.assertLess(abs(parts["merge_high"] - max(0, *merge)), 1e-9)
        wide = np.sqrt(sum(parts[name] ** 2 for name in ("grid", "cycle", "build", "speeds")))
        self.assertLess(abs(printed["low"] - (value + min(0, *merge) + min(0, gas) - wide)), 1e-9)
        self.assertLess(abs(printed["high"] - (value + max(0, *merge) + max(0, gas) + wide)), 1e-9)
        self.assertTrue(printed["complete"])

    def test_verdicts_do_not_depend_on_the_order_of_the_headers(self):
        """Whichever header comes first in the file or the list: every pair has the same numbers, with
        the signs changed where it is the other way round, and the same words."""
        opposite = {"ahead": "behind", "probably ahead": "probably behind", "behind": "ahead",
                    "probably behind": "probably ahead", "too close to call": "too close to call"}
        study = (SINGLE, "--cells", "50 mm", "--speeds", "5000,7000", "--headers")
        known, rankings = {}, set()
        for order in ("0.8 m,1.2 m,megaphone", "megaphone,0.8 m,1.2 m", "1.2 m,megaphone,0.8 m"):
            output = self.json_of("compare", *study, order, "--overwrite", "-o", "some.h5")
            rankings.add(tuple(output["ranking"]))
            self.assertEqual(len(output["pairs"]), 3)
            for pair in output["pairs"]:
                torque = pair["torque"]
                numbers = (torque["value"], torque["low"], torque["high"], pair["verdict"])
                self.assertIn(pair["verdict"], opposite)
                known.setdefault((pair["header"], pair["other"]), numbers)
                known.setdefault((pair["other"], pair["header"]),
                                 (-torque["value"], -torque["high"], -torque["low"],
                                  opposite[pair["verdict"]]))
                self.assertEqual(numbers[3], known[pair["header"], pair["other"]][3])
                for number, first in zip(numbers[:3], known[pair["header"], pair["other"]]):
                    self.assertLess(abs(number - first), 1e-9)
        self.assertEqual(len(known), 6)
        self.assertEqual(len(rankings), 1)

    def test_another_law_than_that_with_known_constants_gives_no_verdict(self):
        case = CASES / "inline-four.toml"
        for law in ("constant_pressure", "plenum"):
            outcome = self.pulsewright("compare", case, "--headers", "equal-length,4-2-1", "--cells",
                                       "80 mm", "--speeds", "7000", "--merge-model", law,
                                       "--overwrite", "-o", "some.h5")
            self.assertEqual(outcome.returncode, DONE, outcome.stderr)
            self.assertIn("Provisional, no verdict", outcome.stdout)
            self.assertNotRegex(outcome.stdout, "ahead|behind:|too close|Build ")

    def test_a_point_of_compare_is_the_point_of_run(self):
        """Both converge to the same cycle, from different starts: three times the 0.1 % to which a
        cycle repeats."""
        printed = self.small("--quick")["headers"]
        for header in printed:
            point = self.json_of("run", SINGLE, "--header", header["name"], "--speed", "7000",
                                "--cells", "25 mm")
            self.assert_close(header["torque"][1], point["torque"], 3e-3)

    def test_cylinders_that_are_the_same_and_settle_differently_are_named(self):
        """The 180-degree header of the demo at 3750 rpm (regression); by banks the two of each pair
        are the same, and settle alike. The other run of the point on the coarse grid tries nothing."""
        study = (CASES / "hillclimb-v8.toml", "--headers", "180-degree,equal-length", "--speeds",
                 "3750,6000", "--cells", "40 mm", "--quick", "-o", "some.h5")
        crossed, banks = self.json_of("compare", *study)["headers"]
        self.assertEqual(crossed["uneven_rpm"], [3750])
        self.assertEqual(banks["uneven_rpm"], [])
        with h5py.File(self.folder / "some.h5") as file:
            groups = self.groups(file)
            group = groups["180-degree"]
            self.assertEqual(group["same_cylinders"][()].tolist(), [8, 8])
            self.assertEqual(groups["equal-length"]["same_cylinders"][()].tolist(), [2, 2])
            self.assertEqual(group["pattern_firings"][()].tolist(), [4, 1])
            self.assertEqual(groups["equal-length"]["pattern_firings"][()].tolist(), [1, 1])
            self.assertIn(group["second_pattern"][0], (1, 2))
            self.assertEqual(group["second_pattern"][1], 0)
            self.assertEqual(group["variants/coarse/second_pattern"][()].tolist(), [0, 0])
            filling = group["cylinder_charging_efficiency"][0]
            spread = filling.max() - filling.min()
            self.assertGreater(spread, 0.05)
            self.assert_close(group["pattern_spread"][0], spread, 1e-12)
        text = " ".join(self.pulsewright("compare", *study, "--resume").stdout.split())
        self.assertIn("180-degree: at 3750 rpm cylinders that are the same by symmetry settle "
                      f"differently, charging efficiency by {100 * spread:.1f} %, in a pattern that "
                      "repeats every 4 of their firings; started alike they", text)
        self.assertNotIn("at 6000 rpm cylinders", text)
        alone = self.pulsewright("run", study[0], "--header", "180-degree", "--speed", "3750",
                                 "--cells", "40 mm").stdout
        self.assertIn("! cylinders that are the same by symmetry settle differently", alone)

    def test_number_of_threads_does_not_change_a_bit(self):
        for jobs in ("1", "2", "3"):
            outcome = self.pulsewright("compare", *SMALL, "--jobs", jobs, "-o", jobs + ".h5")
            self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        one = datasets(self.folder / "1.h5")
        self.assertGreater(len(one), 100)
        for jobs in ("2", "3"):
            self.assertEqual(differing(one, datasets(self.folder / (jobs + ".h5"))), [])

    def test_quick_has_the_coarse_variant_only(self):
        every = {"coarse", "merge-weak", "merge-strong", "longer", "cooler-gas"}
        for options, variants in ((("--quick",), {"coarse"}), ((), every)):
            outcome = self.pulsewright("compare", *SMALL, *options, "--overwrite", "-o", "some.h5")
            self.assertEqual(outcome.returncode, DONE, outcome.stderr)
            with h5py.File(self.folder / "some.h5") as file:
                for group in self.groups(file).values():
                    self.assertEqual(set(group["variants"]), variants)
                    self.assertEqual(group["variants/coarse"].attrs["requested_cell_size"],
                                     3 * group.attrs["requested_cell_size"])
                names = list(file.attrs["header_groups"])
                self.assertEqual(len(names), 2 * (1 + len(variants)))
                settings = json.loads(file.attrs["settings"])
                self.assertEqual(settings["quick"], bool(options))
            text = " ".join(outcome.stdout.split())
            self.assertEqual("Provisional, no verdict" in text, bool(options))
            self.assertEqual("--resume without --quick adds them" in text, bool(options))
            if options:
                self.assertNotRegex(text, r"ahead|behind|too close|Build |\d\*")

    def test_resume_without_quick_adds_what_a_quick_file_lacks(self):
        """Bit for bit what a full comparison from the beginning has, and nothing is computed twice."""
        for name, options in (("full.h5", ()), ("quick.h5", ("--quick",))):
            outcome = self.pulsewright("compare", *SMALL, *options, "-o", name)
            self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        quick = datasets(self.folder / "quick.h5")
        with h5py.File(self.folder / "quick.h5") as file:
            seconds = [group["wall_seconds"][()] for group in self.groups(file).values()]
        outcome = self.pulsewright("compare", *SMALL, "--resume", "-o", "quick.h5")
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        full = datasets(self.folder / "full.h5")
        self.assertEqual(differing(full, datasets(self.folder / "quick.h5")), [])
        self.assertGreater(len(full), len(quick))
        with h5py.File(self.folder / "quick.h5") as file:
            for before, group in zip(seconds, self.groups(file).values()):
                self.assertTrue(np.array_equal(before, group["wall_seconds"][()]))

    def test_resume_adds_speeds(self):
        one = (*SMALL[:-1], "5000,6000")
        self.pulsewright("compare", *one, "--quick", "-o", "some.h5")
        both = self.json_of("compare", *SMALL, "--quick", "--resume", "-o", "some.h5")
        self.assertEqual(both["speed_rpm"], [5000, 6000, 7000])
        self.pulsewright("compare", *SMALL[:-1], "5000,6000,7000", "--quick", "-o", "all.h5")
        self.assertEqual(differing(datasets(self.folder / "all.h5"),
                                   datasets(self.folder / "some.h5")), [])

    def test_speeds_are_added_where_the_difference_bends(self):
        study = ("compare", SINGLE, "--headers", "1.2 m,megaphone", "--cells", "40 mm", "-o", "some.h5",
                 "--speeds", "3000-6000:1000", "--band", "3000-6000")
        plain = self.json_of(*study)
        self.assertEqual([round(speed) for speed in plain["speed_rpm"]],
                         [3000, 4000, 5000, 6000])
        more = self.json_of(*study, "--resume", "--add-speeds", "2")
        added = sorted(set(more["speed_rpm"]) - set(plain["speed_rpm"]))
        self.assertEqual(len(added), 2)
        for speed in added:
            self.assertTrue(3000 < speed < 6000)
        self.assertLess(more["pairs"][0]["torque"]["parts"]["speeds"],
                        plain["pairs"][0]["torque"]["parts"]["speeds"])
        # The integral over speeds at unequal distances: the trapezoidal rule of numpy.
        torque = [np.array(header["torque"]) for header in more["headers"]]
        mean = np.trapz(torque[1] - torque[0], more["speed_rpm"]) / 3000
        self.assert_close(more["pairs"][0]["torque"]["value"], mean, 1e-9)
        # As often as it is asked, the same speeds.
        again = self.json_of(*study, "--resume", "--add-speeds", "2")
        self.assertEqual(again["speed_rpm"], more["speed_rpm"])

    def split_case(self):
        """An equal-length header; the same engine's "180-degree" header with the same group, which is
        the same network under another kind, with longer tubes; the 4-2-1 header."""
        source = (CASES / "inline-four.toml").read_text(encoding="utf-8")
        at = source.index("# 1 and 4")
        design = source[source.index("[[header]]"):at]
        other = design.replace('"equal-length"', '"relabelled"', 1).replace(
            '"equal-length"', '"180-degree"\ngroups = [[1, 2, 3, 4]]').replace('"800 mm"', '"950 mm"')
        case = self.folder / "split.toml"
        case.write_text(source[:at] + other + source[at:], encoding="utf-8")
        return case

    def splits(self, output):
        """Name of the header -> its pair against the best one, as a difference from that."""
        best = output["ranking"][0]
        return {pair["header"] if pair["other"] == best else pair["other"]: pair
                for pair in output["pairs"] if best in (pair["header"], pair["other"])}

    def check_sums(self, pair):
        split = pair["split"]
        self.assertEqual(set(split["shares"]), {"length", "kind"})
        total = split["rest"] + sum(one["torque"] for one in split["shares"].values())
        self.assertLess(abs(total - pair["torque"]["value"]), 1e-9)
        for one in split["shares"].values():
            self.assertTrue(one["low"] <= one["torque"] <= one["high"])

    def test_a_difference_is_split_between_length_and_kind(self):
        study = ("compare", self.split_case(), "--cells", "80 mm", "--speeds", "5000-7000:1000", "-o",
                 "some.h5")
        output = self.json_of(*study, "--csv", "table.csv")
        with h5py.File(self.folder / "some.h5") as file:
            names = [file["header"].asstr()[i] for i in range(3)]
            mixed = [name for name in file.attrs["header_groups"] if "-of-" in name]
            for name in mixed:
                self.assertEqual(file["headers/" + name].attrs["name"], name.split("/")[0])
        self.assertEqual(names, ["equal-length", "relabelled", "4-2-1"])
        # Two designs between the best header and each of the two others.
        self.assertEqual(len(mixed), 4)
        for pair in self.splits(output).values():
            self.check_sums(pair)
        # The table has the shares at each speed; those of one header add up to its coarse difference.
        with open(self.folder / "table.csv", newline="", encoding="utf-8") as file:
            rows = list(csv.DictReader(file))
        columns = [key for key in rows[0] if key.startswith("of the torque less that of")]
        self.assertEqual(len(columns), 2)
        for header, pair in self.splits(output).items():
            own = {float(row["speed, rpm"]): row for row in rows if row["header"] == header}
            sign = 1 if pair["header"] == header else -1
            self.assertGreaterEqual(len(pair["split"]["speeds"]), 3)
            for at in pair["split"]["speeds"]:
                row = own[round(at["speed_rpm"])]
                for column, part in zip(columns, ("length", "kind")):
                    self.assertLess(abs(float(row[column]) - sign * at[part]), 0.00501)
        # The page and the table say it in words.
        text = " ".join(self.pulsewright(*study, "--resume").stdout.split())
        self.assertRegex(text, r"Where it comes from, in N m: of the [\d.]+ to .* length -?[\d.]+ and "
                               r"kind -?[\d.]+")
        self.assertRegex(text, r"of that length [-+][\d.]+ \([-+][\d.]+ to [-+][\d.]+\), kind")

    def test_a_plain_study_is_split_when_it_is_resumed(self):
        """Two headers that are one network but for the length of their tubes, whatever their kinds are
        called: all belongs to the length. Cycles repeat within 0.1 %, so the kind has as much."""
        study = ("compare", self.split_case(), "--headers", "equal-length,relabelled", "--cells", "80 mm",
                 "--speeds", "5000", "-o", "some.h5")
        plain = self.json_of(*study, "--no-split")
        pair, = plain["pairs"]
        self.assertEqual(pair["split"], {"obstacle": "the runs that split it were not made"})
        runs = finished(self.folder / "some.h5")
        output = self.json_of(*study, "--resume")
        self.assertEqual(output["ranking"], plain["ranking"])
        self.assertGreater(finished(self.folder / "some.h5"), runs)
        pair, = output["pairs"]
        self.check_sums(pair)
        level = max(header["peak_torque"] for header in output["headers"])
        self.assertLess(abs(pair["split"]["shares"]["kind"]["torque"]), 0.001 * level)
        self.assertGreater(abs(pair["split"]["shares"]["length"]["torque"]), 0.004 * level)
        # Once more: nothing is left to do, and a fresh run has the same bits.
        again = self.json_of(*study, "--resume")
        self.assertEqual(again["pairs"], output["pairs"])
        self.pulsewright(*study[:-1], "fresh.h5")
        self.assertEqual(differing(datasets(self.folder / "fresh.h5"),
                                   datasets(self.folder / "some.h5")), [])

    def test_a_quick_study_and_a_network_are_not_split(self):
        output = self.json_of("compare", self.split_case(), "--quick", "--cells", "80 mm", "--speeds",
                              "5000,6000", "-o", "some.h5")
        for pair in self.splits(output).values():
            self.assertEqual(set(pair["split"]), {"obstacle"})
        output = self.json_of("compare", SINGLE, "--headers", "0.8 m,megaphone", "--cells", "50 mm",
                              "--speeds", "5000,6000", "-o", "other.h5")
        pair, = output["pairs"]
        self.assertEqual(pair["split"], {"obstacle": "megaphone is an explicit network"})

    def test_the_band_is_chosen(self):
        output = self.json_of("compare", *SMALL, "--quick", "--band", "6000-7000", "-o", "some.h5")
        self.assertEqual(output["band_rpm"], [6000, 7000])
        low, high = (np.array(header["torque"]) for header in output["headers"])
        # Torque is linear between the two speeds that were run.
        self.assert_close(output["pairs"][0]["torque"]["value"],
                          0.25 * (high - low)[0] + 0.75 * (high - low)[1], 1e-9)
        # A band that no two speeds reach is the one that does.
        outcome = self.pulsewright("compare", *SMALL, "--quick", "--band", "4000-5000", "-o", "one.h5")
        self.assertIn("; judged at 5000 rpm\n", outcome.stdout)
        self.assertIn("mean torque at 5000 rpm", outcome.stdout)
        for band, says in (("7000-6000", "must be above the first"), ("6000", "4500-7000"),
                           ("1000-2000", "none of the speeds"), ("x-7000", "--band")):
            outcome = self.pulsewright("compare", *SMALL, "--band", band, "-o", "other.h5")
            self.assert_refused(outcome, says)

    def test_a_spreadsheet_reads_the_table(self):
        """Python's csv module reads what RFC 4180 describes."""
        outcome = self.pulsewright("compare", SINGLE, "--quick", "--cells", "30 mm", "--speeds",
                                   "5000,7000", "-o", "some.h5", "--csv", "table.csv", "--json")
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        output = json.loads(outcome.stdout)
        with open(self.folder / "table.csv", newline="", encoding="utf-8") as file:
            rows = list(csv.DictReader(file))
        self.assertEqual(len(rows), 2 * len(output["headers"]))
        for i, row in enumerate(rows):
            header = output["headers"][i // 2]
            self.assertEqual(row["header"], header["name"])
            self.assertEqual(float(row["speed, rpm"]), output["speed_rpm"][i % 2])
            self.assertEqual(row["counts"], "yes")
            self.assertLess(abs(float(row["torque, N m"]) - header["torque"][i % 2]), 0.00501)
            self.assertGreater(float(row["exhaust temperature at the port, degC"]), 500)
        for place in ("some.h5", str(SINGLE), ""):
            outcome = self.pulsewright("compare", SINGLE, "-o", "some.h5", "--csv", place, "--resume")
            self.assert_refused(outcome, "--csv")

    def test_file_says_where_it_comes_from(self):
        self.pulsewright("compare", *SMALL, "--quick", "-o", "some.h5")
        version = self.pulsewright("--version").stdout
        with h5py.File(self.folder / "some.h5") as file:
            self.assertEqual(file.attrs["case_text"], SINGLE.read_text(encoding="utf-8"))
            self.assertEqual(file.attrs["case_file"], str(SINGLE))
            self.assertEqual(version, f"pulsewright {file.attrs['program_version']} "
                                      f"({file.attrs['commit']})\n")

    def test_table_shows_the_numbers_and_the_cautions(self):
        output = self.small()
        torque = [header["torque"] for header in output["headers"]]
        for units, factor, name in (("metric", 1.0, "N m"), ("inch", 1 / 1.355818, "lb ft")):
            # Everything is in the file already: nothing is computed again.
            outcome = self.pulsewright("compare", *SMALL, "--resume", "-o", "some.h5", "--units",
                                       units)
            self.assertEqual(outcome.returncode, DONE, outcome.stderr)
            text = outcome.stdout
            self.assertIn(f"Torque in {name} and the difference to 0.8 m", text)
            for i, rpm in enumerate((5000, 7000)):
                row = re.search(rf"(?m)^{rpm} +([\d.]+) +([-+][\d.]+)([* ]?) *$", text)
                self.assertIsNotNone(row, text)
                self.assertLess(abs(float(row[1]) - factor * torque[0][i]), 0.0501)
                difference = factor * (torque[1][i] - torque[0][i])
                self.assertLess(abs(float(row[2]) - difference), 0.0501)
                verdict = output["pairs"][0]["speeds"][i]["verdict"]
                self.assertEqual(row[3] == "*", verdict in ("ahead", "behind"))
            words = " ".join(text.split())
            for caution in ("A prediction, not a guarantee", "carbon monoxide", "welding fumes",
                            "noise and emission law differ by place",
                            "speed limits are the engine builder's"):
                self.assertIn(caution, words)
            self.assertNotRegex(text, r"(?m)^!")
            self.assertIn("Results are in some.h5", outcome.stderr)

    def test_two_orders_of_the_tubes_round_a_collector_are_two_headers(self):
        """Turned and mirrored orders are the same merge; 1-2-3-4 for 1-3-4-2 exchanges neighbours."""
        source = CASES / "inline-four.toml"
        text = source.read_text(encoding="utf-8")
        start, end = text.index("[[header]]"), text.index("[run]")
        design = text[start:text.index("[[header]]", start + 1)].split("# 1 and 4")[0]
        headers = ""
        for name, order in (("default", None), ("turned", [4, 2, 1, 3]), ("mirrored", [2, 4, 3, 1]),
                            ("exchanged", [1, 2, 3, 4])):
            lines = f'name = "{name}"' + (f"\ncollector_order = [{order}]" if order else "")
            headers += design.replace('name = "equal-length"', lines)
        case = self.folder / "orders.toml"
        case.write_text(text[:start] + headers + text[end:], encoding="utf-8")
        study = ("compare", case, "--cells", "60 mm", "--speeds", "5000,7000")
        quick = self.json_of(*study, "--quick", "--headers", "default,turned,mirrored", "-o", "same.h5")
        output = self.json_of(*study, "--headers", "default,exchanged", "-o", "orders.h5")
        torque = {header["name"]: header["torque"] for header in quick["headers"] + output["headers"]}
        self.assertEqual(torque["turned"], torque["default"])
        for other, first in zip(torque["mirrored"], torque["default"]):
            self.assert_close(other, first, 1e-4)  # cycles repeat within 0.1 % only
        change = [a - b for a, b in zip(torque["exchanged"], torque["default"])]
        self.assertGreater(max(map(abs, change)), 0.05)
        pair, = output["pairs"]
        self.assertEqual((pair["header"], pair["other"]), ("exchanged", "default"))
        self.assertTrue(min(change) <= pair["torque"]["value"] <= max(change))
        self.assertGreater(pair["torque"]["high"], pair["torque"]["low"])

    def test_quiet_leaves_stderr_empty_and_progress_needs_a_terminal(self):
        loud = self.pulsewright("compare", *SMALL, "--quick", "-o", "some.h5")
        self.assertNotIn("\r", loud.stderr)
        quiet = self.pulsewright("compare", *SMALL, "--quick", "--quiet", "-o", "other.h5")
        self.assertEqual((quiet.returncode, quiet.stderr), (DONE, ""))
        self.assertEqual(quiet.stdout, loud.stdout)

    def test_progress_tells_points_and_time_left_on_a_terminal(self):
        ours, theirs = pty.openpty()
        process = subprocess.Popen([PROGRAM, "compare", *map(str, SMALL), "--quick"],
                                   stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                                   stderr=theirs, cwd=self.folder)
        os.close(theirs)
        shown = b""
        try:
            while part := os.read(ours, 4096):
                shown += part
        except OSError:  # the last one at the other end has gone
            pass
        os.close(ours)
        out, _ = process.communicate(timeout=60)
        self.assertEqual(process.returncode, DONE)
        for done in range(5):
            self.assertIn(f"\r{done} of 4 points done", shown.decode())
        self.assertRegex(shown.decode(), r"3 of 4 points done, \d+:\d\d left")
        self.assertIn(b"Torque decides", out)

    def test_points_that_do_not_repeat_are_marked_and_fail_the_run(self):
        case = self.case_file("short.toml", ("[run]\n", "[run]\nleast_cycles = 2\nmost_cycles = 3\n"))
        command = ("compare", case, "--quick", *SMALL[1:], "-o", "some.h5")
        outcome = self.pulsewright(*command)
        self.assertEqual(outcome.returncode, FAILED)
        path = self.folder / "some.h5"
        self.assertEqual(finished(path), total(path))
        by_group = states(path)
        with h5py.File(path) as file:
            for header, group in self.groups(file).items():
                loose = int(np.count_nonzero(by_group[group.name.split("/", 2)[2]] == 2))
                printed = re.search(rf"(?m)^! {re.escape(header)}: does not repeat from cycle to cycle "
                                    r"and is left out of all that follows at (.*) rpm$", outcome.stdout)
                speeds = re.findall(r"\d+", printed[1]) if printed else []
                self.assertEqual(len(speeds), loose)
        output = self.pulsewright(*command, "--resume", "--json")
        self.assertEqual(output.returncode, FAILED)
        loose = [c["points_not_converged"] for c in json.loads(output.stdout)["headers"]]
        self.assertGreater(sum(loose), 0)


if __name__ == "__main__":
    main()
