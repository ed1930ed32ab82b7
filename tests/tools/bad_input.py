"""Wrong input as a user gives it: file, key, value and what is allowed stand on stderr, the exit
code is 2, nothing stands on stdout, and nothing is written, changed or lost."""

import os
import random
import shutil
import subprocess
import unicodedata
import unittest

import h5py

from rig.program import CASES, DONE, FAILED, PROGRAM, SINGLE, WRONG_INPUT, CommandLineCase, main

NOBODY = 65534
QUICK = ("--quick", "--cells", "25 mm", "--speeds", "7000", "--headers", "0.8 m")


class WrongFiles(CommandLineCase):
    def check_file(self, path, *says):
        """Every verb that reads a case refuses the file by its name, and writes nothing."""
        before = sorted(self.folder.iterdir())
        for verb in ("check", "run", "compare"):
            with self.subTest(verb=verb, file=path):
                self.assert_refused(self.pulsewright(verb, path), str(path), *says)
                self.assertEqual(sorted(self.folder.iterdir()), before)

    def test_file_that_does_not_exist(self):
        self.check_file("missing.toml", "there is no such file")

    def test_folder_instead_of_a_file(self):
        self.check_file(self.folder, "is a folder")

    def test_binary_garbage(self):
        path = self.folder / "garbage.toml"
        path.write_bytes(random.Random(5).randbytes(4096))
        self.check_file(path, "is not a case file")

    def test_ten_megabytes(self):
        path = self.folder / "large.toml"
        path.write_bytes(b"# nothing\n" * 1_000_000)
        self.check_file(path, "10000000 bytes", "at most 1048576")

    def test_empty_file(self):
        path = self.folder / "empty.toml"
        path.write_bytes(b"")
        self.check_file(path, "title", "is missing")

    def test_no_permission(self):
        """The superuser may read everything: then another user starts the program."""
        path = self.case_file("secret.toml")
        path.chmod(0)
        options = {}
        if os.geteuid() == 0:
            options = {"user": NOBODY, "group": NOBODY, "extra_groups": []}
            self.folder.chmod(0o755)
            try:
                probe = subprocess.run([PROGRAM, "--version"], capture_output=True, check=False,
                                       **options)
            except PermissionError:
                self.skipTest("only the superuser reaches the program")
            if probe.returncode != DONE:
                self.skipTest("only the superuser can start the program")
        for verb in ("check", "run", "compare"):
            self.assert_refused(self.pulsewright(verb, path, **options), str(path),
                                "cannot be opened for reading", "permissions")

    def test_unknown_key_with_the_nearest_one(self):
        path = self.case_file("typo.toml", ("\nstroke =", "\nstorke ="))
        line = 1 + path.read_text().split("storke")[0].count("\n")
        self.check_file(path, f"{path}:{line}: engine.storke", "86 mm", "is not a known key",
                        "did you mean stroke?", "allowed: bore, stroke,")

    def test_value_without_its_unit(self):
        path = self.case_file("bare.toml", ('bore = "86 mm"', "bore = 86"))
        line = 1 + path.read_text().split("bore")[0].count("\n")
        self.check_file(path, f"{path}:{line}: engine.bore = 86", "bare number", "mm")

    def test_flow_that_needs_more_area_than_the_port_has(self):
        path = self.case_file("narrow.toml", ('port_diameter = "36 mm"', 'port_diameter = "18 mm"'))
        text = path.read_text()
        line, port = (1 + text.split(part)[0].count("\n") for part in ("discharge = [", "port_diameter"))
        self.check_file(path, f"{path}:{line}: exhaust_valve.flow.discharge", "[0.68,",
                        'the port of cylinder 1 in header "0.8 m" has 254.5 mm2 (18 mm, ',
                        f"exhaust.port_diameter in line {port})")

    def test_names_of_older_case_files(self):
        """Keys and kinds that were renamed are refused with the new name, at their own line."""
        renamed = [
            ("[[header]]", "[[concept]]", "concept", "which is header now"),
            *[('kind = "equal-length"', f'kind = "{old}"', f'header[1].kind = "{old}"',
               f'which is "{new}" now')
              for old, new in {"equal": "equal-length", "crossed": "180-degree",
                               "stepped": "stepped-length", "paired": "4-2-1",
                               "divided": "divided-collector"}.items()],
            ("entry_diameter", "mouth_diameter", "intake.mouth_diameter", "entry_diameter now"),
        ]
        for number, (new, old, key, says) in enumerate(renamed):
            path = self.case_file(f"old-{number}.toml", (new, old))
            line = 1 + path.read_text().split(old)[0].count("\n")
            self.check_file(path, f"{path}:{line}: {key}", says)


class ImprobableFiles(CommandLineCase):
    def test_check_shows_remarks(self):
        """What can be simulated but hardly any engine has: done, and named."""
        path = self.case_file("odd.toml", ('rod = "143 mm"', 'rod = "100 mm"'))
        line = 1 + path.read_text().split("rod =")[0].count("\n")
        outcome = self.pulsewright("check", path)
        self.assertEqual((outcome.returncode, outcome.stderr), (DONE, ""))
        self.assertIn("no errors, 1 remark below", outcome.stdout)
        self.assertIn(f'{path}:{line}: engine.rod = "100 mm": is 1.16 times the stroke',
                      " ".join(outcome.stdout.split()))
        remark, = self.json_of("check", path)["remarks"]
        self.assertEqual((remark["line"], remark["key"]), (line, "engine.rod"))

    def test_good_cases_have_none(self):
        for path in sorted(CASES.glob("*.toml")):
            self.assertEqual(self.json_of("check", path)["remarks"], [])

    def test_runs_mention_them_unless_quiet(self):
        path = self.case_file("odd.toml", ('rod = "143 mm"', 'rod = "100 mm"'))
        coarse = ("--cells", "25 mm", "--speed", "7000")
        self.assertIn("pulsewright check", self.pulsewright("run", path, *coarse).stderr)
        self.assertEqual(self.pulsewright("run", path, *coarse, "--quiet").stderr, "")


class OddCharacters(CommandLineCase):
    """Nothing that a terminal obeys - escapes, controls, directions of writing - is printed."""

    ODD = "\x1b]0;x\x07\x7f\u009b\u202e\u2066\u2028\ufeff"

    def assert_plain(self, outcome):
        for text in (outcome.stdout, outcome.stderr):
            odd = [c for c in text if c != "\n" and (unicodedata.category(c) in ("Cc", "Cf", "Zl", "Zp"))]
            self.assertEqual(odd, [], ascii(text))

    def test_in_names_of_files_and_values_of_options(self):
        odd = self.ODD
        shutil.copy(SINGLE, self.folder / f"{odd}.toml")
        wrong = self.case_file(f"wrong{odd}.toml", ("bore =", "brre ="))
        for line in (("check", f"{odd}.toml"), ("check", wrong), ("check", f"none{odd}"),
                     ("run", f"{odd}.toml", "--header", odd), ("run", SINGLE, "--speed", odd),
                     ("run", SINGLE, "--cells", odd), ("run", SINGLE, "--units", odd),
                     ("run", SINGLE, "--merge-model", odd), ("run", SINGLE, odd),
                     ("compare", SINGLE, "--headers", odd), ("compare", SINGLE, "--speeds", odd),
                     ("compare", SINGLE, "--jobs", odd), ("compare", SINGLE, "-o", f"no{odd}/x.h5"),
                     ("compare", SINGLE, "--report", f"no{odd}/x.html"),
                     ("report", f"none{odd}"), ("report", f"{odd}.toml"), (odd,), ("--" + odd,),
                     ("validate", "--case", odd), ("validate", "--group", odd),
                     ("validate", "--broken", odd), ("validate", "--list", "-o", odd)):
            with self.subTest(line=ascii(line)):
                self.assert_plain(self.pulsewright(*line))

    def test_in_values_and_keys_of_a_case_file(self):
        escaped = "".join(f"\\u{ord(c):04x}" for c in self.ODD)
        changes = (('bore = "86 mm"', f'bore = "{escaped} mm"'), ("bore =", f'"{escaped}" ='),
                   ("title =", f'"{escaped}" = 1\ntitle ='),
                   ('"0.8 m"', f'"{escaped}"'), ('"cylinder 1"', f'"junction {escaped}"'),
                   ("firing_order = [1]", f'firing_order = [1]\nbanks = {{ "{escaped}" = [1] }}'))
        for number, change in enumerate(changes):
            path = self.case_file(f"case-{number}.toml", change)
            for verb in ("check", "run", "compare"):
                with self.subTest(change=change, verb=verb):
                    outcome = self.pulsewright(verb, path)
                    self.assertEqual(outcome.returncode, WRONG_INPUT)
                    self.assert_plain(outcome)
                    self.assertIn("\\u001b", outcome.stderr)

    def test_long_values_are_cut(self):
        rubbish = "x" * 100000
        path = self.case_file("long.toml", ('bore = "86 mm"', f'bore = "{rubbish}"'))
        for line in (("check", path), ("run", SINGLE, "--speed", rubbish),
                     ("compare", SINGLE, "--headers", rubbish), (rubbish,), ("--" + rubbish,)):
            with self.subTest(verb=line[0][:20]):
                outcome = self.pulsewright(*line)
                self.assertEqual(outcome.returncode, WRONG_INPUT)
                self.assertLess(len(outcome.stderr), 4000)


class WrongOptions(CommandLineCase):
    def check_option(self, verb, *options, says):
        with self.subTest(verb=verb, options=options):
            self.assert_refused(self.pulsewright(verb, SINGLE, *options), *says)
            self.assertEqual(list(self.folder.iterdir()), [])

    def test_speeds(self):
        # The range of the keys `from` and `to` under [run] (cases/MANUAL.md).
        span = "a speed of rotation with its unit from 300 rpm to 30000 rpm"
        rules = {"0": span, "299": span, "4.9 rev/s": span, "30001": span,
                 "nan": "does not start with a number", "fast": "does not start with a number",
                 "-6000": "rpm", "1e9": "rpm", "6000 mph": "rpm, rev/min, rev/s",
                 "6000 mm": "rpm, rev/min, rev/s"}
        for speed, allowed in rules.items():
            says = (f"'{speed}'", allowed)
            self.check_option("run", "--speed", speed, says=("--speed", *says))
            self.check_option("compare", "--speeds", f"6000,{speed}", says=("--speeds", *says))

    def test_ranges_of_speeds(self):
        example = "for example 3000-5000:250"
        rules = {"3000-5000": ("no step", example), "3000:250": ("not two speeds", example),
                 "5000-3000:250": ("ends below its first speed", example),
                 "3000:250-5000": ("not two speeds", example),
                 "3000-5000:0": ("'0'", "from 1 rpm to 10000 rpm"),
                 "3000-5000:-250": ("'-250'", "rpm"), "3000-5000:": ("''",),
                 "200-5000:250": ("'200'", "from 300 rpm to 30000 rpm"),
                 "3000-31000:250": ("'31000'", "from 300 rpm to 30000 rpm"),
                 "3000-5000:250:2": ("'250:2'",), "3000-4000-5000:250": ("'4000-5000'",),
                 "3000-5000:1 mm": ("'1 mm'", "rpm, rev/min, rev/s"),
                 "3000-9000:1": ("more than 1000 speeds", example)}
        for text, says in rules.items():
            self.check_option("compare", "--speeds", f"6000,{text}", says=("--speeds", *says))

    def test_units(self):
        for units in ("furlong", ""):
            self.check_option("run", "--units", units,
                              says=("--units", f"'{units}'", "metric and inch"))

    def test_cells(self):
        rules = {"5": "has no unit", "5 bar": "a length is given in m, cm, mm",
                 "0 mm": "from 0.5 mm to 100 mm", "-5 mm": "from 0.5 mm to 100 mm",
                 "nan mm": "does not start with a number", "small": "does not start with a number",
                 "5 mmm": "did you mean 'mm'"}
        for size, allowed in rules.items():
            for verb in ("run", "compare"):
                self.check_option(verb, "--cells", size, says=("--cells", f"'{size}'", allowed))

    def test_empty_speed_or_cells(self):
        for option in ("--speed", "--cells"):
            outcome = self.pulsewright("run", SINGLE, option, "")
            self.assertEqual(outcome.returncode, WRONG_INPUT)

    def test_cells_beyond_the_range_of_the_case_file(self):
        outcome = self.pulsewright("run", SINGLE, "--cells", "5 m")
        self.assertEqual(outcome.returncode, WRONG_INPUT)

    def test_unknown_header_with_the_nearest_one(self):
        says = (str(SINGLE), '"megafone"', "allowed: 0.8 m, 1.2 m, megaphone",
                'did you mean "megaphone"?')
        self.check_option("run", "--header", "megafone", says=says)
        self.check_option("compare", "--headers", "0.8 m,megafone", says=says)

    def test_unknown_merge_model(self):
        for verb in ("run", "compare"):
            self.check_option(verb, "--merge-model", "plenun",
                              says=("--merge-model", "'plenun'", "momentum", "plenum",
                                    "constant_pressure"))

    def test_merge_models_are_spelt_as_in_a_case_file(self):
        outcome = self.pulsewright("run", SINGLE, "--cells", "25 mm", "--speed", "7000",
                                   "--merge-model", "constant_pressure")
        self.assertEqual(outcome.returncode, DONE)

    def test_pipes_without_an_engine_cannot_be_compared(self):
        outcome = self.pulsewright("compare", CASES / "pipe-shock.toml")
        self.assert_refused(outcome, "pipes only, no engine")
        self.assertEqual(list(self.folder.iterdir()), [])


class WrongOutput(CommandLineCase):
    def test_existing_output_stays_as_it_is(self):
        """Whatever it holds: results, or anything else that happens to have the name."""
        results = self.folder / "results.h5"
        made = self.pulsewright("compare", SINGLE, *QUICK)
        self.assertEqual(made.returncode, DONE, made.stderr)
        notes = self.folder / "notes.txt"
        notes.write_text("weld on Tuesday\n", encoding="utf-8")
        for path in (results, notes):
            before, written = path.read_bytes(), path.stat().st_mtime_ns
            self.assert_refused(self.pulsewright("compare", SINGLE, *QUICK, "-o", path), str(path),
                                "exists", "--resume", "--overwrite", "-o NAME")
            self.assertEqual((path.read_bytes(), path.stat().st_mtime_ns), (before, written))
        self.assertEqual(sorted(self.folder.iterdir()), [notes, results])

    def test_a_wrong_case_does_not_touch_the_output(self):
        """Even with permission to overwrite: the case is read first."""
        path = self.folder / "results.h5"
        path.write_bytes(b"an old result")
        wrong = self.case_file("typo.toml", ("\nstroke =", "\nstorke ="))
        for option in ("--overwrite", "--resume"):
            self.assert_refused(self.pulsewright("compare", wrong, option), "engine.storke")
            self.assert_refused(self.pulsewright("compare", SINGLE, option, "--speeds", "0"), "'0'")
            self.assertEqual(path.read_bytes(), b"an old result")

    def test_resuming_what_is_no_results_file(self):
        path = self.folder / "notes.txt"
        path.write_text("weld on Tuesday\n", encoding="utf-8")
        outcome = self.pulsewright("compare", SINGLE, *QUICK, "--resume", "-o", path)
        self.assertIn(outcome.returncode, (FAILED, WRONG_INPUT))
        self.assertIn(f"{path}: cannot be read as HDF5", outcome.stderr)
        self.assertEqual(outcome.stdout, "")
        self.assertEqual(path.read_text(encoding="utf-8"), "weld on Tuesday\n")

    def test_results_of_an_older_format_are_told_apart(self):
        """Refused by name and with both versions; --overwrite replaces them as any results."""
        path = self.folder / "old.h5"
        made = self.pulsewright("compare", SINGLE, *QUICK, "-o", path)
        self.assertEqual(made.returncode, DONE, made.stderr)
        with h5py.File(path, "r+") as file:
            file.attrs.modify("format_version", 1)
            file.move("headers", "concepts")
            file.attrs["concept_groups"] = file.attrs["header_groups"]
            del file.attrs["header_groups"]
        before = path.read_bytes()
        says = (f"{path}: has format version 1", "version 4 only", "pulsewright compare", "case_text")
        self.assert_refused(self.pulsewright("report", path), *says)
        self.assert_refused(self.pulsewright("compare", SINGLE, *QUICK, "--resume", "-o", path), *says)
        self.assertEqual(path.read_bytes(), before)
        anew = self.pulsewright("compare", SINGLE, *QUICK, "--overwrite", "-o", path)
        self.assertEqual(anew.returncode, DONE, anew.stderr)
        with h5py.File(path) as file:
            self.assertEqual(file.attrs["format_version"], 4)

    def test_output_where_nothing_can_be_written(self):
        missing = self.folder / "nowhere" / "results.h5"
        self.assert_refused(self.pulsewright("compare", SINGLE, *QUICK, "-o", missing),
                            str(missing), "no folder", str(missing.parent))
        outcome = self.pulsewright("compare", SINGLE, *QUICK, "--overwrite", "-o", self.folder)
        self.assert_refused(outcome, f"-o '{self.folder}': is a folder")
        self.assert_refused(self.pulsewright("compare", SINGLE, *QUICK, "--overwrite", "-o", "/dev/null"),
                            "no regular file")
        self.assertEqual(list(self.folder.iterdir()), [])

    def test_tables_and_pages_where_nothing_can_be_written(self):
        """Refused before a point is computed: no results file is made. /proc takes no files, whoever
        asks (proc(5))."""
        results = self.folder / "results.h5"
        for option in ("--csv", "--report"):
            for place, says in ((self.folder / "nowhere" / "some", "there is no folder"),
                                (self.folder, self.folder), ("/proc/some", "/proc/some")):
                with self.subTest(option=option, place=place):
                    outcome = self.pulsewright("compare", SINGLE, *QUICK, "-o", results, option, place)
                    self.assert_refused(outcome, str(says))
                    self.assertFalse(results.exists())
        outcome = self.pulsewright("compare", SINGLE, *QUICK, "-o", "/proc/results.h5")
        self.assert_refused(outcome, "-o '/proc/results.h5': cannot be opened for writing")
        self.assertEqual(list(self.folder.iterdir()), [])
        # What can be written is tried without a trace of the trial.
        table = self.folder / "table.csv"
        self.assert_refused(self.pulsewright("compare", SINGLE, *QUICK, "--csv", table, "-o",
                                             "/proc/results.h5"), "/proc/results.h5")
        self.assertEqual(list(self.folder.iterdir()), [])
        table.write_text("weld on Tuesday\n", encoding="utf-8")
        self.pulsewright("compare", SINGLE, *QUICK, "--csv", table, "-o", "/proc/results.h5")
        self.assertEqual(table.read_text(encoding="utf-8"), "weld on Tuesday\n")

    def test_only_results_are_overwritten(self):
        notes = self.folder / "notes.txt"
        notes.write_text("weld on Tuesday\n", encoding="utf-8")
        self.assert_refused(
            self.pulsewright("compare", SINGLE, *QUICK, "--overwrite", "-o", notes),
            "results files only", str(notes))
        self.assertEqual(notes.read_text(encoding="utf-8"), "weld on Tuesday\n")

    def test_no_speed_without_an_engine(self):
        shock = CASES / "pipe-shock.toml"
        self.assert_refused(self.pulsewright("run", shock, "--speed", "6000"), "--speed",
                            "pipes only")

    def test_the_case_is_not_overwritten_by_its_results(self):
        case = self.folder / "engine.toml"
        shutil.copy(SINGLE, case)
        outcome = self.pulsewright("compare", case, *QUICK, "--overwrite", "-o", case)
        self.assertEqual(case.read_bytes(), SINGLE.read_bytes())
        self.assertEqual(outcome.returncode, WRONG_INPUT)


if __name__ == "__main__":
    main()
