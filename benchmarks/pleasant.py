"""What a user waits for, and how fast the fuzzer is, as ratios within one run.

``pleasant.py [BUILD]``; without one the good sample with the most leads. Printed: a first page from a cold start
against a process that only loads the libraries it needs; the redraw of the preview after one lead of the file is
another, against the first drawing (goal: a redraw in under 1 s); inputs the fuzzer tries a second, a build against
PyYAML alone reading the same bytes.
"""

from __future__ import annotations

import gc
import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tools")]

RUNS, LEADS = 3, 5
LIBRARIES = "import click, yaml, numpy, shapely, svgwrite, reportlab.pdfgen.canvas, fontTools.ttLib, segno"


def process(command: list[str]) -> float:
    """Wall time of a process, s."""
    begin = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env={**os.environ, "PYTHONPATH": str(ROOT)})
    return time.perf_counter() - begin


def in_turns(named: dict[str, Callable[[], float]]) -> dict[str, float]:
    """Medians, taken in turns, so that whatever else the machine does falls on all alike."""
    for run in named.values():
        run()
    times: dict[str, list[float]] = {name: [] for name in named}
    for _ in range(RUNS):
        for name, run in named.items():
            times[name].append(run())
    return {name: statistics.median(found) for name, found in times.items()}


def cold_starts(build: Path) -> None:
    """First page of the smallest and of the given build, with nothing loaded and nothing kept."""
    with tempfile.TemporaryDirectory() as out:
        def printing(file: Path, *more: str) -> Callable[[], float]:
            return lambda: process([sys.executable, "-m", "diagramgen", "print", str(file), "--out", out, *more])

        small = ROOT / "samples" / "one-volume.yaml"
        found = in_turns({
            "libraries alone": lambda: process([sys.executable, "-c", LIBRARIES]),
            "diagram of one-volume": printing(small, "--sheet", "diagram"),
            "all sheets of one-volume": printing(small),
            f"all sheets of {build.stem}": printing(build),
        })
    print("From a cold start to the end of the command:")
    for name, value in found.items():
        print(f"  {name:<28}{value:7.2f} s   {value / found['libraries alone']:5.1f} x the libraries alone")


def recoloured(line: str) -> str:
    """The line of a lead in another colour; the same where it names none."""
    named = r", (white|black|red|green|yellow|blue|grey|brown|orange|violet|pink)\b"
    return re.sub(named, lambda m: ", blue" if m[1] != "blue" else ", red", line, count=1)


def turned(line: str) -> str:
    """The line of a lead written from its other end."""
    return re.sub(r"^  - ([^,]+?) -> ([^,#\n]+?)(?=,|  +#|\n)", r"  - \2 -> \1", line)


CHANGES: dict[str, Callable[[str], str]] = {"in another colour": recoloured, "turned round": turned,
                                            "gone": lambda _: ""}
"""What is done to a lead; where one is gone, all tags behind it move up, so that more is laid anew."""


def redraws(build: Path) -> None:
    """The drawing after a save in which one lead is changed, another one each time, against the first drawing.

    Seconds of computing, all in one thread: a busy machine makes them little longer. As in the preview, nothing is
    looked through for what can be thrown away while a drawing is made.
    """
    from diagramgen.features.preview.redraw import Redraw

    text = build.read_text(encoding="utf-8")
    leads = re.findall(r"(?m)^  - \S+\.[^\n]* -> [^\n]*\n", text)
    first: list[float] = []
    again: dict[str, list[float]] = {name: [] for name in CHANGES}
    whole: dict[str, list[float]] = {name: [] for name in CHANGES}
    with tempfile.TemporaryDirectory() as place:
        file = Path(place) / build.name
        for beside in build.parent.iterdir():
            if beside.is_file():
                (Path(place) / beside.name).write_bytes(beside.read_bytes())

        def drawn(drawer: Redraw, said: str) -> tuple[float, float]:
            """Until the diagram is shown, and until what it sounds like is."""
            file.write_text(said, encoding="utf-8")
            gc.collect()
            gc.disable()
            begin, steps = time.process_time(), drawer.steps()
            assert next(steps).drawn is not None
            diagram = time.process_time() - begin
            list(steps)
            every = time.process_time() - begin
            gc.enable()
            return diagram, every

        drawn(Redraw(file), text)  # what is loaded once
        for name, change in CHANGES.items():
            able = [lead for lead in leads if change(lead) != lead]
            for lead in able[:: max(1, len(able) // LEADS)][:LEADS]:
                drawer = Redraw(file)
                first.append(drawn(drawer, text)[0])
                diagram, every = drawn(drawer, text.replace(lead, change(lead), 1))
                again[name].append(diagram)
                whole[name].append(every)
    one = statistics.median(first)
    print(f"Preview of {build.stem}, {len(leads)} leads: first drawing {one:.2f} s; after one lead is")
    for name, found in again.items():
        two = statistics.median(found)
        print(f"  {name:<18}{two:6.2f} s = {two / one:.2f} of it, slowest of {len(found)} {max(found):.2f} s; "
              f"goal < 1 s: {'kept' if two < 1 else 'MISSED'}; with sounds {statistics.median(whole[name]):.2f} s")


def fuzzing() -> None:
    """Inputs a second of each kind, and a build's cost against PyYAML alone on the same bytes."""
    import yaml
    from fuzz import SHARES, fuzz, report
    from fuzz_targets import TARGETS

    tallies, failures = fuzz(SHARES, 2500, 600.0, 1, None)
    print("Fuzzing, inputs a second of computing:",
          ", ".join(f"{kind} {row['inputs_a_second']:.0f}" for kind, row in report(tallies).items()),
          f"; {len(failures)} failures")
    with tempfile.TemporaryDirectory() as folder:
        target = TARGETS["build"](ROOT, Path(folder))
        seeds = target.seeds[:10]

        def timed(run: Callable[[bytes], object]) -> Callable[[], float]:
            def once() -> float:
                begin = time.perf_counter()
                for data in seeds:
                    run(data)
                return time.perf_counter() - begin
            return once

        found = in_turns({"PyYAML alone": timed(yaml.compose), "read, checked, solved": timed(target.run)})
    print(f"A build read, checked and solved: {found['read, checked, solved'] / found['PyYAML alone']:.1f} x PyYAML "
          "alone on the same bytes")


def main() -> None:
    """All three."""
    good = [p for p in (ROOT / "samples").glob("*.yaml") if not p.stem.startswith("wrong")]
    most = max(good, key=lambda p: len(re.findall(r"(?m)^  - .* -> ", p.read_text(encoding="utf-8"))))
    build = Path(sys.argv[1]) if len(sys.argv) > 1 else most
    cold_starts(build)
    redraws(build)
    fuzzing()


if __name__ == "__main__":
    main()
