"""What a kind of sheet declares of itself, once: read by the command line, the docs, the contents and the printer.

A module ``features/NAME/..._kind.py`` holds one ``KIND``; ``sheets/registry.py`` finds it. Nothing heavy is imported
here nor in those modules before a sheet is made, so that ``--help`` stays quick.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diagramgen.analysis import Analysis
    from diagramgen.drawing.scene import Sheet
    from diagramgen.kernel.paper import Paper
    from diagramgen.sheets.context import SheetContext, SheetMaker


@dataclass(frozen=True)
class Request:
    """What to print and how."""

    paper: str = ""
    """Name of the paper; '' for what the build says, else A4."""
    sheets: tuple[str, ...] = ()
    """Names of kinds; none for the usual ones."""
    png: bool = False
    dpi: float = 150.0
    lettering: str = "font"
    anyway: bool = False
    bar_measures: tuple[float, float] = (100.0, 100.0)
    """What the level and the upright bar of 100 mm measured on an uncorrected print, mm."""
    states: tuple[tuple[tuple[str, str], ...], ...] = ()
    """States shown on the sheets of states and of curves, each as pairs of control and position."""
    knobs: tuple[tuple[tuple[str, float], ...], ...] = ()
    """Settings of the knobs on the sheet of curves, each as pairs of ``part.control`` and 0 to 10."""
    spool: float = 0.0
    """What one length of wire measures on the sheet of work, mm; 0 for any length."""


@dataclass(frozen=True)
class PrintJob:
    """All that a kind of sheet is made from."""

    analysis: Analysis
    context: SheetContext
    paper: Paper
    request: Request
    kinds: tuple[str, ...]
    """Names of the kinds that are made, in the order of their sheets."""
    others: Mapping[str, Sequence[SheetMaker]] = field(default_factory=dict)
    """The sheets of every kind, in order, for those kinds that name the others; empty before they are known."""

    def only(self, *names: str) -> bool:
        """Whether no kinds but these are made."""
        return set(self.kinds) <= set(names)


@dataclass(frozen=True)
class Need:
    """What a build must have for a kind of sheet; ``sheets/needs.py`` has them."""

    about: str
    lacks: Callable[[Analysis], str]
    """Why a build does not have it, with what to do about it; '' where it has it."""


class Pictures(Enum):
    """Which files, besides the PDF, are made of the sheets of a kind."""

    NONE = "no file of its own"
    PNG = "PNG where asked for: name-1, name-2"
    NAMED = "SVG, and PNG where asked for: name, name-2"
    NUMBERED = "SVG, and PNG where asked for: name-1, name-2"


@dataclass(frozen=True)
class SheetKind:
    """A kind of sheet: one declaration."""

    name: str
    """The word of ``--sheet`` and of the file."""
    title: str
    """Its chapter in the contents and the PDF."""
    place: int
    """Sheets are numbered, and stand in the packet, in the order of these."""
    make: Callable[[PrintJob], list[SheetMaker]]
    """The sheets; empty where there is nothing to show."""
    about: str = ""
    """What it is for, in the contents."""
    hint: str = ""
    """What it is, where ``--help`` lists what is made on request."""
    default: bool = False
    """Whether it is made when nothing is asked for."""
    in_packet: bool = False
    """Whether a packet holds it, as it holds those made by default."""
    needs: tuple[Need, ...] = ()
    unscaled: str = ""
    """The kind that is made in its place of a build without measured places."""
    brings: tuple[str, ...] = ()
    """Kinds that are printed behind it; it comes before all others then, and they are in its PDF."""
    names_others: bool = False
    """Whether it speaks of the numbers of other sheets, so that it is made when those are known."""
    tags: bool = False
    """Whether its lead tags lead to the rows of the lead list."""
    rows: bool = False
    """Whether it holds the rows that lead tags lead to, and lists what is to be known of each lead."""
    binds: bool = False
    """Whether it binds all others into one file with contents and links: the packet."""
    pictures: Pictures = Pictures.NUMBERED
    picture: Callable[[PrintJob, Sequence[Sheet]], dict[str, Sheet]] | None = None
    """Pictures by name, where they are not its sheets."""
    own_pdf: bool = False
    """Whether it has a PDF by itself and is in no other one unless asked for with others."""
    export: Callable[[PrintJob], dict[str, bytes]] | None = None
    """Files for other programs that go with it."""

    def unavailable(self, analysis: Analysis) -> str:
        """Why a build has no sheet of this kind, with what to do about it; '' where it has one."""
        return next(filter(None, (need.lacks(analysis) for need in self.needs)), "")
