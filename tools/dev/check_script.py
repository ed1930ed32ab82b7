"""What the check scripts of this folder have in common: their command line and trees for their
self-tests."""

import contextlib
import pathlib
import sys
import tempfile


@contextlib.contextmanager
def tree_of(files):
    """A folder, for as long as it is used, with these files: text by path."""
    with tempfile.TemporaryDirectory() as folder:
        root = pathlib.Path(folder)
        for name, text in files.items():
            path = root / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        yield root


def report_self_test(cases, failures):
    """Prints the failures, and how many of the cases passed. Returns the exit code."""
    for failure in failures:
        print(failure, file=sys.stderr)
    print(f"{cases - len(failures)} passed, {len(failures)} failed")
    return 1 if failures else 0


def run(arguments, text, self_test, check):
    """`[ROOT]` or `--self-test`; text: what wrong use prints. check(root) returns the faults, a line
    each, and a summary, or None instead of it where there is nothing to check. Returns the exit
    code."""
    if arguments == ["--self-test"]:
        return self_test()
    if len(arguments) > 1 or any(argument.startswith("-") for argument in arguments):
        print(text, file=sys.stderr)
        return 2
    root = pathlib.Path(arguments[0]) if arguments else pathlib.Path(__file__).resolve().parents[2]
    faults, summary = check(root)
    if summary is None:
        print(f"{root}: nothing to check", file=sys.stderr)
        return 2
    for fault in faults:
        print(fault, file=sys.stderr)
    print(summary)
    return 1 if faults else 0
