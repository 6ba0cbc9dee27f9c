"""What a symbol is: its outline, lugs, controls, contacts, electrical elements and metal, as data.

A ``Symbol`` is what the file says, with dimensions as parameters. ``shape.shape_of`` turns it into a
``Shape`` in millimetres for the dimensions of the part on the bench. Origin: the mounting point (the
bushing's centre for a control); x right, y down, seen on the solder side with the lugs down.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from types import MappingProxyType
from typing import NamedTuple

from diagramgen.kernel.diagnostics import Location
from diagramgen.kernel.geometry import Path, Point
from diagramgen.library.expressions import Sum


@dataclass(frozen=True)
class Dimension:
    """A measure of the part in mm that a build may override; ``source`` says where it comes from."""

    name: str
    value: float
    says: str
    source: str


@dataclass(frozen=True)
class TypicalValue:
    """An electrical value (SI) a build may override; figures that rest on it are printed as assumed.

    ``quantity`` is one of: resistance, capacitance, inductance, voltage, current, number, word.
    """

    name: str
    quantity: str
    value: float | str | None
    says: str
    source: str


@dataclass(frozen=True)
class Figure:
    """An outline in sums: a disc, box, polygon or line, between two depths below the mounting surface."""

    form: str
    """disc | box | polygon | line."""
    sizes: tuple[Sum, ...]
    """disc: diameter; box: width, height; polygon and line: x, y, x, y, ..."""
    at: tuple[Sum, Sum]
    corner: Sum
    low: Sum
    high: Sum
    draw: str
    """body | detail | hidden | swing: how it is drawn."""


LUG_KINDS = ("eyelet", "pad", "spot", "conductor", "screw", "clip", "leg", "sleeve")


@dataclass(frozen=True)
class LugPattern:
    """Lugs laid out by rule; positions are computed, never typed in.

    ``form``: row (along x), grid (rows of rows), arc (about ``at``), spot (one). ``names`` hold rows of
    lug names, '' for a position without a lug.
    """

    form: str
    names: tuple[tuple[str, ...], ...]
    at: tuple[Sum, Sum]
    pitch: tuple[Sum, Sum]
    turned: float
    """Turn of the whole pattern about ``at`` in radians, clockwise as seen."""
    radius: Sum
    first: float
    step: float
    depth: Sum
    depth_pitch: Sum
    away: float | None
    """Direction a lead leaves, radians, before the part is turned; None for any."""
    outward: bool
    """Each lug points away from ``at`` (arc)."""
    kind: str
    tongue: tuple[Sum, Sum] | None
    """Width and length of the metal tongue drawn from the body to the eyelet."""
    hole: Sum
    takes: int
    """Wires one lug takes."""


@dataclass(frozen=True)
class Mounting:
    """What goes through the wood or plate, in sums (mm); absent sums are 0."""

    hole: Sum
    bushing: Sum
    thread: Sum
    washers: Sum
    nut: Sum
    shaft: Sum
    shaft_length: Sum
    slot: tuple[Sum, Sum] | None
    screws: tuple[tuple[Sum, Sum], ...]
    screw_hole: Sum
    pin: tuple[Sum, Sum] | None
    """Where an anti-turn pin presses against the wood."""
    pin_hole: Sum
    side: str
    """wood (hung under the top or plate) | floor (screwed to the cavity's floor) | none."""


@dataclass(frozen=True)
class Control:
    """Something the player moves (or a plug that is pushed in)."""

    name: str
    kind: str
    """knob | switch | plug | trimmer."""
    positions: tuple[str, ...]
    words: tuple[str, ...]
    momentary: bool
    detent: str


@dataclass(frozen=True)
class ContactRow:
    """Lugs joined at a position; ``between`` names the two neighbours a control passes between."""

    position: str
    between: tuple[str, str] | None
    joins: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class ContactTable:
    """The closure table of one control, with the check that settles it on the real part."""

    control: str
    rows: tuple[ContactRow, ...]
    moving: str
    """break before make | make before break | unknown."""
    check: str


class Limits(NamedTuple):
    """Where a value of an element lies, in SI units (common practice, no source)."""

    low: float
    high: float
    """Outside these a slip of the pen is meant: the value is refused."""
    usual: tuple[float, float] | None = None
    """Where it lies in instruments: outside, a prefix is probably missing, and it is asked."""
    quantity: str = ""
    """What it is a figure of, where the parameter is not called so."""


class ElementForm(NamedTuple):
    """What a symbol file writes of a kind of element: its ends, and the limits of its values where they have any."""

    ends: tuple[str, ...]
    limits: Mapping[str, Limits] = MappingProxyType({})


ELEMENT_FORMS: Mapping[str, ElementForm] = MappingProxyType({
    "track": ElementForm(("zero", "wiper", "ten"), {"resistance": Limits(100.0, 20e6, usual=(5e3, 5e6))}),
    "coil": ElementForm(("start", "finish"), {
        "resistance": Limits(0.05, 200e3, usual=(200.0, 60e3)), "inductance": Limits(1e-5, 50.0),
        "capacitance": Limits(1e-12, 20e-9), "loss": Limits(100.0, 1e9, quantity="resistance"),
        "turns": Limits(1.0, 100e3), "area": Limits(1.0, 20e3), "wire": Limits(36.0, 50.0)}),
    "capacitor": ElementForm(("one", "other"), {"capacitance": Limits(1e-12, 5e-3, usual=(40e-12, 1.1e-6))}),
    "resistor": ElementForm(("one", "other"), {"resistance": Limits(0.1, 100e6)}),
    "transducer": ElementForm(("hot", "ground"), {"capacitance": Limits(1e-11, 1e-6)}),
    "buffer": ElementForm(("in", "out", "ground", "plus"), {
        "input": Limits(1e3, 1e9, quantity="resistance"), "output": Limits(1.0, 1e6, quantity="resistance")}),
    "cell": ElementForm(("plus", "minus"), {"voltage": Limits(0.5, 48.0)}),
    "lamp": ElementForm(("plus", "minus")),
    "link": ElementForm(("one", "other")),
})
"""The word of a symbol file (``is: coil``) -> its form. What a kind does in a circuit is a file of its own in
``circuit.elements``; a ``link`` has none there: it is a joint."""


@dataclass(frozen=True)
class Element:
    """An electrical element between lugs; ``values`` name typical values of the symbol."""

    kind: str
    name: str
    ends: Mapping[str, str]
    values: Mapping[str, str]
    by: str
    says: str


@dataclass(frozen=True)
class Metal:
    """A piece of metal: the lugs on it, whether a hand can touch it, whether the nut joins it to the plate."""

    name: str
    lugs: tuple[str, ...]
    touchable: bool
    by_nut: bool


@dataclass(frozen=True)
class Drawing:
    """Figures and lugs of one way to draw the part."""

    body: tuple[Figure, ...]
    details: tuple[Figure, ...]
    keep_clear: tuple[Figure, ...]
    lugs: tuple[LugPattern, ...]


@dataclass(frozen=True)
class Symbol:
    """One kind of part, as its file says."""

    name: str
    kind: str
    family: str
    about: str
    check: str
    dimensions: Mapping[str, Dimension]
    values: Mapping[str, TypicalValue]
    drawing: Drawing
    outside: Drawing | None
    """How the part is drawn where it stands outside the cavity, if other than at true size."""
    mounting: Mounting
    controls: tuple[Control, ...]
    contacts: tuple[ContactTable, ...]
    modes: Mapping[str, Mapping[str, str]]
    """Word -> control -> position, for parts whose several switches act as one."""
    elements: tuple[Element, ...]
    metal: tuple[Metal, ...]
    lug_words: Mapping[str, str]
    """Lug name -> what is printed beside it, where that is shorter or plainer."""
    heat_sensitive: bool
    between_lugs: bool
    """A component hung by its own legs between two lugs (capacitor, resistor)."""
    cable_diameter: float | None
    place: Location = field(compare=False)

    def lug_names(self) -> tuple[str, ...]:
        """All lugs in the order of the file."""
        found = [n for p in self.drawing.lugs for row in p.names for n in row if n]
        return tuple(dict.fromkeys(found))

    def sections(self) -> tuple[str, ...]:
        """The coil elements that are sections of one tapped winding, start to finish; none where there is no tap.

        Sections lie end to start, share one winding sense and are all the coils there are.
        """
        coils = [e for e in self.elements if e.kind == "coil"]
        chained = all(one.ends.get("finish") == other.ends.get("start") for one, other in pairwise(coils))
        tapped = len(coils) > 1 and chained and len({e.values.get("winding") for e in coils}) == 1
        return tuple(e.name for e in coils) if tapped else ()

    def control(self, name: str) -> Control | None:
        """A control by name."""
        return next((c for c in self.controls if c.name == name), None)


@dataclass(frozen=True)
class Lug:
    """A point that takes solder, at its true place in the symbol's own coordinates (mm, rad)."""

    name: str
    at: Point
    depth: float
    away: float | None
    kind: str
    tongue: Path | None
    hole: float
    takes: int


@dataclass(frozen=True)
class Zone:
    """A piece of the part's body: outline in mm and the depths it fills below the mounting surface."""

    outline: Path
    low: float
    high: float
    draw: str


@dataclass(frozen=True)
class Shape:
    """A symbol worked out in mm for given dimensions."""

    body: tuple[Zone, ...]
    details: tuple[Zone, ...]
    keep_clear: tuple[Zone, ...]
    lugs: Mapping[str, Lug]
    hole: float
    bushing: float
    thread: float
    washers: float
    nut: float
    shaft: float
    shaft_length: float
    slot: tuple[float, float] | None
    screws: tuple[Point, ...]
    screw_hole: float
    pin: Point | None
    pin_hole: float

    @property
    def depth(self) -> float:
        """How far the part reaches below its mounting surface, in mm, lugs included."""
        return max([z.high for z in self.body] + [lug.depth for lug in self.lugs.values()], default=0.0)
