#!/usr/bin/python3
"""Prints what the bench measured as ratios, which mean the same on every machine.

  ratios.py FILE.json            each figure beside the reference_kernel of the same run
  ratios.py OLD.json NEW.json [OLD_NAME=NEW_NAME...]
                                 the same in two runs, and how much faster NEW is; benches that were
                                 renamed in between: what stands before / in the old name and in the
                                 new one, such as old_name=new_name

FILE: what the bench writes with --benchmark_out=FILE --benchmark_out_format=json. For a bench that
updates cells the ratio is its cell updates per second over those of the reference kernel; for the
others it is their time in cell updates of the reference kernel. Exit code 2 for files that are no such result.
"""

import json
import sys

REFERENCE = "reference_kernel"
NANOSECONDS = {"ns": 1.0, "us": 1e3, "ms": 1e6, "s": 1e9}


class BadFile(Exception):
    """A file that is no result of the bench."""


def read(path):
    try:
        with open(path, encoding="utf-8") as file:
            return json.load(file)
    except (OSError, ValueError) as error:
        raise BadFile(f"{path}: {error}") from error


def figures(result, path, renamed=None):
    """Name -> (cell updates per second or None, ns per call); the median where a bench repeats.
    renamed: start of a name up to the first / -> the start that it has now."""
    found = {}
    try:
        for bench in result["benchmarks"]:
            if bench.get("run_type") == "aggregate" and bench.get("aggregate_name") != "median":
                continue
            start, slash, rest = bench.get("run_name", bench["name"]).partition("/")
            name = (renamed or {}).get(start, start) + slash + rest
            if bench.get("run_type") != "aggregate" and name in found:
                continue
            # Several threads are judged by the clock, one by its processor time.
            time = bench["real_time" if "real_time" in name else "cpu_time"]
            found[name] = (bench.get("cell_updates"), time * NANOSECONDS[bench["time_unit"]])
    except (KeyError, TypeError) as error:
        raise BadFile(f"{path}: not a result of the bench: {error!r}") from error
    if REFERENCE not in found or not found[REFERENCE][0]:
        raise BadFile(f"{path}: has no bench '{REFERENCE}'; run all benches in one run")
    return found


def ratio(figure, reference):
    """Cell updates over the reference kernel's, or time in cell updates of the reference kernel."""
    updates, time = figure
    if updates is not None:
        return updates / reference[0]
    return time * 1e-9 * reference[0]


def text(figure):
    updates, time = figure
    return f"{updates / 1e6:9.1f} M/s" if updates is not None else f"{time:9.0f} ns "


def context(result):
    c = result.get("context", {})
    return ", ".join(str(c[key]) for key in ("cpu_model", "cpu_vectors", "compiler",
                                             "build_type", "flags") if key in c)


def alone(path):
    result = read(path)
    found = figures(result, path)
    lines = [context(result), "", f"{'bench':42} {'measured':>13}  against the reference kernel"]
    for name, figure in found.items():
        unit = "times as fast" if figure[0] is not None else "of its cell updates"
        lines.append(f"{name:42} {text(figure):>13}  {ratio(figure, found[REFERENCE]):8.2f} {unit}")
    return "\n".join(lines)


def two(old_path, new_path, renamed):
    old_result, new_result = read(old_path), read(new_path)
    old, new = figures(old_result, old_path, renamed), figures(new_result, new_path)
    lines = ["old: " + context(old_result), "new: " + context(new_result), "",
             f"{'bench':42} {'old':>13} {'new':>13}  faster  by the reference kernel"]
    for name in new:
        if name not in old:
            lines.append(f"{name:42} {'-':>13} {text(new[name]):>13}")
            continue
        speed = old[name][1] / new[name][1] if new[name][0] is None else new[name][0] / old[name][0]
        before = ratio(old[name], old[REFERENCE])
        after = ratio(new[name], new[REFERENCE])
        relative = before / after if new[name][0] is None else after / before
        lines.append(f"{name:42} {text(old[name]):>13} {text(new[name]):>13}  {speed:6.2f}  "
                     f"{relative:6.2f}")
    lines += [f"{name:42} {text(old[name]):>13} {'-':>13}" for name in old if name not in new]
    return "\n".join(lines)


def main(arguments):
    paths = [argument for argument in arguments if "=" not in argument]
    renamed = dict(argument.split("=", 1) for argument in arguments if "=" in argument)
    if len(paths) not in (1, 2) or paths[0].startswith("-") or (renamed and len(paths) == 1):
        print(__doc__, file=sys.stderr)
        return 2
    try:
        print(alone(*paths) if len(paths) == 1 else two(*paths, renamed))
    except BadFile as error:
        print(f"ratios.py: {error}", file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
