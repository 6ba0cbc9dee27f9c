"""What was found out about each sample, once in a test process: nothing may change it."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from diagramgen.analysis import Analysis, examine

SAMPLES = Path(__file__).resolve().parents[1] / "samples"


@cache
def proof_of(name: str) -> Analysis:
    """A sample, examined whole."""
    return examine(SAMPLES / f"{name}.yaml")


@cache
def read_of(name: str) -> Analysis:
    """A sample, only read."""
    return examine(SAMPLES / f"{name}.yaml", reading=True)
