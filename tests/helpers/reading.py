"""Reading a build from a text, for tests."""

from __future__ import annotations

from pathlib import Path

from diagramgen.kernel.diagnostics import Diagnostics, Problem
from diagramgen.kernel.provenance import Sources
from diagramgen.library.catalogue import Catalogue, shipped
from diagramgen.model.build import Build
from diagramgen.reader.reader import read_build

ROOT = Path(__file__).resolve().parents[2]
SHIPPED: Catalogue = shipped()


def read(text: str, folder: Path | None = None) -> tuple[Build | None, tuple[Problem, ...]]:
    """The build and every problem said."""
    say = Diagnostics()
    build = read_build(text.encode(), "build.yaml", Sources(folder), SHIPPED, say)
    return build, say.sorted()


def good(text: str, folder: Path | None = None) -> Build:
    """The build; fails with the problems where any was said."""
    build, problems = read(text, folder)
    assert not problems, "\n".join(p.text() for p in problems)
    assert build is not None
    return build


def codes(text: str, folder: Path | None = None) -> list[str]:
    """The codes of all problems said, in the order of the file."""
    return [p.code for p in read(text, folder)[1]]
