"""The scripts of the bench: ratios of results, growth, instruction counts."""

import contextlib
import importlib.util
import io
import json
import os
import pathlib
import sys
import tempfile
import unittest

sys.dont_write_bytecode = True
SCRIPTS = pathlib.Path(os.environ["PULSEWRIGHT_SOURCE_DIR"]) / "tools" / "bench"


def script(name):
    spec = importlib.util.spec_from_file_location(name, SCRIPTS / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def result(reference_kernel, kernel, valve_ns, clock_us=None):
    benches = [
        {"name": "reference_kernel", "run_name": "reference_kernel", "run_type": "iteration",
         "real_time": 900, "cpu_time": 2000.0, "time_unit": "ns", "cell_updates": reference_kernel},
        {"name": "kernel/80", "run_name": "kernel/80", "run_type": "iteration", "real_time": 1,
         "cpu_time": 1.0, "time_unit": "us", "cell_updates": kernel},
        {"name": "valve", "run_name": "valve", "run_type": "iteration", "real_time": 1,
         "cpu_time": valve_ns, "time_unit": "ns"},
    ]
    if clock_us:
        benches.append({"name": "all/2/real_time", "run_name": "all/2/real_time",
                        "run_type": "iteration", "real_time": clock_us, "cpu_time": 0.1,
                        "time_unit": "us"})
    return {"context": {"cpu_model": "invented", "compiler": "one"}, "benchmarks": benches}


class Ratios(unittest.TestCase):
    def setUp(self):
        self.ratios = script("ratios")
        self.folder = tempfile.TemporaryDirectory()
        self.addCleanup(self.folder.cleanup)

    def file(self, name, content):
        path = pathlib.Path(self.folder.name) / name
        path.write_text(content if isinstance(content, str) else json.dumps(content),
                        encoding="utf-8")
        return str(path)

    def printed(self, *arguments):
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = self.ratios.main(list(arguments))
        return code, out.getvalue(), err.getvalue()

    def test_figures_of_one_run_stand_beside_its_reference_kernel(self):
        code, text, _ = self.printed(self.file("a.json", result(40e6, 100e6, 250.0)))
        self.assertEqual(code, 0)
        self.assertIn("invented", text)
        self.assertRegex(text, r"kernel/80 +100.0 M/s +2.50 times as fast")
        # 250 ns, in which the reference kernel updates ten cells
        self.assertRegex(text, r"valve +250 ns +10.00 of its cell updates")

    def test_two_runs_are_compared_bare_and_by_their_reference_kernels(self):
        # A machine half as fast; the kernel kept its speed, the valve takes twice its time.
        old = self.file("old.json", result(40e6, 100e6, 250.0, 10))
        new = self.file("new.json", result(20e6, 100e6, 500.0, 5))
        code, text, _ = self.printed(old, new)
        self.assertEqual(code, 0)
        rows = {line.split()[0]: line.split()[-2:] for line in text.splitlines() if "/s" in line
                or " ns" in line}
        self.assertEqual(rows["reference_kernel"], ["0.50", "1.00"])
        self.assertEqual(rows["kernel/80"], ["1.00", "2.00"])
        self.assertEqual(rows["valve"], ["0.50", "1.00"])
        self.assertEqual(rows["all/2/real_time"], ["2.00", "4.00"])  # by the clock

    def test_renamed_benches_are_compared(self):
        old = result(40e6, 100e6, 250.0)
        for bench, name in zip(old["benchmarks"], ("old_kernel", "loop/80", "valve")):
            bench["name"] = bench["run_name"] = name
        old, new = self.file("old.json", old), self.file("new.json", result(40e6, 200e6, 250.0))
        self.assertEqual(self.printed(old, new)[0], 2)  # no reference kernel in the old one
        code, text, _ = self.printed(old, new, "old_kernel=reference_kernel", "loop=kernel")
        self.assertEqual(code, 0)
        self.assertRegex(text, r"kernel/80 +100.0 M/s +200.0 M/s +2.00 +2.00")
        self.assertEqual(self.printed(old, "a=b")[0], 2)

    def test_what_is_no_result_is_refused(self):
        good = self.file("good.json", result(1e6, 1e6, 1))
        for bad in ("not json", {"benchmarks": []}, {"benchmarks": [{"name": "reference_kernel"}]}, [1]):
            code, text, error = self.printed(good, self.file("bad.json", bad))
            self.assertEqual((code, text), (2, ""))
            self.assertIn("bad.json", error)
        self.assertEqual(self.printed(str(pathlib.Path(self.folder.name) / "none"))[0], 2)
        self.assertEqual(self.printed()[0], 2)


class Growth(unittest.TestCase):
    def test_exponents_of_powers(self):
        exponents = script("growth").exponents
        for power in (1.0, 2.0, -1.0):
            x = [1, 2, 4, 10]
            found = exponents(x, [3.0 * a**power for a in x])
            self.assertIsNone(found[0])
            for value in found[1:]:
                self.assertAlmostEqual(value, power, places=12)


class Instructions(unittest.TestCase):
    def test_change_against_what_is_recorded(self):
        lines = script("instructions").table({"a": 1100, "b": 5}, {"counts": {"a": 1000}})
        self.assertRegex(lines[1], r"a +1,100 +\+10.00 %")
        self.assertRegex(lines[2], r"b +5 +not recorded")

    def test_every_case_is_recorded(self):
        module = script("instructions")
        recorded = json.loads(module.RECORD.read_text(encoding="utf-8"))
        self.assertEqual(list(recorded["counts"]), list(module.CASES))
        self.assertTrue(all(n > 1_000_000 for n in recorded["counts"].values()))


if __name__ == "__main__":
    unittest.main(verbosity=2)
