"""How the work of reading a network grows with its pipes, counted in instructions, which repeat."""

import os
import re
import subprocess
import unittest

READING = "a network of as many pipes as can be simulated is read"


def instructions_to_read(joints):
    """Within the function that reads a case, and what it calls, for a chain of two pipes a joint."""
    run = subprocess.run(["valgrind", "--tool=callgrind", "--callgrind-out-file=/dev/null",
                          "--toggle-collect=pulsewright::cases::read_case_text*",
                          os.environ["TESTS_CASES"], f"--test-case={READING}"],
                         env=os.environ | {"PULSEWRIGHT_JOINTS": str(joints)},
                         capture_output=True, text=True, timeout=300, check=False)
    if run.returncode != 0 or "1 passed" not in run.stdout:
        raise AssertionError(run.stdout + run.stderr)
    return int(re.search(r"Collected : (\d+)", run.stderr).group(1))


class NetworkReading(unittest.TestCase):
    def test_four_times_the_pipes_are_not_sixteen_times_the_work(self):
        few, many = instructions_to_read(25), instructions_to_read(100)
        self.assertGreater(few, 1_000_000)  # it was the reading that was counted
        # 4 times where it is linear; the squares would be 16 times.
        self.assertLess(many, 6 * few, f"{few} and {many} instructions")


if __name__ == "__main__":
    unittest.main(verbosity=2)
