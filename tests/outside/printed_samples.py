"""Every sample printed once a session, with the drawings as they were composed, and its SVG read by others.

Only ``xml.etree`` and fontTools' SVG path parser touch the SVG here, so that our writer is read by other hands.
"""

from __future__ import annotations

import functools
import math
import xml.etree.ElementTree as ET
from dataclasses import dataclass, field
from pathlib import Path

from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.recordingPen import RecordingPen
from fontTools.svgLib.path import parse_path
from sampled import proof_of

from diagramgen.analysis import Analysis, examine
from diagramgen.drawing.diagram import Drawing, Look
from diagramgen.features.diagrams import sheet as diagrams
from diagramgen.layout.model import Layout
from diagramgen.sheets.printing import compose
from diagramgen.sheets.sheet_kind import Request

ROOT = Path(__file__).resolve().parents[2]
SAMPLES = ROOT / "samples"
NAMES = sorted(p.stem for p in SAMPLES.glob("*.yaml") if not p.stem.startswith("wrong"))
"""The good samples; one is wrong on purpose and is not printed."""
SVG = "{http://www.w3.org/2000/svg}"


@dataclass
class Printed:
    """A printed build: what was found out, the files, and each drawing with the layout it shows."""

    proof: Analysis
    files: dict[str, bytes]
    drawings: list[tuple[Look, Layout, Drawing]] = field(default_factory=list)

    @property
    def to_scale(self) -> bool:
        assert self.proof.layout is not None
        return self.proof.layout.to_scale

    def tagged(self, full_size: bool) -> tuple[Layout, Drawing]:
        """The full-size diagram, or the bench page's, as drawn."""
        assert self.proof.layout is not None
        wanted = self.proof.layout.box.width
        for look, layout, drawing in self.drawings:
            if look.tags and (math.isclose(layout.box.width, wanted, rel_tol=1e-6) == full_size):
                return layout, drawing
        raise LookupError("no such drawing was made")


def print_file(path: Path, request: Request) -> Printed:
    """Print a build as the command does, and keep what was drawn on the way."""
    return noted(examine(path), request)


def noted(proof: Analysis, request: Request) -> Printed:
    """Print what was found out of a build, and keep what was drawn on the way."""
    seen: list[tuple[Look, Layout, Drawing]] = []
    draw = diagrams.draw

    def noting(layout, roles, look, frame):  # type: ignore[no-untyped-def]
        drawing = draw(layout, roles, look, frame)
        seen.append((look, layout, drawing))
        return drawing

    diagrams.draw = noting
    try:
        return Printed(proof, compose(proof, request), seen)
    finally:
        diagrams.draw = draw


@functools.cache
def printed(name: str) -> Printed:
    """A sample with all its sheets, in one process once."""
    return noted(proof_of(name), Request())


@dataclass(frozen=True)
class Drawn:
    """An element with a path as an SVG reader sees it, in user units."""

    subject: str
    d: str
    fill: str
    stroke: str
    box: tuple[float, float, float, float]

    @property
    def centre(self) -> tuple[float, float]:
        left, top, right, bottom = self.box
        return (left + right) / 2, (top + bottom) / 2

    @property
    def size(self) -> tuple[float, float]:
        return self.box[2] - self.box[0], self.box[3] - self.box[1]

    @property
    def ends(self) -> tuple[tuple[float, float], tuple[float, float]] | None:
        """First and last point of an open path of one stroke."""
        pen = RecordingPen()
        parse_path(self.d, pen)
        if sum(1 for verb, _ in pen.value if verb == "moveTo") != 1 or pen.value[-1][0] == "closePath":
            return None
        lines = [points for _, points in pen.value if points]
        return lines[0][-1], lines[-1][-1]


def root_of(svg: bytes) -> ET.Element:
    return ET.fromstring(svg)


def drawn_paths(svg: bytes) -> list[Drawn]:
    """All paths in painting order, each with the nearest subject above it."""
    found: list[Drawn] = []

    def visit(element: ET.Element, subject: str) -> None:
        assert element.get("transform") is None or element.tag == SVG + "text", "a path is moved after it was written"
        subject = element.get("data-subject", subject)
        if element.tag == SVG + "path":
            pen = BoundsPen(None)
            parse_path(element.get("d", ""), pen)
            found.append(Drawn(subject, element.get("d", ""), element.get("fill", "black"),
                               element.get("stroke", "none"), pen.bounds))
        if element.tag not in (SVG + "defs", SVG + "clipPath"):
            for child in element:
                visit(child, subject)

    visit(root_of(svg), "")
    return found


def lug_marks(paths: list[Drawn]) -> dict[str, list[tuple[float, float]]]:
    """Lug -> the centres of all marks drawn for it, the smallest first; a case has one more where a lug comes down."""
    found: dict[str, list[Drawn]] = {}
    for one in paths:
        if one.subject.startswith("lug:"):
            found.setdefault(one.subject.removeprefix("lug:"), []).append(one)
    return {key: [one.centre for one in sorted(marks, key=lambda m: max(m.size))] for key, marks in found.items()}


def lug_centres(paths: list[Drawn]) -> dict[str, tuple[float, float]]:
    """Lug -> its centre, from the smallest mark drawn for it (an eyelet, a spot, a joint: all concentric), leaving
    out of a case the places where bent lugs come down on its rim.
    """
    bends = [end for one in paths if one.subject.startswith("lead:J") and one.ends for end in one.ends]

    def own(key: str, centres: list[tuple[float, float]]) -> tuple[float, float]:
        rim = key.endswith((".case", ".frame"))
        free = [c for c in centres if not rim or all(math.dist(c, end) > 0.05 for end in bends)]
        return (free or centres)[0]

    return {key: own(key, centres) for key, centres in lug_marks(paths).items()}
