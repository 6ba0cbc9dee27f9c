"""Write the measured part of tests/slow_tests.txt: the tests that take more than 0.2 s of processor time.

    python -m pytest -n 2 --dist loadfile --cpu-times times.txt
    python tools/slow_tests.py times.txt

A test that was not run keeps its line. Measure on a quiet machine: processor time, too, grows where cores are shared.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "tests" / "helpers"))

from tiers import ALWAYS_QUICK, LIST, is_slow, slow_names  # noqa: E402

MEASURED = "# By time"
"""Begins the remark above the measured part."""
MOST = 0.2
"""Seconds of processor time, with what the test sets up and the programs it starts."""


def read_times(text: str) -> dict[str, float]:
    """Map each test, named from the folder of tests on, to its seconds; ``text``: what ``--cpu-times`` wrote."""
    rows = (line.split(" ", 1) for line in text.splitlines())
    return {test.removeprefix("tests/"): float(took) for took, test in rows}


def with_times(listed: str, names: list[str], times: Mapping[str, float]) -> str:
    """The list with its measured part made anew.

    Parameters: listed - the list's text; names - its lines without remarks; times - test -> seconds of processor time.
    """
    head, remark, rest = listed.partition(MEASURED)
    by_kind = frozenset(name for name in names if name not in rest.splitlines())
    kept = {name for name in rest.splitlines()[1:] if name and name not in times}
    slow = {test for test, took in times.items() if took > MOST and not is_slow(test, by_kind)} - ALWAYS_QUICK
    return f"{head}{remark}{rest.partition(chr(10))[0]}\n" + "".join(f"{name}\n" for name in sorted(kept | slow))


def main() -> None:
    """Rewrite the list from a file of times."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("times", type=Path, help="what pytest --cpu-times wrote")
    times = read_times(parser.parse_args().times.read_text(encoding="utf-8"))
    LIST.write_text(with_times(LIST.read_text(encoding="utf-8"), slow_names(), times), encoding="utf-8")


if __name__ == "__main__":
    main()
