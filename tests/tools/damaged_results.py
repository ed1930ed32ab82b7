"""Results files with a damage: no verb dies of one, none makes another page of one without a word,
--resume computes what is damaged anew and --overwrite replaces the file.

PULSEWRIGHT_DAMAGE_CASES in the environment: how many random flips of a bit are tried (more damages,
and more of each, without the program: tests/results/damage_test.cpp)."""

# test label: long
# test needs: page
import os
import random
import unittest

from report_page import data_of
from rig.program import DONE, FAILED, SINGLE, WRONG_INPUT, CommandLineCase, main
from rig.results import datasets, differing, h5py

STUDY = (SINGLE, "--quick", "--headers", "0.8 m,1.2 m", "--cells", "25 mm",
         "--speeds", "4000,5000,6000")
CASES = int(os.environ.get("PULSEWRIGHT_DAMAGE_CASES", "40"))
SEED = 7


class DamagedResults(CommandLineCase):
    sound = None  # bytes of the file, its datasets, data of its page

    def setUp(self):
        super().setUp()
        self.path = self.folder / "results.h5"
        self.page = self.folder / "page.html"
        if DamagedResults.sound is None:
            outcome = self.pulsewright("compare", *STUDY, "-o", self.path, "--report", self.page)
            self.assertEqual(outcome.returncode, DONE, outcome.stderr)
            DamagedResults.sound = (self.path.read_bytes(), datasets(self.path),
                                    data_of(self.page)[0])
            self.page.unlink()

    def flip(self, place, bit=4):
        """The sound file with one bit changed."""
        content = bytearray(self.sound[0])
        content[place] ^= 1 << bit
        self.path.write_bytes(content)

    def place(self, dataset, record=0):
        self.path.write_bytes(self.sound[0])
        with h5py.File(self.path) as file:
            found = file["headers/" + dataset]
            return found.id.get_offset() + record * found.id.get_storage_size() // len(found)

    def place_of(self, text):
        return self.sound[0].index(text)

    def report(self):
        return self.pulsewright("report", self.path, "-o", self.page)

    def compare(self, option):
        return self.pulsewright("compare", *STUDY, "-o", self.path, option)

    def check_complete(self, outcome):
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        self.assertEqual(differing(datasets(self.path), self.sound[1]), [])

    def test_a_damaged_point_is_named_and_left_out_and_computed_anew(self):
        for variable in ("torque", "trace_cylinder_pressure", "status", "cylinder_imep"):
            with self.subTest(variable=variable):
                self.flip(self.place(f"0_8_m_1/{variable}", record=1))
                outcome = self.report()
                self.assertEqual(outcome.returncode, FAILED, outcome.stderr)
                for text in (str(self.path), "0_8_m_1", "5000 rpm", f"{variable} is damaged",
                             "--resume"):
                    self.assertIn(text, outcome.stderr)
                data = data_of(self.page)[0]
                states = [[p["status"] for p in h["points"]] for h in data["headers"]]
                self.assertEqual(states, [["converged", "damaged", "converged"],
                                          ["converged"] * 3])
                header = data["headers"][0]
                self.assertIn(variable, header["points"][1]["damage"])
                self.assertEqual(set(header["points"][1]), {"status", "seconds", "damage"})
                self.assertIsNone(header["curves"]["torque"]["value"][1])
                self.assertIn("damaged", " ".join(header["figures"]["faults"]))
                outcome = self.compare("--resume")
                self.assertIn(f"{variable} is damaged", outcome.stderr)
                self.check_complete(outcome)

    def test_a_damaged_variant_is_named(self):
        self.flip(self.place("0_8_m_1/variants/coarse/torque"))
        outcome = self.report()
        self.assertEqual(outcome.returncode, FAILED, outcome.stderr)
        self.assertIn("header '0_8_m_1/variants/coarse' at 4000 rpm: torque is damaged",
                      outcome.stderr)
        self.assertIn("damaged", " ".join(data_of(self.page)[0]["headers"][0]["figures"]["faults"]))

    def test_a_changed_case_text_is_refused_and_restored(self):
        for text in (b"compression_ratio = 10.5", b"pulsewright-results", b"\x89HDF", b"GCOL",
                     b"volumetric_efficiency"):
            with self.subTest(text=text):
                self.flip(self.place_of(text))
                self.assert_refused(self.report(), str(self.path), "is damaged: bytes",
                                    "--resume", "--overwrite", code=FAILED)
                self.assertFalse(self.page.exists())
                outcome = self.compare("--resume")
                self.assertIn("its structure was damaged and has been restored", outcome.stderr)
                self.check_complete(outcome)
                self.assertEqual(self.path.read_bytes(), self.sound[0])

    def test_a_damaged_file_is_replaced_on_request(self):
        for text in (b"compression_ratio = 10.5", b"pulsewright-results", b"\x89HDF",
                     b"pulsewright-structure"):
            with self.subTest(text=text):
                self.flip(self.place_of(text))
                self.check_complete(self.compare("--overwrite"))
        self.path.write_bytes(self.sound[0][:5000])
        self.check_complete(self.compare("--overwrite"))
        self.path.write_bytes(b"something else")
        self.assert_refused(self.compare("--overwrite"), str(self.path), code=WRONG_INPUT)
        self.assertEqual(self.path.read_bytes(), b"something else")

    def test_a_file_that_another_tool_wrote_to_is_read_with_a_remark(self):
        self.path.write_bytes(self.sound[0])
        with h5py.File(self.path, "r+") as file:
            file.attrs["remark"] = "of the user"
        outcome = self.report()
        self.assertEqual(outcome.returncode, DONE, outcome.stderr)
        self.assertIn("another tool rewrote this file", outcome.stderr)
        self.assertEqual(data_of(self.page)[0], self.sound[2])

    def test_random_flips(self):
        chance = random.Random(SEED)
        refused = named = 0
        for _ in range(CASES):
            place, bit = chance.randrange(len(self.sound[0])), chance.randrange(8)
            with self.subTest(place=place, bit=bit):
                self.page.unlink(missing_ok=True)
                self.flip(place, bit)
                outcome = self.report()
                self.assertIn(outcome.returncode, (DONE, FAILED), outcome.stderr)
                if outcome.returncode == DONE:  # the table behind the file
                    self.assertEqual(data_of(self.page)[0], self.sound[2])
                    continue
                self.assertIn("damaged", outcome.stderr)
                self.assertIn(str(self.path), outcome.stderr)
                refused += not self.page.exists()
                named += self.page.exists()
        self.assertGreater(named, 0)
        self.assertGreaterEqual(refused + named, CASES * 3 // 4)


if __name__ == "__main__":
    main()
