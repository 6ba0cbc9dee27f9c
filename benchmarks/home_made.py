"""What the home-made readers do beside the libraries that could stand in their place (docs/libraries.md).

    PYTHONPATH=. python benchmarks/home_made.py

CPU time in processes of their own, median of 9, without Python's own start. ``svgelements`` is no dependency:
where it is not installed, the first table has one column.
"""

from __future__ import annotations

import importlib.util
import statistics
import subprocess
import sys
import time

import yaml

from diagramgen.kernel.geometry import area
from diagramgen.lettering.font_file import face, font_path
from diagramgen.reader.svg_path import BadPath, read_path

RUNS = 9
GOOD = (
    "M0 0L80 0L80 40L0 40Z", "M 0,0 h80 v40 h-80 z", "M0 0 C 0 10 10 20 20 20 S 40 10 40 0 Z",
    "M0 0 Q 10 20 20 0 T 40 0 L 40 -10 L 0 -10 Z", "M10 0A10 10 0 0 1 10 20A10 10 0 0 1 10 0Z",
    "M10 0a10 10 0 0110 10l-10 10z", "M0 0a20 10 30 1 0 10 0z", "M1e1 .5-10 20 30 30z",
)
HOSTILE = {
    "unknown command": "M0 0L80 0B3 3L80 40Z", "text behind": "M0 0L80 0L80 40Z and more", "open": "M0 0L80 0L80 40",
    "two outlines": "M0 0L80 0L80 40ZM9 9L10 9L10 10Z", "1e300": "M0 0L1e300 0L80 40Z",
    "no M": "L80 0L80 40Z", "lines after Z": "M0 0L80 0L80 40ZL9 9", "empty": "", "number first": "9 M0 0L80 0Z",
    "number missing": "M0 0L80 0L80", "arc cut short": "M0 0A10 10 0 0", "flag of 2": "M0 0A10 10 0 2 1 20 0Z",
    "not a number": "M0 0L NaN 0L80 40Z",
}
LONG = "M0 0" + "L1 1L0 1" * 100_000 + "Z"
LINES = ("on: up", "a: 1:30", "a: 010", "a: no", "a: 2026-05-03", "a: 1\na: 2")


def area_by_library(text: str) -> float:
    """Area inside a path as svgelements reads it, its curves cut into 2000 straight lines."""
    from svgelements import Path

    path = Path(text)
    points = [path.point(i / 2000) for i in range(2000)]
    return abs(sum(a.x * b.y - b.x * a.y for a, b in zip(points, points[1:] + points[:1], strict=True))) / 2


def answer_of_library(text: str) -> str:
    """What svgelements makes of a path."""
    from svgelements import Path

    try:
        return f"taken, {len(Path(text))} pieces"
    except Exception as fault:
        return f"{type(fault).__name__} without a place"


def answer(text: str) -> str:
    """What the reader of outlines makes of a path."""
    try:
        return f"taken, {len(read_path(text).pieces)} pieces"
    except BadPath as fault:
        return f"refused: {fault}"


def cpu(code: str) -> float:
    """CPU time of a line of Python in a process of its own, ms: median."""
    line = f"import time; began = time.process_time(); {code}; print(time.process_time() - began)"
    found = [float(subprocess.run([sys.executable, "-c", line], check=True, capture_output=True, text=True).stdout)
             for _ in range(RUNS)]
    return statistics.median(found) * 1000


def seconds(read: object, text: str) -> str:
    began = time.process_time()
    said = read(text)  # type: ignore[operator]
    return f"{time.process_time() - began:.2f} s, {said}"


def paths() -> None:
    """Outlines: the same areas, and what becomes of a bad one."""
    library = importlib.util.find_spec("svgelements") is not None
    if library:
        worst = max(abs(abs(area(read_path(t).flat(0.001))) - area_by_library(t)) / area_by_library(t) for t in GOOD)
        print(f"{len(GOOD)} good paths: areas differ by at most {worst:.2%}")
    for name, text in HOSTILE.items():
        print(f"{name:16}{answer(text):70}{answer_of_library(text) if library else ''}")
    print(f"{'200,000 lines':16}{seconds(answer, LONG):70}{seconds(answer_of_library, LONG) if library else ''}")


def faces() -> None:
    """Widths of letters: the same numbers, and what a start costs."""
    from fontTools.ttLib import TTFont

    for bold in (False, True):
        font = TTFont(font_path(bold))
        em, widths = font["head"].unitsPerEm, font["hmtx"]
        same = {c: widths[name][0] / em for c, name in font.getBestCmap().items()} == dict(face(bold).advances)
        print(f"{'bold' if bold else 'regular'} face: widths of all letters {'the same' if same else 'DIFFER'}")
    # The clock starts after our imports: what they bring is wanted by every run anyway.
    ours = cpu("from diagramgen.lettering.font_file import face; began = time.process_time(); face(False)")
    theirs = cpu(f"from fontTools.ttLib import TTFont; f = TTFont({str(font_path())!r}); f.getBestCmap(); "
                 "f['hmtx'].metrics")
    print(f"read once: {ours:.1f} ms, by fontTools with its import {theirs:.0f} ms")


def values() -> None:
    """What a YAML loader makes of lines a technician types."""
    for line in LINES:
        print(f"{line!r:16}{yaml.safe_load(line)!r}")


def main() -> None:
    for table in (paths, faces, values):
        table()
        print()


if __name__ == "__main__":
    main()
