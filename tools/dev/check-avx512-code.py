#!/usr/bin/python3
"""Checks that the files compiled for AVX-512 give no code to the rest of the program.

  check-avx512-code.py OBJECT...
  check-avx512-code.py --self-test

OBJECT: object files of the program; those of kernels_avx512.cpp are looked at. Three things would
stop a processor without these vectors:
- a function that other files may have too and that does not carry the vector's width in its name:
  the linker could take it for all of them;
- a function that others can call by its name;
- code that runs at program start, before the processor is checked: a pointer in .init_array, as
  <iostream> and every variable with a constructor bring one.
"""

import os
import subprocess
import sys
import tempfile

FILE = "kernels_avx512"


def main():
    if sys.argv[1:] == ["--self-test"]:
        return self_test()
    objects = [name for name in sys.argv[1:] if FILE in name]
    if len(objects) < 2:
        sys.exit(f"check-avx512-code.py: fewer than two objects of {FILE}.cpp among the arguments")
    return max(report(name) for name in objects)


def output(*command):
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def faults(name):
    """What is wrong with an object, and the number of AVX-512 functions in it."""
    lines = output("nm", "--demangle", name).splitlines()
    # W, V, u: may stand in several files, one of them is taken; T: only here.
    symbols = [line.split(" ", 2) for line in lines if not line.startswith(" ")]  # defined ones
    found = [f"shared without its width in the name: {symbol}" for _, kind, symbol in symbols
             if kind in "WVu" and "<64>" not in symbol and not symbol.startswith("DW.ref.")]
    found += [f"can be called from elsewhere: {symbol}" for _, kind, symbol in symbols
              if kind == "T"]
    sections = [line.split()[0] for line in output("size", "-A", name).splitlines() if line.strip()]
    found += [f"runs at program start: section {section}" for section in sections
              if section.startswith((".init_array", ".ctors", ".preinit_array"))]
    return found, sum("<64>" in symbol for _, _, symbol in symbols)


def report(name):
    found, functions = faults(name)
    for fault in found:
        print(fault)
    print(f"{name}: {functions} AVX-512 functions, {len(found)} wrong")
    return 1 if found else 0


def self_test():
    """Objects with one fault each, and one without."""
    cases = [("extern const int right; constinit const int right = 1;\n", ""),
             ("inline int shared() { return 1; }\nint (*const p)() = &shared;\n"
              "extern int (*const q)(); int (*const q)() = p;\n", "shared without its width"),
             ("int called() { return 1; }\n", "can be called from elsewhere"),
             ("#include <iostream>\nstatic int x = (std::cout << 1, 2);\n",
              "runs at program start")]
    wrong = 0
    with tempfile.TemporaryDirectory() as folder:
        for source, expected in cases:
            path = os.path.join(folder, "a.cpp")
            with open(path, "w", encoding="utf-8") as file:
                file.write(source)
            subprocess.run([os.environ.get("CXX", "g++"), "-std=c++20", "-O1", "-c", path, "-o",
                            path + ".o"], check=True)
            found, _ = faults(path + ".o")
            fits = any(expected in fault for fault in found) if expected else not found
            if not fits:
                print(f"self-test: expected '{expected}', found {found} in\n{source}")
                wrong += 1
    print(f"self-test: {len(cases)} objects, {wrong} wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
