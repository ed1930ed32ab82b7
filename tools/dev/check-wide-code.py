#!/usr/bin/python3
"""Checks that the file compiled for wider vectors lends no code to the rest of the program.

  check-wide-code.py OBJECT...

OBJECT: object files of the solver; the one of duct_kernels_wide.cpp is looked at. A function in it
that other files may have too, and that does not carry the width in its name, could be taken by the
linker for all of them, and would then stop a processor without these vectors.
"""

import subprocess
import sys


def main():
    objects = [name for name in sys.argv[1:] if "duct_kernels_wide" in name]
    if len(objects) != 1:
        sys.exit("check-wide-code.py: no object of duct_kernels_wide.cpp among the arguments")
    lines = subprocess.run(["nm", "--demangle", objects[0]], check=True, capture_output=True,
                           text=True).stdout.splitlines()
    # W, V, u: may stand in several files, one of them is taken; T: only here.
    symbols = [line.split(" ", 2) for line in lines if not line.startswith(" ")]  # defined ones
    foreign = [name for _, kind, name in symbols
               if kind in "WVu" and "<64>" not in name and not name.startswith("DW.ref.")]
    code = [name for _, kind, name in symbols if kind == "T"]
    for name in foreign:
        print(f"shared without its width in the name: {name}")
    for name in code:
        print(f"code that would run before the processor is asked: {name}")
    wide = sum("<64>" in name for _, _, name in symbols)
    print(f"wide code: {wide} functions, {len(foreign) + len(code)} wrong")
    return 1 if foreign or code else 0


if __name__ == "__main__":
    sys.exit(main())
