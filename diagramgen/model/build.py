"""What a build file says, as frozen data. Lengths in mm, angles in radians, electrical values in SI.

Positions are as written; ``Build.flipped`` says that the file's plan is a mirror image of what is seen on
the solder side of this instrument (a right-handed plan for a left-handed instrument, or measures taken
from the player's side), so that placement mirrors positions and turns, never the parts themselves.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import PurePath
from typing import TYPE_CHECKING

from diagramgen.kernel.brief import brief, counted
from diagramgen.kernel.colours import LeadColour
from diagramgen.kernel.diagnostics import Location
from diagramgen.kernel.geometry import Path, Point
from diagramgen.library.model import Symbol

if TYPE_CHECKING:
    from diagramgen.model.results import Results

UNKNOWN = "unknown"
PARKED = "parked"


@dataclass(frozen=True)
class End:
    """One end of a lead: a lug of a part, or ``unknown`` (not traced yet), or ``parked`` (capped, in the air)."""

    part: str
    lug: str
    place: Location = field(compare=False)

    @property
    def known(self) -> bool:
        """Whether it is a lug."""
        return self.part not in (UNKNOWN, PARKED)

    def __str__(self) -> str:
        return f"{self.part}.{self.lug}" if self.lug else self.part


@dataclass(frozen=True)
class Plate:
    """A plate that carries the controls: which side it hinges on when opened, and whether it is metal."""

    hinge: str
    """left | right | top | bottom | '' (lifts off)."""
    metal: bool
    thickness: float


@dataclass(frozen=True)
class Post:
    """A screw post or other wood left standing in a cavity."""

    at: Point
    diameter: float


@dataclass(frozen=True)
class Cavity:
    """A space with outline, depth and wood, or a field of holes in the top without one (``outline`` None).

    Coordinates inside a cavity count from the upper left of its outline's box unless the outline was
    given as a polygon, path or SVG file, whose own coordinates are kept.
    """

    name: str
    says: str
    opened: str
    """rear | front | side | none."""
    outline: Path | None
    depth: float | None
    wood: float | None
    """Wood (or plate) above the cavity that a bushing must pass, where a part gives no figure of its own."""
    posts: tuple[Post, ...]
    plate: Plate | None
    cover: float
    """What the cover takes away from the depth (foil, thickness let in), mm."""
    opening: float | None
    """Clear width of the opening through which a harness is fished, for holes without a cavity."""
    at: Point | None
    place: Location = field(compare=False)


@dataclass(frozen=True)
class Channel:
    """A drilled passage from a cavity to another cavity or to the outside."""

    name: str
    cavity: str
    to: str
    """The other cavity, or '' for the outside."""
    at: Point
    """Its mouth in ``cavity`` (snapped to the nearest wall when drawn)."""
    far: Point | None
    """Its mouth in the cavity ``to``."""
    diameter: float
    length: float | None
    place: Location = field(compare=False)


@dataclass(frozen=True)
class Part:
    """A symbol placed in a build, with its values."""

    name: str
    symbol: Symbol
    says: str
    """What the shop or player calls it; the name where nothing is given."""
    cavity: str
    """Where it is mounted; '' for a part outside every cavity or a build without one."""
    through: str
    """The channel its leads come through, for a part outside."""
    at: Point | None
    turned: float
    """Clockwise as seen, 0 with the lugs down."""
    dimensions: Mapping[str, float]
    values: Mapping[str, float | str]
    colours: Mapping[str, LeadColour]
    """Lug -> colour of the conductor of the part's own cable."""
    between: tuple[End, End] | None
    """The two lugs a component hangs between by its own legs (in the order of the symbol's lugs)."""
    mounted_on: str
    """A plate or shield part its metal sits on."""
    wood: float | None
    """Wood at this very hole, where it differs from the cavity's."""
    cable_length: float | None
    """Length of the part's own cable or leads, mm."""
    knob_bore: float | None
    note: str
    place: Location = field(compare=False)
    places: Mapping[str, Location] = field(default_factory=dict, compare=False)
    """Key -> where it was written (at, turned, values, ...)."""
    meant: str = ""
    """What is meant where a control or component does not do what its kind is for; '' where nothing is said."""
    metered: Mapping[str, str] = field(default_factory=dict)
    """Value that was metered on this very part -> when, '' where that is not said."""


LEAD_KINDS = ("wire", "shielded", "bare", "leg", "bend", "sleeved", "bridge")


@dataclass(frozen=True)
class Lead:
    """One conductor between two lugs.

    Kinds: ``wire`` (hook-up wire or a conductor of a part's cable), ``shielded`` (with a braid of its own),
    ``bare`` (bus wire), ``leg`` (a component's own leg), ``bend`` (a lug bent to its case), ``sleeved`` (two
    conductors joined in the air under a sleeve), ``bridge`` (solder from lug to lug).
    """

    tag: str
    pinned: bool
    """Whether the tag stands in the file (a tag given by order may change when a line is put in)."""
    start: End
    end: End
    colour: LeadColour | None
    kind: str
    gauge: int | None
    diameter: float | None
    length: float | None
    """Cut length ordered in the file, in place of the one worked out."""
    cloth: bool
    cable: str
    """The cable it runs in: a name under ``cables``, or the part whose own conductor it is; ''."""
    shield_to: tuple[End, ...]
    shield_cut: bool
    via: tuple[Point, ...]
    channels: tuple[str, ...]
    """Channels to pass, in order, where the file says so."""
    along_wall: bool
    over: tuple[str, ...]
    under: tuple[str, ...]
    apart_from: tuple[str, ...]
    twisted_with: str
    reused: bool
    """Found in the instrument and kept."""
    bus: str
    """The bus wire it is a stretch of."""
    remark: str
    place: Location = field(compare=False)

    @property
    def is_wire(self) -> bool:
        """Whether wire is cut for it (legs, bends and bridges need none)."""
        return self.kind in ("wire", "shielded", "bare")


@dataclass(frozen=True)
class UnreadLead:
    """A lead line that could not be read: left out of the drawing, and the number it will have kept for it."""

    tag: str
    """'' where it cannot be told which number it will have."""
    pinned: bool
    is_wire: bool
    says: str
    """As written, or which lines are meant."""
    place: Location = field(compare=False)
    leg: End | None = None
    """The component's lug where it is that component's own leg."""
    counts: bool = True
    """Whether it stands for one number; else it is not known how many leads are missing here."""


@dataclass(frozen=True)
class Cable:
    """Several conductors in one jacket that is not a part's own."""

    name: str
    diameter: float
    colours: tuple[LeadColour, ...]
    shielded: bool
    shield_to: tuple[End, ...]
    place: Location = field(compare=False)


@dataclass(frozen=True)
class Wanted:
    """What a state shall give: checked by the circuit proof."""

    when: Mapping[str, str]
    sounds: str
    phase: str
    hum: str
    place: Location = field(compare=False)
    at: str = ""
    """``part.lug`` of the jack's contact where it is heard; '' for the main output."""


@dataclass(frozen=True)
class Load:
    """What is plugged in: cable and amplifier input."""

    cable_length: float
    """mm."""
    cable_capacitance: float
    """F per metre."""
    amplifier: float
    """Ohm."""
    assumed: bool


@dataclass(frozen=True)
class Photograph:
    """A photograph as it is printed: upright, at most as large as a page needs, nothing but the picture in it."""

    file: str
    says: str
    data: bytes
    """PNG or JPEG."""
    width: int
    height: int
    """Picture elements."""
    place: Location = field(compare=False)


@dataclass(frozen=True)
class WorkRecord:
    """What the customer's record says of the work, in the shop's words."""

    asked: str = ""
    done: tuple[str, ...] = ()
    why: str = ""
    fitted: tuple[str, ...] = ()
    handed_back: tuple[str, ...] = ()
    undo: tuple[str, ...] = ()
    next_technician: tuple[str, ...] = ()
    care: tuple[str, ...] = ()
    battery: str = ""
    warranty: str = ""
    done_by: str = ""
    photographs: tuple[Photograph, ...] = ()


NOTHING_TOLD = WorkRecord()


@dataclass(frozen=True)
class AsFound:
    """The build of an instrument before the work, and where it is named."""

    build: Build
    place: Location = field(compare=False)
    named: bool = True
    """Whether the file names it as such; else it is the base of a file of changes."""


@dataclass(frozen=True, repr=False)
class Build:
    """One instrument's wiring."""

    file: str
    title: str
    job: str
    instrument: str
    record: Mapping[str, str]
    """customer, workshop, drawn by, date, revision, note: as written, for the title block."""
    hand: str
    flipped: bool
    neck: str
    """Where the neck is, as seen on the solder side: left | right | up | down | ''."""
    paper: str
    cavities: Mapping[str, Cavity]
    channels: Mapping[str, Channel]
    parts: Mapping[str, Part]
    leads: tuple[Lead, ...]
    cables: Mapping[str, Cable]
    wanted: tuple[Wanted, ...]
    together: tuple[tuple[str, ...], ...]
    """Controls (``part.control``) that move as one."""
    load: Load
    wire_gauge: int
    """AWG of hook-up wire where a lead says nothing."""
    wire_diameter: float
    slack: float
    """Service slack added to every wire, mm."""
    questions: tuple[str, ...]
    """What the file itself leaves open (unknown ends, lug-by-lug entries), in words."""
    unread: tuple[UnreadLead, ...] = ()
    """Leads of the file that are not among ``leads`` because of faults in their lines."""
    as_found: AsFound | None = None
    """The same instrument before the work, where the file says so."""
    told: WorkRecord = NOTHING_TOLD
    """What the customer's record says."""
    results: Results | None = None
    """What was metered on it, where the file names a results file."""
    prices: str = ""
    """The shop's price file, beside the build; '' where it names none."""
    prices_at: Location | None = field(default=None, compare=False)

    def __repr__(self) -> str:
        """One line: the file, how many parts and leads."""
        return brief("Build", f"{PurePath(self.file).stem}: {counted(len(self.parts), 'part')}",
                     counted(len(self.leads), "lead"))

    @property
    def to_scale(self) -> bool:
        """Whether anything was measured: without a cavity or holes in the top the drawing is NOT TO SCALE."""
        measured = {p.cavity for p in self.parts.values() if p.at is not None}
        return any(c.outline is not None or c.name in measured for c in self.cavities.values())
