"""The labels somebody asks for: which, on what, and the files they make."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from diagramgen.analysis import Analysis, examine
from diagramgen.features.labels import compute
from diagramgen.features.labels.compute import LabelWords
from diagramgen.features.labels.files import label_files
from diagramgen.features.labels.label_stock import READY, LabelSheet, read_label_sheet, ready_names, tape_sheet
from diagramgen.features.labels.sheet import LabelRun
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, nearest
from diagramgen.kernel.errors import NotAvailable, UnknownName, WrongValue
from diagramgen.kernel.geometry import Point
from diagramgen.kernel.provenance import read_bytes
from diagramgen.model.build import Build
from diagramgen.sheets.scale_marks import TRUE, Correction

LENGTHS = {"flags": 50.0, "wraps": 50.0, "sleeves": 46.0, "parts": 40.0, "bags": 60.0}
"""Kind of label -> how long it is on tape where nobody says, mm. The kinds in the order they are printed."""
OF_LEADS = {"flags": compute.FLAG, "wraps": compute.WRAP, "sleeves": compute.SLEEVE}

AS_IT_LIES = Point(0.0, 0.0)


class NoBuildAsFound(NotAvailable):
    """Bags of old parts are asked for, and nobody says what the instrument was found with."""


@dataclass(frozen=True)
class LabelWish:
    """Which labels, and what they are printed on. Lengths in mm."""

    kinds: tuple[str, ...] = ("flags",)
    only: tuple[str, ...] = ()
    """Tags of leads; none for all."""
    sheet_name: str = "4x12-a4"
    """A ready label sheet, or the path of one's own file."""
    tape: float | None = None
    """Width of continuous tape, in place of a label sheet."""
    length: float | None = None
    """Of a label on tape."""
    skip: int = 0
    """Labels of the first sheet used already."""
    outlines: bool = False
    module: float = 0.0
    """Side of a module of the QR code; 0 for none."""
    before: Path | None = None
    """The build as found, where the build does not name it."""
    automatic_tags: bool = False
    """Whether tags that do not stand in the file will do."""
    correction: Correction = TRUE
    shift: Point = AS_IT_LIES
    """Right and down."""

    @property
    def files(self) -> tuple[Path, ...]:
        """Files that the labels are made from beside the build's."""
        return (*(() if self.before is None else (self.before,)), Path(self.sheet_name))


def labels_wished(
    analysis: Analysis, wish: LabelWish, say: Diagnostics, symbols: Path | None = None
) -> dict[str, bytes]:
    """The files of the labels by name; none where ``say`` got an error.

    Parameters: analysis - one whose build was read without errors; symbols - folder of one's own for ``wish.before``.
    Raises ``UnknownName`` for a tag or label sheet, ``WrongValue`` for a size or count, ``NotAvailable`` where there is
    nothing to label.
    """
    assert analysis.build is not None
    wanted = _wanted(analysis.build, symbols, wish, say)
    sheet = _sheet(wish, len(wanted), say)
    if sheet is None or say.has_errors:
        return {}
    if wish.skip >= sheet.count:
        raise WrongValue(f"a sheet '{sheet.name}' has {sheet.count} labels: take a new sheet")
    if not wanted:
        raise NotAvailable("there is nothing to label")
    run = LabelRun(sheet, wish.skip, wish.outlines, wish.module, analysis.build.job, analysis.checksum,
                   wish.correction, wish.shift)
    return label_files(wanted, run, say)


def _wanted(build: Build, own: Path | None, wish: LabelWish, say: Diagnostics) -> list[LabelWords]:
    """The labels of every kind asked for, in the order of the kinds."""
    only = tuple(tag.upper() for tag in wish.only)
    leads = compute.labelled_leads(build, only)
    for tag in only:
        if tag not in {lead.tag for lead in leads}:
            tags = [lead.tag.lower() for lead in compute.labelled_leads(build)]
            raise UnknownName(f"no lead to label is tagged {tag}. {nearest(tag, tags)}".rstrip())
    result: list[LabelWords] = []
    if any(kind in OF_LEADS for kind in wish.kinds):
        compute.check_pinned(leads, say, insist=not wish.automatic_tags)
    for kind in (k for k in LENGTHS if k in wish.kinds):
        if kind in OF_LEADS:
            result += compute.lead_labels(build, OF_LEADS[kind], only)
            result += compute.cable_labels(build, OF_LEADS[kind]) if kind != "sleeves" and not only else ()
        elif kind == "parts":
            result += compute.part_labels(build)
        else:
            result += _bags(build, own, wish.before, say)
    return result


def _bags(build: Build, own: Path | None, before: Path | None, say: Diagnostics) -> tuple[LabelWords, ...]:
    if before is None and build.as_found is not None:
        return compute.bag_labels(build.as_found.build, build)
    if before is None:
        raise NoBuildAsFound("for the bags of old parts name the build as found")
    found = examine(before, own, reading=True)
    say.extend(p for p in found.problems if p.severity is Severity.ERROR)
    return compute.bag_labels(found.build, build) if found.build is not None else ()


def _sheet(wish: LabelWish, count: int, say: Diagnostics) -> LabelSheet | None:
    """The label sheet asked for: tape, ready or a file of one's own."""
    if wish.tape is not None:
        length = wish.length if wish.length is not None else max(LENGTHS[kind] for kind in wish.kinds)
        try:
            return tape_sheet(wish.tape, length, count + wish.skip)
        except ValueError as fault:
            raise WrongValue(str(fault)) from fault
    if wish.length is not None:
        raise WrongValue("a length goes with a tape; a label sheet has its own")
    name = wish.sheet_name
    if name in ready_names():
        path = READY / f"{name}.yaml"
    elif "." not in name and "/" not in name and "\\" not in name:
        raise UnknownName(f"there is no ready label sheet '{name}'. {nearest(name, ready_names())}")
    else:
        path = Path(name)
    data = read_bytes(path, say)
    return read_label_sheet(data, str(path), say) if data is not None else None
