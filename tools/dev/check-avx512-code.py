#!/usr/bin/python3
"""Checks that the files compiled for AVX-512 lend no code to the rest of the program.

  check-avx512-code.py OBJECT...

OBJECT: object files of the program; those of *kernels_avx512.cpp are looked at. A function in one of
them that other files may have too, and that does not carry the width in its name, could be taken by
the linker for all of them, and would then stop a processor without these vectors.
"""

import subprocess
import sys


def main():
    objects = [name for name in sys.argv[1:] if "kernels_avx512" in name]
    if len(objects) < 2:
        sys.exit("check-avx512-code.py: no objects of *kernels_avx512.cpp among the arguments")
    return max(check(name) for name in objects)


def check(name):
    lines = subprocess.run(["nm", "--demangle", name], check=True, capture_output=True,
                           text=True).stdout.splitlines()
    # W, V, u: may stand in several files, one of them is taken; T: only here.
    symbols = [line.split(" ", 2) for line in lines if not line.startswith(" ")]  # defined ones
    foreign = [symbol for _, kind, symbol in symbols
               if kind in "WVu" and "<64>" not in symbol and not symbol.startswith("DW.ref.")]
    code = [symbol for _, kind, symbol in symbols if kind == "T"]
    for function in foreign:
        print(f"shared without its width in the name: {function}")
    for function in code:
        print(f"code that would run before the processor is asked: {function}")
    found = sum("<64>" in symbol for _, _, symbol in symbols)
    print(f"{name}: {found} AVX-512 functions, {len(foreign) + len(code)} wrong")
    return 1 if foreign or code else 0


if __name__ == "__main__":
    sys.exit(main())
