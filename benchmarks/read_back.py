"""How many leads of each good sample can be followed over the pixels from lug to lug, in colour and in grey.

The reader of ``tests/outside`` sees the picture of the diagram at 400 dpi and the places of the lugs, nothing else;
it cannot read tags. In colour a lead counts when its colour and both its lugs are right; in grey, where many colours
are alike, when its shade and both its lugs are. "Wrong" are leads read that are not in the list.
``read_back.py [SAMPLE ...]``: the names of samples (all good ones).
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tests" / "outside"))

from printed_samples import NAMES  # noqa: E402 - the path is made just before
from test_read_back import context_of, read_back, shaded, wanted  # noqa: E402


def main() -> None:
    total: Counter[str] = Counter()
    for name in sys.argv[1:] or NAMES:
        subject = context_of(name)
        listed = Counter(wanted(subject).values())
        began = time.process_time()
        coloured = read_back(subject)
        middle = time.process_time()
        grey = read_back(subject, grey=True)
        ended = time.process_time()
        pairs = shaded(listed)
        found = {
            "leads": listed.total(),
            "in colour": (listed & coloured).total(),
            "wrong in colour": (coloured - listed).total(),
            "in grey": (pairs & grey).total(),
            "wrong in grey": (grey - pairs).total(),
        }
        total.update(found)
        print(f"{name:24s} {say(found)} ({middle - began:.1f} s, {ended - middle:.1f} s)", flush=True)
    print(f"{'all':24s} {say(total)}")


def say(found: dict[str, int]) -> str:
    leads = found["leads"]
    return (f"{leads:3d} leads, colour {found['in colour']:3d} ({found['in colour'] / leads:4.0%}), "
            f"{found['wrong in colour']} wrong; grey {found['in grey']:3d} ({found['in grey'] / leads:4.0%}), "
            f"{found['wrong in grey']} wrong")


if __name__ == "__main__":
    main()
