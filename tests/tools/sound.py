"""The verb sound: of a results file and of a case, its tables and its sound files."""

import csv
import math
import struct
import wave

from rig.program import CASES, DONE, SINGLE, CommandLineCase, main
from rig.results import h5py

FOUR = CASES / "inline-four.toml"  # fires evenly
SMALL = ("--headers", "equal-length", "--speeds", "5000,6000", "--cells", "40 mm")


def samples_of(path):
    """Samples as parts of full scale, sample rate, bits."""
    with wave.open(str(path), "rb") as file:
        assert file.getnchannels() == 1
        width, frames = file.getsampwidth(), file.getnframes()
        data = file.readframes(frames)
        rate = file.getframerate()
    if width == 2:
        values = struct.unpack(f"<{frames}h", data)
    else:
        values = [int.from_bytes(data[i:i + 3], "little", signed=True)
                  for i in range(0, len(data), 3)]
    return [v / 2 ** (8 * width - 1) for v in values], rate, 8 * width


def decibels(rms):
    return 20 * math.log10(rms / 20e-6)


class Sound(CommandLineCase):
    def results(self):
        outcome = self.pulsewright("compare", FOUR, "--quick", *SMALL, "-o", "four.h5", "--quiet")
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        return "four.h5"

    def power_at(self, results, rpm):
        with h5py.File(self.folder / results) as file:
            speeds = file["speed"][()].tolist()
            return float(file["headers/equal-length/power"][speeds.index(rpm)])

    def test_a_results_file_from_table_to_sound(self):
        results = self.results()
        heard = self.json_of("sound", results, "--speed", "6000", "--seconds", "1", "-o",
                             "steady.wav", "--csv", "sound.csv")
        (header,) = heard["headers"]
        at_5000, at_6000 = header["points"]
        # ISO 5130: half a metre at 45 deg, one outlet in the middle.
        self.assertEqual([round(x, 4) for x in header["microphone_m"]], [0.3536, 0.3536, 0])
        for point in (at_5000, at_6000):
            # Power of the exhaust of an engine without muffler, dB re 1 pW: 119 + 10 log10 of its
            # horsepower [ufc2003, equation 2-3]; over a sphere of half a metre, with the image of a
            # hard floor 0.3 m below. Such estimates scatter by 5 dB (ibid., of other engines).
            horsepower = self.power_at(results, point["speed_rpm"]) / 745.7
            estimate = 119 + 10 * math.log10(horsepower) - 10 * math.log10(4 * math.pi * 0.25)
            estimate += 10 * math.log10(1 + 0.5**2 / (0.5**2 + 0.6**2))
            self.assertAlmostEqual(point["level_db"], estimate, delta=6)
            self.assertLess(point["level_dba"], point["level_db"])
            # Orders 1/2, 1, 3/2, ...: an even-firing four has its multiples of two.
            # (None: beyond the band of the coarse grid.)
            orders = [-math.inf if level is None else level for level in point["orders_db"]]
            self.assertEqual((orders.index(max(orders)) + 1) % 4, 0)
            others = [level for k, level in enumerate(orders) if (k + 1) % 4]
            self.assertLess(max(others), orders[3] - 20)
        # Both speeds lie in the band of the case.
        self.assertEqual(header["band"]["points"], 2)
        for order in header["band"]["strongest_orders"]:
            self.assertEqual(float(order) % 2, 0)
        levels = sorted(point["level_dba"] for point in (at_5000, at_6000))
        self.assertTrue(levels[0] <= header["band"]["level_dba"] <= levels[1])
        # The table is the same.
        with open(self.folder / "sound.csv", encoding="utf-8", newline="") as file:
            rows = list(csv.reader(file))
        self.assertEqual(rows[0][:6], ["header", "speed, rpm", "counts", "level, dB", "level, dB(A)",
                                       "order 0.5, dB"])
        self.assertEqual(len(rows), 3)
        self.assert_close(float(rows[2][4]), at_6000["level_dba"], 1e-4)

        # The file has the level and the orders at the steady speed; the ends that fade are left out.
        samples, rate, bits = samples_of(self.folder / "steady.wav")
        self.assertEqual((rate, bits, len(samples)), (48000, 24, 48000))
        scale = heard["wave"]["full_scale_pa"]
        middle = [scale * v for v in samples[4800:43200]]  # 40 cycles of 50 Hz
        rms = math.sqrt(sum(p * p for p in middle) / len(middle))
        self.assertAlmostEqual(decibels(rms), at_6000["level_db"], delta=0.05)
        for order in (2, 4, 6):
            turn = 2 * math.pi * order * 100 / rate
            c = sum(p * math.cos(turn * i) for i, p in enumerate(middle))
            s = sum(p * math.sin(turn * i) for i, p in enumerate(middle))
            level = decibels(math.hypot(c, s) * 2 / len(middle) / math.sqrt(2))
            self.assertAlmostEqual(level, at_6000["orders_db"][2 * order - 1], delta=0.05)
        self.assertAlmostEqual(max(map(abs, samples)), 10 ** (-1 / 20), delta=1e-3)

        # A pull, its level between those of its ends; other bits; the text fits a terminal.
        outcome = self.pulsewright("sound", results, "--seconds", "1", "--bits", "16", "-o", "pull.wav")
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        self.assertIn("5000 to 6000 rpm", outcome.stderr)
        self.assert_narrow(outcome.stdout)
        for words in ("Microphone 0.50 m from the outermost outlet, 45 deg", "dB(A)",
                      "no intake, no valve train, no pipe shell", "Noise law"):
            self.assertIn(words, " ".join(outcome.stdout.split()))
        samples, rate, bits = samples_of(self.folder / "pull.wav")
        self.assertEqual((rate, bits, len(samples)), (48000, 16, 48000))
        self.assertIn("0.50 m", outcome.stdout)
        self.assertIn("20 in from", self.pulsewright("sound", results, "--units", "inch").stdout)

        # Twice as far with the ground in the same direction: 6 dB less.
        near, far = (self.json_of("sound", results, "--microphone", place)["headers"][0]["points"][1]
                     for place in ("10 m,0 m,-0.3 m", "20 m,0 m,-0.3 m"))
        self.assertAlmostEqual(near["level_db"] - far["level_db"], 6.02, delta=0.02)

        # A sound file is replaced, nothing else is.
        notes = self.folder / "notes.txt"
        notes.write_text("mine", encoding="utf-8")
        self.assert_refused(self.pulsewright("sound", results, "-o", "notes.txt"), "no WAV file")
        self.assertEqual(notes.read_text(encoding="utf-8"), "mine")
        self.assertEqual(self.pulsewright("sound", results, "-o", "pull.wav").returncode, DONE)
        for options, words in ((("--speed", "9000"), "from 5000 to 6000 rpm"),
                               (("--speeds", "5000"), "are for a case"),
                               (("--headers", "nobody"), "not among the headers"),
                               (("--microphone", "1 m,2 m"), "x, y and z"),
                               (("--microphone", "1 m,2 kg,0 m"), "length"),
                               (("--microphone", "1 m,0 m,-2 m"), "below the ground"),
                               (("--bits", "20"), "20")):
            with self.subTest(options=options):
                self.assert_refused(self.pulsewright("sound", results, "-o", "new.wav", *options), words)
        self.assertFalse((self.folder / "new.wav").exists())
        self.assert_refused(self.pulsewright("sound", results, "--speed", "9000"), "from 5000 to 6000 rpm")

        # A case is simulated, with the same numbers.
        of_case = self.json_of("sound", FOUR, *SMALL)
        self.assertEqual(of_case["headers"], heard["headers"])

    def test_a_case_is_refused_before_it_is_simulated(self):
        """On cells so small that simulating them first would take longer than a test may."""
        for options, words in ((("--speed", "9000"), "from 5000 to 6000 rpm"),
                               (("--microphone", "1 m,0 m,-2 m"), "below the ground"),
                               (("--microphone", "0 m,0 m,0 m", "--headers", "1.2 m"), "50 mm"),
                               (("--speeds", "5000", "-o", "new.wav"), "two speeds")):
            with self.subTest(options=options):
                speeds = () if "--speeds" in options else ("--speeds", "5000,6000")
                self.assert_refused(self.pulsewright("sound", SINGLE, "--cells", "0.5 mm", *speeds,
                                                     *options), words)

    def test_wrong_input(self):
        self.assert_refused(self.pulsewright("sound", "nothing.h5"), "there is no file")
        self.assert_refused(self.pulsewright("sound", CASES / "pipe-shock.toml"), "pipes only")
        case = self.case_file("both.toml", ("[run]\n", '[sound]\nmicrophone = ["1 m", "1 m"]\n'
                                            'distance = "7.5 m"\n\n[run]\n'))
        outcome = self.pulsewright("sound", case)
        self.assert_refused(outcome, "sound.microphone", "is not a place", "sound.distance",
                            "is given beside microphone", "both.toml:")
        case = self.case_file("deep.toml", ("[run]\n", '[sound]\nmicrophone = ["1 m", "1 m", "-1 m"]\n'
                                            '\n[run]\n'))
        self.assert_refused(self.pulsewright("check", case), "sound.microphone", "below the ground")
        # Of a network, an outlet 1 m below the others, which are 0.3 m above the ground.
        network = (CASES / "pipe-blowdown.toml").read_text(encoding="utf-8").replace(
            'to = "open"', 'to = "open"\noutlet = ["0 m", "0 m", "-1 m"]')
        self.assertIn("outlet = ", network)
        deep = self.folder / "deep-outlet.toml"
        deep.write_text(network, encoding="utf-8")
        self.assert_refused(self.pulsewright("check", deep), "sound.outlet_height", "the outlet of pipe",
                            "below the ground")


if __name__ == "__main__":
    main()
