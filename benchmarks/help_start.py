"""What ``--help`` costs against a click program that does nothing: medians of the processor time of 25 runs, in turns.

Goal: ratio at most 1.2. Processor time, not time on the clock, so that a busy machine does not change the verdict.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
RUNS = 25
GOAL = 1.2
BARE = """\
import click

@click.group()
def main():
    "A program."

@main.command()
@click.argument("name")
def say(name):
    "Say a name."

main()
"""


def took(command: list[str]) -> float:
    """Processor time of a process from start to end, s."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env={**os.environ, "PYTHONPATH": str(ROOT)})
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        bare = Path(folder) / "bare.py"
        bare.write_text(BARE)
        programs = {
            "bare click": [sys.executable, str(bare), "--help"],
            "diagramgen": [sys.executable, "-m", "diagramgen", "--help"],
            "print --help": [sys.executable, "-m", "diagramgen", "print", "--help"],
            "python alone": [sys.executable, "-c", "pass"],
        }
        for command in programs.values():
            took(command)
        # In turns, so that whatever else the machine does falls on all alike.
        times: dict[str, list[float]] = {name: [] for name in programs}
        for _ in range(RUNS):
            for name, command in programs.items():
                times[name].append(took(command))
    middle = {name: statistics.median(found) for name, found in times.items()}
    for name, value in middle.items():
        print(f"{name:<14}{value * 1000:8.1f} ms   {value / middle['bare click']:.2f} x bare click")
    ratio = middle["diagramgen"] / middle["bare click"]
    print(f"--help: {ratio:.2f} x bare click, goal {GOAL:g}: {'kept' if ratio <= GOAL else 'MISSED'}")


if __name__ == "__main__":
    main()
