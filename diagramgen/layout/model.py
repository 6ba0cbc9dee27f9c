"""The layout: where everything lies on the plan, in mm, as seen on the solder side.

The plan holds one region for each cavity, at true scale inside, and one stall for the parts outside beside
each channel opening. Between regions the plan is not to scale. A build without a cavity has one region, the
board, whose places were chosen by the program.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import PurePath

from diagramgen.kernel.brief import brief, counted
from diagramgen.kernel.geometry import Box, Line, Path, Piece, Point, Transform
from diagramgen.library.model import Shape, Zone
from diagramgen.model.build import Build, Cavity, Channel, Lead, Part


@dataclass(frozen=True)
class PlacedLug:
    """A lug at its place on the plan."""

    part: str
    name: str
    at: Point
    depth: float
    away: float | None
    kind: str
    tongue: Path | None
    hole: float
    takes: int

    @property
    def key(self) -> str:
        """``part.lug``."""
        return f"{self.part}.{self.name}"


@dataclass(frozen=True)
class PlacedPart:
    """A part with its geometry moved to the plan."""

    part: Part
    shape: Shape
    place: Transform
    """From the symbol's coordinates to the plan."""
    region: str
    outside: bool
    """Drawn not to scale, outside the cavities."""
    automatic: bool
    """Its place was chosen by the program."""
    body: tuple[Zone, ...]
    details: tuple[Zone, ...]
    keep_clear: tuple[Zone, ...]
    lugs: Mapping[str, PlacedLug]
    box: Box


@dataclass(frozen=True)
class Region:
    """A piece of the plan that leads are routed in: a cavity, a stall outside, or the board."""

    name: str
    kind: str
    """cavity | stall | board."""
    cavity: Cavity | None
    outline: Path
    shift: Point
    """What was added to the cavity's own coordinates."""
    flipped: bool
    box: Box
    posts: tuple[Path, ...] = ()
    """Outlines of the posts left standing in a cavity."""


@dataclass(frozen=True)
class ChannelPort:
    """A channel's opening in a region: leads pass it side by side at their ``slots``."""

    channel: str
    region: str
    centre: Point
    inward: float
    """Direction into the region, radians."""
    width: float
    slots: Mapping[str, Point]
    """Lead tag -> where it passes."""


@dataclass(frozen=True)
class Span:
    """A stretch of a lead on the plan."""

    region: str
    kind: str
    """inside (true scale) | channel (drawn short or long; its true length is in ``true_length``) | outside."""
    path: Path
    true_length: float | None
    """mm as laid in the instrument; None where nothing was measured."""
    over: tuple[str, ...] = ()


@dataclass(frozen=True)
class LaidLead:
    """A lead with its way over the plan, from its start to its end."""

    lead: Lead
    spans: tuple[Span, ...]
    faults: tuple[str, ...]

    @property
    def path(self) -> Path:
        """All stretches as one path."""
        pieces: list[Piece] = []
        for span in self.spans:
            if pieces and pieces[-1].to != span.path.start:
                pieces.append(Line(span.path.start))
            pieces.extend(span.path.pieces)
        return Path(self.spans[0].path.start, tuple(pieces))


@dataclass(frozen=True, repr=False)
class Layout:
    """Everything placed and routed."""

    build: Build
    regions: Mapping[str, Region]
    parts: Mapping[str, PlacedPart]
    ports: tuple[ChannelPort, ...]
    channels: Mapping[str, Channel]
    leads: tuple[LaidLead, ...]
    to_scale: bool
    box: Box
    mirrored: bool = False
    """Seen from the other side (by a view, never by the hand of the instrument): what lay above lies beneath."""

    def __repr__(self) -> str:
        """One line: the file, how many parts and leads are laid, whether to scale."""
        return brief("Layout", f"{PurePath(self.build.file).stem}: {counted(len(self.parts), 'part')}",
                     counted(len(self.leads), "lead"), "to scale" if self.to_scale else "not to scale")
