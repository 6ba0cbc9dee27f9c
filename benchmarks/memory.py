"""Peak memory of printing, against an interpreter that imports the same libraries and does nothing.

``memory.py [BUILD ...]``; without one the sample with the most leads. Resident set of the process (Linux: KB;
macOS: bytes). Goal: under 250 MB for the largest sample.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from print_time import ROOT, largest

TELL = """
import resource
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
print(peak / (1024 if __import__("sys").platform != "darwin" else 1024 * 1024))
"""
IDLE = "import click, fontTools.ttLib, numpy, reportlab.pdfgen.canvas, shapely, svgwrite, yaml"


def peak(code: str) -> float:
    """Peak resident set of a process that runs the code, MB."""
    done = subprocess.run([sys.executable, "-c", code + TELL], check=True, capture_output=True, text=True,
                          env={**os.environ, "PYTHONPATH": str(ROOT)})  # fmt: skip
    return float(done.stdout.split()[-1])


def printing(build: Path, folder: str) -> str:
    arguments = ["print", str(build), "--out", folder, "--quiet"]
    return f"from diagramgen.app.main import group\ngroup({arguments!r}, standalone_mode=False)\n"


def main() -> None:
    builds = [Path(a) for a in sys.argv[1:]] or [largest()]
    bare, idle = peak(""), peak(IDLE)
    print(f"interpreter {bare:.0f} MB, with the libraries {idle:.0f} MB")
    with tempfile.TemporaryDirectory() as folder:
        for build in builds:
            found = peak(printing(build, folder))
            kept = "kept" if found < 250 else "MISSED"
            print(f"{build.name}: {found:.0f} MB, {found / idle:.2f} x the libraries alone; goal < 250 MB: {kept}")


if __name__ == "__main__":
    main()
