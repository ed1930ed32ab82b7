#!/usr/bin/python3
"""Counts the instructions of three fixed cases, which repeat where times do not.

  instructions.py [PROGRAM]            counts, and the change against those recorded
  instructions.py --record [PROGRAM]   counts, and records them in instructions.json

PROGRAM: pulsewright of the release build (default: build/release/pulsewright). Counted by
valgrind --tool=callgrind, which knows no AVX-512: what is counted are the kernels for narrower
vectors. The counts belong to a compiler; another one is named, and decides nothing. Exit code 0 also
without valgrind, which is then said; 1 if a case does not run.
"""

import json
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

FOLDER = pathlib.Path(__file__).resolve().parent
ROOT = FOLDER.parent.parent
RECORD = FOLDER / "instructions.json"
CASES = {
    "shock tube": ["cases/pipe-shock.toml"],
    "one cylinder": ["cases/single-cylinder.toml"],
    "V8, 180-degree": ["cases/hillclimb-v8.toml", "--header", "180-degree", "--speed", "6000",
                    "--cells", "40 mm"],
}


def count(program, arguments):
    with tempfile.TemporaryDirectory() as folder:
        command = ["valgrind", "--tool=callgrind", f"--callgrind-out-file={folder}/out",
                   str(program), "run", str(ROOT / arguments[0]), *arguments[1:], "--json",
                   "--quiet"]
        run = subprocess.run(command, capture_output=True, text=True, check=False)
    found = re.search(r"refs: +([0-9,]+)", run.stderr)
    if run.returncode != 0 or not found:
        sys.exit(f"instructions.py: {' '.join(command)} failed:\n{run.stderr}")
    return int(found.group(1).replace(",", ""))


def compiler_of(program):
    text = subprocess.run(["readelf", "--string-dump=.comment", str(program)], capture_output=True,
                          text=True, check=False).stdout
    return ", ".join(sorted(set(re.findall(r"\] +(.+)", text)))) or "unknown"


def table(counts, recorded):
    """Lines with each count and its change against the recorded one, if there is one."""
    lines = [f"{'case':16} {'instructions':>16}  change"]
    for name, number in counts.items():
        before = recorded.get("counts", {}).get(name)
        change = f"{100 * (number / before - 1):+.2f} %" if before else "not recorded"
        lines.append(f"{name:16} {number:16,}  {change}")
    return lines


def main(arguments):
    record = "--record" in arguments
    rest = [a for a in arguments if a != "--record"]
    if len(rest) > 1 or any(a.startswith("-") for a in rest):
        print(__doc__, file=sys.stderr)
        return 2
    program = pathlib.Path(rest[0] if rest else ROOT / "build/release/pulsewright")
    if not program.is_file():
        print(f"instructions.py: no program '{program}'; build the release preset", file=sys.stderr)
        return 2
    if not shutil.which("valgrind"):
        print("instructions.py: valgrind is not installed, nothing is counted")
        return 0
    recorded = json.loads(RECORD.read_text(encoding="utf-8")) if RECORD.is_file() else {}
    compiler = compiler_of(program)
    counts = {name: count(program, arguments) for name, arguments in CASES.items()}
    print("\n".join(table(counts, recorded)))
    if recorded and recorded["compiler"] != compiler:
        print(f"recorded with {recorded['compiler']}, counted with {compiler}")
    if record:
        RECORD.write_text(json.dumps({"compiler": compiler, "counts": counts}, indent=2) + "\n",
                          encoding="utf-8")
        print(f"recorded in {RECORD.name}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
