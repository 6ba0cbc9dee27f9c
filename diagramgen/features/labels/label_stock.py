"""Sheets of labels described by their geometry: read from a small YAML file or a ready one, and proved.

All lengths in mm. A tape is a sheet of one row whose labels follow one another without a gap.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from diagramgen.features.labels.codes import LAB_403
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.kernel.geometry import Box, Point
from diagramgen.kernel.paper import PAPERS
from diagramgen.yamlfile.codes import INP_012
from diagramgen.yamlfile.nodes import Node, SequenceNode, decode, parse
from diagramgen.yamlfile.schema_fields import OFFSET, Choice, Field, FreeText, Number, PointKind, Record, Schema, Values

READY = Path(__file__).resolve().parents[2] / "labelsheets"
LEAST = Point(12.0, 4.0)
"""The smallest label that can say anything in letters of 1.8 mm, mm."""
LONGEST_STRIP = 250.0
"""A strip of tape is cut into pages of at most this length, mm."""
PRINTABLE = 4.0
"""Most desk printers cannot print the outer 4 mm of a sheet (common practice, no source)."""


@dataclass(frozen=True)
class LabelSheet:
    """The labels of one sheet: a grid of equal ones."""

    name: str
    width: float
    height: float
    columns: int
    rows: int
    label: Point
    """Width and height of a label."""
    pitch: Point
    """From the left edge of a label to that of the next, and from upper edge to upper edge."""
    margin: Point
    """The upper left corner of the first label, from the upper left corner of the sheet."""
    corner: float = 0.0
    """Radius of the labels' corners."""
    tape: bool = False

    @property
    def count(self) -> int:
        """Labels on a sheet."""
        return self.columns * self.rows

    def cell(self, index: int) -> Box:
        """A label's place on the sheet; labels count along the rows."""
        row, column = divmod(index % self.count, self.columns)
        left, top = self.margin.x + column * self.pitch.x, self.margin.y + row * self.pitch.y
        return Box(left, top, left + self.label.x, top + self.label.y)


class _PaperKind:
    """A paper's name, or its width and height."""

    def read(self, node: Node, say: Diagnostics) -> Point | None:
        """Width and height in mm."""
        if isinstance(node, SequenceNode) or any(c in getattr(node, "text", "") for c in ",["):
            return PointKind().read(node, say)
        word = Choice(tuple(PAPERS)).read(node, say)
        return Point(PAPERS[word].width, PAPERS[word].height) if word else None

    def schema(self) -> Schema:
        """A word or two numbers."""
        return {"anyOf": [Choice(tuple(PAPERS)).schema(), PointKind().schema()]}


_COUNT = Number(1, 100, whole=True)
SHEET = Record("a label sheet", (
    Field("about", FreeText(), "What it is."),
    Field("paper", _PaperKind(), "a4, a5, letter ... or [width, height].", required=True),
    Field("columns", _COUNT, "Labels side by side.", required=True),
    Field("rows", _COUNT, "Labels below one another.", required=True),
    Field("label", PointKind(), "Width and height of a label.", required=True, unit="mm"),
    Field("pitch", PointKind(), "From label to label, to the right and down.", unit="mm", default="label"),
    Field("margin", PointKind(), "Upper left corner of the first label.", unit="mm", default="centred"),
    Field("corner", OFFSET, "Radius of the corners.", unit="mm", default="0"),
))


def ready_names() -> tuple[str, ...]:
    """Names of the ready label sheets."""
    return tuple(sorted(path.stem for path in READY.glob("*.yaml")))


def read_label_sheet(data: bytes, file: str, say: Diagnostics) -> LabelSheet | None:
    """The label sheet in a file's bytes; every fault of it goes to ``say`` (LAB-403), None where it cannot be used."""
    text = decode(data, file, say)
    if text is None:
        return None
    say.know(file, text)
    node = parse(text, file, say)
    values = SHEET.read(node, say) if node is not None else None
    if values is None or say.has_errors:
        if not say.has_errors:
            say.add(INP_012, Location(file), "the file is empty", "Copy a ready label sheet and change it.")
        return None
    sheet = _sheet(values, Path(file).stem)
    check_label_sheet(sheet, values, say)
    return None if say.has_errors else sheet


def _sheet(values: Values, name: str) -> LabelSheet:
    paper, label = values.get("paper"), values.get("label")
    columns, rows = int(values.get("columns")), int(values.get("rows"))
    pitch = values.get("pitch", label)
    whole = Point((columns - 1) * pitch.x + label.x, (rows - 1) * pitch.y + label.y)
    margin = values.get("margin", Point((paper.x - whole.x) / 2, (paper.y - whole.y) / 2))
    return LabelSheet(name, paper.x, paper.y, columns, rows, label, pitch, margin, values.get("corner", 0.0))


def check_label_sheet(sheet: LabelSheet, values: Values, say: Diagnostics) -> None:
    """Labels that overlap, leave the paper or are too small, each said at the key that makes them so."""
    for axis, word, count in (("x", "width", sheet.columns), ("y", "height", sheet.rows)):
        size, pitch = getattr(sheet.label, axis), getattr(sheet.pitch, axis)
        first, paper = getattr(sheet.margin, axis), getattr(sheet, word)
        if size < getattr(LEAST, axis):
            say.add(LAB_403, values.at("label"), f"labels of {size:g} mm {word} are too small to be read",
                    f"At least {LEAST.x:g} x {LEAST.y:g} mm hold a tag in letters of 1.8 mm.")
        if count > 1 and pitch < size - 1e-9:
            say.add(LAB_403, values.at("pitch"), f"labels of {size:g} mm {word} overlap at a pitch of {pitch:g} mm",
                    "The pitch counts from edge to same edge: measure over several labels and divide.")
        last = first + (count - 1) * pitch + size
        if first < -1e-9 or last > paper + 1e-9:
            say.add(LAB_403, values.at("margin") if values.has("margin") else values.at("pitch"),
                    f"{count} labels reach from {first:.4g} to {last:.4g} mm, off a paper of {paper:g} mm {word}",
                    "Check paper, margin, pitch and the number of labels.")
    if not 0 <= sheet.corner <= min(sheet.label.x, sheet.label.y) / 2 + 1e-9:
        say.add(LAB_403, values.at("corner"), f"corners of {sheet.corner:g} mm are larger than half a label",
                "The corner is a radius.")


def tape_sheet(width: float, length: float, count: int) -> LabelSheet:
    """Continuous tape of ``width`` mm cut into labels of ``length`` mm; a page is a strip of up to 250 mm.

    Raises ``ValueError`` with a sentence for a tape or length on which nothing can be read.
    """
    if not LEAST.y <= width <= 120:
        raise ValueError(f"a tape of {width:g} mm: from {LEAST.y:g} to 120 mm can be labelled")
    if not LEAST.x <= length <= LONGEST_STRIP:
        raise ValueError(f"labels of {length:g} mm length: from {LEAST.x:g} to {LONGEST_STRIP:g} mm can be cut")
    columns = max(1, min(count, int(LONGEST_STRIP / length + 1e-9)))
    return LabelSheet(f"tape-{width:g}", columns * length, width, columns, 1, Point(length, width),
                      Point(length, width), Point(0.0, 0.0), 0.0, True)
