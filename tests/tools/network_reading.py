"""How the work of reading a network grows with its pipes, counted in instructions, which repeat."""
# test label: long

import re
import subprocess
import unittest

from rig.program import DONE, PROGRAM, CommandLineCase, main


def chain(joints):
    """Pipes one behind the other, with a dead end at every joint."""
    lines = ['title = "chain"', "[[header]]", 'name = "chain"', 'kind = "network"']

    def pipe(name, begin, end):
        lines.extend(["[[header.pipe]]", f'name = "{name}"', f'from = "{begin}"', f'to = "{end}"',
                      'tube = "40 mm ID"', 'length = "0.1 m"'])

    for i in range(joints + 1):
        pipe(f"run {i}", f"junction J{i - 1}" if i else "closed",
             f"junction J{i}" if i < joints else "open")
        if i < joints:
            pipe(f"stub {i}", "closed", f"junction J{i}")
    for i in range(joints):
        lines.extend(["[[header.junction]]", f'name = "J{i}"'])
    return "\n".join([*lines, "[run]", 'duration = "5 ms"', ""])


class NetworkReading(CommandLineCase):
    def instructions_to_read(self, joints):
        case = self.folder / f"chain-{joints}.toml"
        case.write_text(chain(joints))
        # Within the function that reads a case, and what it calls.
        run = subprocess.run(["valgrind", "--tool=callgrind", "--callgrind-out-file=/dev/null",
                              "--toggle-collect=pulsewright::cases::read_case_text*", PROGRAM, "check", case],
                             capture_output=True, text=True, timeout=300, check=False)
        self.assertEqual(run.returncode, DONE, run.stderr)
        return int(re.search(r"Collected : (\d+)", run.stderr).group(1))

    def test_four_times_the_pipes_are_not_sixteen_times_the_work(self):
        few, many = self.instructions_to_read(25), self.instructions_to_read(100)
        self.assertGreater(few, 1_000_000)  # it was the reading that was counted
        # 4 times where it is linear, as now; the squares would be 16 times.
        self.assertLess(many, 6 * few, f"{few} and {many} instructions")


if __name__ == "__main__":
    main()
