"""A folder of jobs from nothing, again after one change, and one process against two.

``shop.py [JOBS] [SHEET ...]``: JOBS (200) generated jobs, with all sheets or only those named. Each run is the real
command in a process of its own. Goals: the run after one change takes less than 3 % of the first; two processes are
1.7 times as fast as one, on a machine whose two cores are free. Wall time and CPU time are both given: the first says
what a shop waits, the second what was done, however busy the machine is.
"""

from __future__ import annotations

import os
import random
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
BASES = ("one-volume", "no-cavity", "three-singles-lever", "left-handed")
"""Samples the jobs are made from, in turns: small and middling ones, as a shop has them."""
FEW = 8
"""Jobs for the comparison of one process with two."""


def job_text(number: int, draw: random.Random) -> str:
    """A sample under a number of its own, with pots of another value and another slack of its wires."""
    base = BASES[number % len(BASES)]
    text = (ROOT / "samples" / f"{base}.yaml").read_text(encoding="utf-8")
    text = re.sub(r"(?m)^job: .*$", f"job: LL-{number:04d}\nreference: PO-{draw.randrange(1000, 9999)}\n"
                  f"customer: Customer {draw.randrange(100)}\nwire: {{slack: {draw.randrange(10, 25)}}}", text)
    return text.replace("250k log", draw.choice(["250k log", "300k log", "500k log"]))


def folder_of(jobs: int, place: Path) -> Path:
    """A folder of so many jobs."""
    draw = random.Random(7)
    place.mkdir()
    shutil.copytree(ROOT / "samples" / "groups", place / "groups")
    for number in range(jobs):
        (place / f"{number:04d}.yaml").write_text(job_text(number, draw), encoding="utf-8")
    return place


def timed(folder: Path, sheets: list[str], workers: int) -> tuple[float, float, str]:
    """Wall and CPU seconds of one run, and its last line."""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-m", "diagramgen", "shop", str(folder), "--workers", str(workers),
         *(word for sheet in sheets for word in ("--sheet", sheet))],
        env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=True)
    wall, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return wall, cpu, done.stdout.splitlines()[-1]


def main() -> None:
    """Print the three comparisons."""
    jobs = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    sheets = sys.argv[2:]
    with tempfile.TemporaryDirectory() as scratch:
        folder = folder_of(jobs, Path(scratch) / "jobs")
        first = timed(folder, sheets, os.cpu_count() or 1)
        print(f"{jobs} jobs from nothing: {first[0]:.1f} s, CPU {first[1]:.1f} s; {first[2]}", flush=True)
        nothing = timed(folder, sheets, 1)
        print(f"nothing changed: {nothing[0]:.2f} s, CPU {nothing[1]:.2f} s; {nothing[2]}", flush=True)
        one = folder / "0000.yaml"
        one.write_text(one.read_text(encoding="utf-8").replace("Customer", "Client"), encoding="utf-8")
        again = timed(folder, sheets, os.cpu_count() or 1)
        print(f"one changed: {again[0]:.2f} s, CPU {again[1]:.2f} s; {again[2]}")
        wall, cpu = (100 * again[i] / first[i] for i in (0, 1))
        print(f"  wall {wall:.2f} %, CPU {cpu:.2f} % of the first (goal 3 %)", flush=True)
        few = folder_of(FEW, Path(scratch) / "few")
        ratios = []
        for _ in range(3):
            walls = []
            for workers in (1, 2):
                shutil.rmtree(few / "sheets", ignore_errors=True)
                walls.append(timed(few, sheets, workers)[0])
            ratios.append(walls[0] / walls[1])
            print(f"{FEW} jobs: one process {walls[0]:.1f} s, two {walls[1]:.1f} s, {ratios[-1]:.2f} x", flush=True)
        print(f"  best {max(ratios):.2f} x (goal 1.7 x)")


if __name__ == "__main__":
    main()
