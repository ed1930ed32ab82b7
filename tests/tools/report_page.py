"""The verb report: the page has the contents of the results file, texts stay texts, and
no other file is lost; and compare --interference, whose runs the page shows."""

# test label: long
# test needs: page
import base64
import html
import json
import re
import signal
import unittest
import zlib

from rig.program import CASES, DONE, FAILED, SINGLE, WRONG_INPUT, CommandLineCase, main
from rig.results import Watch, h5py, np

FOUR = CASES / "inline-four.toml"
SMALL = (FOUR, "--quick", "--cells", "30 mm", "--speeds", "4000,6000")
FLOAT = 2.0 ** -24  # half a unit in the last place of single precision, relative
HOSTILE = '</script><script>alert(1)</script><!-- <img src=x onerror=alert(2)> &amp; "quoted"'


def data_of(page):
    """The JSON block of a page, and the page without it."""
    text = page.read_text(encoding="utf-8")
    start = text.index('<script type="application/json" id="results">')
    start = text.index(">", start) + 1
    end = text.index("</script>", start)
    return json.loads(text[start:end]), text[start:end], text[:start] + text[end:]


def unpacked(text, step):
    """What page/src/series.js does, written again from the words of packed_series.hpp."""
    values, number, shift, last = [], 0, 0, 0
    for byte in zlib.decompress(base64.b64decode(text, validate=True)):
        number |= (byte & 0x7F) << shift
        shift += 7
        if byte < 0x80:
            last += (number >> 1) ^ -(number & 1)
            values.append(last)
            number, shift = 0, 0
    return np.array(values) * step


class Report(CommandLineCase):
    def assert_same(self, shown, stored, what):
        """Equal to single precision; null for NaN."""
        shown = np.array([np.nan if v is None else v for v in np.ravel(np.array(shown, object))],
                         float)
        stored = np.ravel(np.asarray(stored, float))
        self.assertEqual(shown.shape, stored.shape, what)
        self.assertEqual(list(np.isnan(shown)), list(np.isnan(stored)), what)
        worst = np.nan_to_num(np.abs(shown - stored) - FLOAT * np.abs(stored))
        self.assertLessEqual(float(np.max(worst, initial=0)), 0, what)

    def assert_within_step(self, text, step, stored, what):
        """Half a step, and what single precision adds to it."""
        shown = unpacked(text, step)
        stored = np.ravel(np.asarray(stored, float))
        self.assertEqual(shown.shape, stored.shape, what)
        allowed = 0.5 * step * (1 + 1e-9) + FLOAT * np.abs(stored)
        self.assertTrue(np.all(np.abs(shown - stored) <= allowed), what)

    def compared(self, *options):
        outcome = self.pulsewright("compare", *SMALL, *options, "-o", "some.h5", "--report",
                                   "page.html")
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        self.assertIn("The report is in page.html", outcome.stderr)
        return data_of(self.folder / "page.html")[0]

    def test_points_in_which_equal_cylinders_settle_differently(self):
        """Named in the data of the page in both systems of units, and nowhere else."""
        outcome = self.pulsewright("compare", CASES / "hillclimb-v8.toml", "--headers", "180-degree",
                                   "--speeds", "3750,6000", "--cells", "40 mm", "--quick", "-o",
                                   "some.h5", "--report", "some.html")
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        header, = data_of(self.folder / "some.html")[0]["headers"]
        uneven, even = header["points"]
        self.assertIn("the same by symmetry settle differently", uneven["uneven"]["metric"])
        self.assertIn(" N m for ", uneven["uneven"]["metric"])
        self.assertIn(" lb ft for ", uneven["uneven"]["inch"])
        self.assertNotIn("uneven", even)

    def test_page_holds_the_numbers_of_the_file(self):
        data = self.compared("--interference")
        self.assertEqual(data["speeds"], [4000, 6000])
        with h5py.File(self.folder / "some.h5") as file:
            names = [n for n in file.attrs["header_groups"] if "/variants/" not in n]
            self.assertEqual([c["group"] for c in data["headers"]], names)
            self.assertEqual(data["case_text"], file.attrs["case_text"])
            self.assertEqual(data["date"], file.attrs["date"])
            diagrams = 0
            for header in data["headers"]:
                group = file["headers/" + header["group"]]
                with self.subTest(header=header["name"]):
                    self.check_figures(header, group)
                    diagrams += self.check_traces(header, group, data)
                    self.check_interference(header, group)
            self.assertGreater(diagrams, 0)

    def check_figures(self, header, group):
        for name, curve in header["curves"].items():
            self.assert_same(curve["value"], group[name][()], name)
            # With --quick: grid and cycles, the latter where the file knows them. Of two speeds beside
            # each other the larger error of the grid counts.
            grid = 1.5 * np.abs(group[name][()] - group["variants/coarse/" + name][()]).max()
            noise = {"torque": group["cycle_noise_torque"][()],
                     "power": 2 * np.pi * group["rotation_rate"][()]
                     * group["cycle_noise_torque"][()],
                     "overlap_exhaust_pressure": group["cycle_noise_overlap"][()]}.get(name, 0)
            width = np.hypot(grid, noise)
            for edge, sign in (("low", -1), ("high", 1)):
                self.assertTrue(np.allclose(curve[edge], group[name][()] + sign * width,
                                            rtol=1e-7, atol=1e-9), name)
        for s, point in enumerate(header["points"]):
            self.assertEqual(point["status"], "converged")
            for name, values in point["cylinders"].items():
                self.assert_same(values, group["cylinder_" + name][s], name)
            for line, columns in point["ledger"].items():
                for column, value in columns.items():
                    self.assert_same(value, group[f"ledger_{line}_{column}"][s], line + column)
            for m, merge in enumerate(point["merges"]):
                pulses = len(merge["cylinders"])
                self.assertEqual(merge["cylinders"],
                                 group["merge_cylinder"][s, m, :pulses].tolist())
                for name, key in (("arrival", "arrival_deg"), ("gap", "gap_deg"),
                                  ("added_length", "added_length_m")):
                    self.assert_same(merge[key], group["merge_" + name][s, m, :pulses], name)
                for name, key in (("evenness", "evenness"), ("wave_speed", "wave_speed"),
                                  ("degrees_per_metre", "degrees_per_metre"),
                                  ("length_to_even", "length_to_even_m")):
                    self.assert_same(merge[key], group["merge_" + name][s, m], name)

    def check_traces(self, header, group, data):
        """Returns the number of wave diagrams."""
        kinds = ("exhaust_pressure", "exhaust_outgoing", "exhaust_returning", "intake_pressure",
                 "cylinder_pressure")
        self.assertLessEqual(data["step"]["port"], 10)
        self.assertLessEqual(data["step"]["cylinder"], 1000)
        self.assertLessEqual(data["step"]["diagram"], 100)
        for s, point in enumerate(header["points"]):
            self.assertEqual(set(point["traces"]), set(kinds))
            for name in kinds:
                step = data["step"]["cylinder" if name == "cylinder_pressure" else "port"]
                self.assert_within_step(point["traces"][name], step, group["trace_" + name][s],
                                        name)
        stored = [s for s, point in enumerate(header["points"]) if "wave" in point]
        if "diagram_speed" not in group:
            self.assertEqual(stored, [])
            return 0
        self.assertEqual([data["speeds"][s] for s in stored], group["diagram_speed"][()].tolist())
        for d, s in enumerate(stored):
            self.assert_within_step(header["points"][s]["wave"]["pressure"],
                                    data["step"]["diagram"], group["diagram_pressure"][d], "wave")
        self.assert_same(header["diagram"]["distance"], group["distance"][()], "distance")
        return len(stored)

    def check_interference(self, header, group):
        whole = group["variants/coarse/cylinder_overlap_exhaust_pressure"][()]
        numbers = group["cylinder"][()]
        self.assertEqual(set(group["variants"]), {"coarse"} | {f"absorbed-{n}" for n in numbers})
        for i, number in enumerate(numbers):
            without = group[f"variants/absorbed-{number}"]
            self.assertTrue(np.all(without["status"][()] == 1))
            self.assertLess(np.abs(without["ledger_mass_imbalance"][()]).max(), 1e-10)
            change = whole - without["cylinder_overlap_exhaust_pressure"][()]
            for s, point in enumerate(header["interference"]):
                self.assert_same([row[i] for row in point["change"]], change[s], "change")
        for s, point in enumerate(header["interference"]):
            seconds = sum(group[f"variants/absorbed-{n}/wall_seconds"][s] for n in numbers)
            self.assertLessEqual(abs(point["seconds"] - seconds), 1e-6 * seconds)
        # Pulses act on their neighbours, by more than a cycle scatters.
        own = np.eye(len(numbers), dtype=bool)
        change = np.array([point["change"] for point in header["interference"]])
        self.assertGreater(np.abs(change[:, ~own]).max(), 1000)

    def test_verdicts_are_those_of_the_table(self):
        data = self.compared()
        output = self.json_of("compare", *SMALL, "--resume", "-o", "some.h5")
        names = [header["name"] for header in data["headers"]]
        self.assertEqual([names[i] for i in data["ranking"]], output["ranking"])
        self.assertGreater(len(output["pairs"]), 0)
        for pair, expected in zip(data["pairs"], output["pairs"], strict=True):
            self.assertEqual((names[pair["header"]], names[pair["other"]]),
                             (expected["header"], expected["other"]))
            for key in ("torque", "overlap_exhaust_pressure"):
                for edge in ("value", "low", "high"):
                    self.assert_same(pair[key][edge], expected[key][edge], key)
            self.assertEqual(pair["verdict"], "no verdict")  # of --quick
            self.assertEqual(expected["verdict"], "no verdict")
            self.assertEqual([d["speed_rpm"] for d in pair["speeds"]], data["speeds"])
        words = data["words"]["metric"]
        self.assertIn(names[data["ranking"][0]], words["summary"][0])
        self.assertEqual({(w["header"], w["other"]) for w in words["pairs"]}, {(0, 1), (1, 0)})
        self.assertIn("lb ft", " ".join(data["words"]["inch"]["summary"]))
        self.assertNotIn("interference", data["headers"][0])

    def test_drawing_has_the_whole_network(self):
        """Pipes, ends and parts of the shipped cases; lengths are those of the case files."""
        data = self.compared()
        self.assertEqual(data["notes"], "")
        drawing = data["headers"][1]["drawing"]
        self.assertEqual(data["headers"][1]["name"], "4-2-1")
        kinds = [node["kind"] for node in drawing["nodes"]]
        self.assertEqual([kinds.count(k) for k in ("cylinder", "junction", "open")], [4, 3, 1])
        for pipe in drawing["pipes"]:
            self.assertTrue(pipe["from"] >= 0 and pipe["to"] >= 0, pipe["name"])
        parts = [(part["name"], round(1000 * (part["to"] - part["from"])), part["tube"])
                 for pipe in drawing["pipes"] for part in pipe["parts"]]
        self.assertEqual(len(parts), 8)
        self.assertIn(("primary 3", 400, "42.4 mm OD, 1.5 mm wall"), parts)
        self.assertIn(("secondary 1+4", 450, "48.3 mm OD, 1.5 mm wall"), parts)
        self.assertEqual([part[1:] for part in parts if part[0].startswith(("collector", "tail"))],
                         [(400, "60.3 mm OD, 1.5 mm wall"), (500, "60.3 mm OD, 1.5 mm wall")])
        ports = {pipe["name"]: pipe["port"] for pipe in drawing["pipes"]}
        self.assertEqual((ports["primary 1"], ports["secondary 1+4"]), (0.08, 0))

    def test_drawing_of_a_divided_collector_shows_its_wall(self):
        outcome = self.pulsewright("compare", CASES / "hillclimb-v8.toml", "--headers",
                                   "divided-collector", "--speeds", "6000", "--cells", "60 mm",
                                   "--quick", "-o", "some.h5", "--report", "some.html")
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        data = data_of(self.folder / "some.html")[0]
        self.assertIn("Cross-plane crank", data["notes"])
        drawing = data["headers"][0]["drawing"]
        face = drawing["faces"][0]
        clock = {tube["label"]: tube["clock"] for tube in face["tubes"]}
        self.assertEqual(sorted(clock.values()), [45, 135, 225, 315])
        # The wall runs straight through, between the halves, whose tubes are neighbours.
        first, second = sorted(face["walls"])
        self.assertEqual(second - first, 180)
        halves = [set(pipe["name"].split()[-1].split("+")) for pipe in drawing["pipes"]
                  if pipe["name"].startswith("half " + face["name"].split()[-1])]
        self.assertEqual(len(halves), 2)
        for half in halves:
            self.assertEqual(len({(clock[n] - first) % 360 < 180 for n in half}), 1, half)
        # The divider is 8 in of the collector's 16 in.
        lengths = {part["name"]: round(part["to"] - part["from"], 6) for pipe in drawing["pipes"]
                   for part in pipe["parts"]}
        self.assertEqual(lengths["collector left"], 0.2032)
        self.assertEqual({v for k, v in lengths.items() if k.startswith("collector half")}, {0.2032})
        self.assertEqual(lengths["tail left"], 0.508)

    def test_hostile_texts_stay_texts(self):
        case = self.case_file("bad.toml",
                              ('title = "Single cylinder, 0.5 litre (invented)"',
                               "title = " + json.dumps(HOSTILE)))
        outcome = self.pulsewright("compare", case, "--quick", "--cells", "30 mm", "--speeds",
                                   "7000", "--headers", "0.8 m", "--report", "page.html")
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        data, block, rest = data_of(self.folder / "page.html")
        self.assertEqual(data["title"], HOSTILE)
        self.assertNotIn("<", block)
        self.assertNotIn("<img", rest)
        self.assertEqual(len(re.findall("<script", rest)), 2)
        self.assertEqual(html.unescape(re.search(r"<title>(.*?)</title>", rest, re.DOTALL)[1]),
                         HOSTILE)
        policy = re.search(r'Content-Security-Policy" content="([^"]*)"', rest)[1]
        self.assertIn("default-src 'none'", policy)
        self.assertNotRegex(policy, "https?:|\\*")

    def test_report_is_made_again_but_replaces_nothing_else(self):
        self.compared()
        page = self.folder / "page.html"
        first = page.read_bytes()
        outcome = self.pulsewright("report", "some.h5", "-o", "page.html")
        self.assertEqual((outcome.returncode, outcome.stderr), (DONE, ""))
        self.assertIn("page.html", outcome.stdout)
        self.assertEqual(page.read_bytes(), first)
        self.pulsewright("report", "some.h5", "-o", "inch.html", "--units", "inch")
        metric, inch = (data_of(self.folder / name)[0] for name in ("page.html", "inch.html"))
        self.assertEqual((metric.pop("first_units"), inch.pop("first_units")), ("metric", "inch"))
        self.assertEqual(metric, inch)
        printed = self.json_of("report", "some.h5", "-o", "page.html")
        self.assertEqual(printed, {"report": "page.html", "bytes": len(first), "damages": []})
        results = (self.folder / "some.h5").read_bytes()
        letter = self.folder / "letter.html"
        letter.write_text("<!doctype html>\n<html lang=\"en\">\n<p>Dear customer", encoding="utf-8")
        kept = letter.read_bytes()
        for verb in (("report", "some.h5", "-o"),
                     ("compare", *SMALL, "--overwrite", "-o", "other.h5", "--report")):
            for name in ("letter.html", "some.h5", "."):
                self.assert_refused(self.pulsewright(*verb, name), name, "is no page")
            self.assert_refused(self.pulsewright(*verb, "missing/page.html"), "there is no folder")
        self.assertEqual(letter.read_bytes(), kept)
        self.assertEqual((self.folder / "some.h5").read_bytes(), results)
        self.assertFalse((self.folder / "other.h5").exists())
        self.assertEqual([p.name for p in self.folder.glob("*.new-*")], [])

    def test_what_is_no_results_file_is_refused(self):
        self.assert_refused(self.pulsewright("report", "none.h5"), "none.h5", "pulsewright compare")
        (self.folder / "text.h5").write_text("no results\n", encoding="utf-8")
        (self.folder / "empty.h5").touch()
        with h5py.File(self.folder / "other.h5", "w") as other:
            other["torque"] = [1.0, 2.0]
        for name in ("text.h5", "empty.h5", "other.h5", SINGLE, self.folder):
            with self.subTest(name=name):
                self.assert_refused(self.pulsewright("report", name), str(name), "no results file")
        outcome = self.pulsewright("report")
        self.assertEqual(outcome.returncode, WRONG_INPUT)
        self.assertEqual(list(self.folder.glob("*.html")), [])

    def test_results_without_all_points_make_a_page(self):
        run = self.start("compare", SINGLE, "--quick", "--cells", "10 mm", "--jobs", "1", "-o",
                         "part.h5")
        watch = Watch(self.folder / "part.h5")
        while watch.finished() < 2:
            self.assertIsNone(run.poll())
        run.send_signal(signal.SIGINT)
        run.communicate(timeout=60)
        self.assertEqual(self.pulsewright("report", "part.h5").returncode, DONE)
        data, _, _ = data_of(self.folder / "report.html")
        with h5py.File(self.folder / "part.h5") as file:
            for header in data["headers"]:
                states = file["headers/" + header["group"]]["status"][()]
                self.assertEqual([p["status"] for p in header["points"]],
                                 [("missing", "converged")[state] for state in states])
                for name, curve in header["curves"].items():
                    self.assertEqual([v is None for v in curve["value"]], list(states == 0), name)

    def test_interference_needs_a_merge(self):
        outcome = self.pulsewright("compare", SINGLE, "--interference", "--quick", "-o", "no.h5")
        self.assert_refused(outcome, "interference", "0.8 m", "cylinder 1")
        self.assertFalse((self.folder / "no.h5").exists())


if __name__ == "__main__":
    main()
