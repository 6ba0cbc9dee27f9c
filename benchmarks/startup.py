"""How long ``--help`` takes against a click program that does nothing: medians of 15 runs each, in turns.

Goal: ratio at most 1.5.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
RUNS = 15
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
    """Wall time of a process, s."""
    begin = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env={**os.environ, "PYTHONPATH": str(ROOT)})
    return time.perf_counter() - begin


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
    kept = middle["diagramgen"] <= 1.5 * middle["bare click"]
    print(f"goal: diagramgen <= 1.5 x bare click: {'kept' if kept else 'MISSED'}")


if __name__ == "__main__":
    main()
