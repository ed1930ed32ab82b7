#!/usr/bin/python3
"""How the cost of a study grows with cells, cylinders, headers and threads.

  growth.py [-o FOLDER] [PROGRAM]

Runs pulsewright (default: build/release/pulsewright) on the shipped cases, three times each and in
turns, takes the least processor time (for threads: time by the clock), prints a table with the
exponent from line to line, and with -o writes growth.svg (drawn by gnuplot) into the folder. Points
in one results file are counted by the bench, points_in_one_file.
"""

import argparse
import json
import math
import pathlib
import resource
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
V8 = str(ROOT / "cases" / "hillclimb-v8.toml")
REPEATS = 3


def run(program, arguments):
    """(processor time in s, time by the clock in s, what it printed)"""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    clock = time.perf_counter()
    done = subprocess.run([str(program), *arguments], capture_output=True, text=True, check=False)
    clock = time.perf_counter() - clock
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode != 0:
        sys.exit(f"growth.py: {' '.join(map(str, done.args))} failed:\n{done.stderr}")
    return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime, clock, done.stdout


def least(program, jobs):
    """label -> (least processor time, least time by the clock, last output); jobs in turns."""
    found = {}
    for _ in range(REPEATS):
        for label, arguments in jobs.items():
            cpu, clock, text = run(program, arguments)
            old = found.get(label, (math.inf, math.inf, ""))
            found[label] = (min(old[0], cpu), min(old[1], clock), text)
    return found


def exponents(x, y):
    """From one pair to the next: y goes with x to this power. None for the first."""
    return [None] + [math.log(y[i] / y[i - 1]) / math.log(x[i] / x[i - 1])
                     for i in range(1, len(x))]


def series(program, folder):
    """(title, label of x, x, cost, unit) of each."""
    one = ["run", V8, "--header", "equal-length", "--speed", "6000", "--json", "-q"]
    found = least(program, {c: [*one, "--cells", f"{c} mm"] for c in (40, 20, 10, 5)})
    cells = [json.loads(v[2])["cells"] for v in found.values()]
    cycles = [json.loads(v[2])["cycles"] for v in found.values()]
    yield ("V8, one point", "cells", cells,
           [v[0] / n for v, n in zip(found.values(), cycles)], "s of processor per cycle")

    cases = {1: "single-cylinder", 4: "inline-four", 6: "flat-six", 8: "hillclimb-v8"}
    found = least(program, {n: ["run", str(ROOT / "cases" / f"{name}.toml"), "--speed", "5000",
                                "--cells", "20 mm", "--json", "-q"] for n, name in cases.items()})
    cycles = [json.loads(v[2])["cycles"] for v in found.values()]
    yield ("shipped engines at 5000 rpm", "cylinders", list(cases),
           [v[0] / n for v, n in zip(found.values(), cycles)], "s of processor per cycle")

    names = ["equal-length", "180-degree", "stepped-length", "4-2-1", "divided-collector"]
    compare = ["compare", V8, "-o", str(folder / "growth.h5"), "--overwrite", "--quick", "-q",
               "--cells", "40 mm"]
    found = least(program, {n: [*compare, "--headers", ",".join(names[:n]), "--speeds",
                                "5000,6000", "-j", "1"] for n in (1, 2, 4, 5)})
    yield ("comparison of two speeds, one thread", "headers", list(found),
           [v[0] for v in found.values()], "s of processor")

    found = least(program, {n: [*compare, "--speeds", "4500,5000,5500,6000,6500,7000",
                                "--headers", "equal-length,stepped-length", "-j", str(n)] for n in (1, 2)})
    yield ("comparison of two headers, six speeds", "threads", list(found),
           [v[1] for v in found.values()], "s by the clock")


def plot(folder, all_series):
    commands = ["set terminal svg size 900,700 background rgb 'white'",
                f"set output '{folder / 'growth.svg'}'", "set multiplot layout 2,2",
                "set logscale xy", "unset key"]
    for title, x_label, x, cost, unit in all_series:
        data = "\n".join(f"{a} {b}" for a, b in zip(x, cost))
        ticks = ", ".join(f"'{a}' {a}" for a in x)
        commands += [f"set title '{title}'", f"set xlabel '{x_label}'", f"set ylabel '{unit}'",
                     f"set xtics ({ticks})", f"$data << EOD\n{data}\nEOD",
                     "plot $data with linespoints pointtype 7"]
    subprocess.run(["gnuplot"], input="\n".join(commands), text=True, check=True)


def main(arguments):
    parser = argparse.ArgumentParser(description=__doc__,
                                     formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("-o", "--output", type=pathlib.Path, help="folder of growth.svg")
    parser.add_argument("program", nargs="?", type=pathlib.Path,
                        default=ROOT / "build/release/pulsewright")
    options = parser.parse_args(arguments)
    if not options.program.is_file():
        parser.error(f"no program '{options.program}'; build the release preset")
    with tempfile.TemporaryDirectory() as folder:
        all_series = list(series(options.program, pathlib.Path(folder)))
    for title, x_label, x, cost, unit in all_series:
        print(f"{title}\n  {x_label:>10} {unit:>26}  exponent")
        for a, b, power in zip(x, cost, exponents(x, cost)):
            print(f"  {a:>10} {b:26.3f}  " + (f"{power:8.2f}" if power is not None else ""))
    if options.output:
        options.output.mkdir(parents=True, exist_ok=True)
        plot(options.output, all_series)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
