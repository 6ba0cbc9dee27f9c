"""What the lead router takes and gives: bodies, lugs, leads and the room they share.

Millimetres throughout; x right, y down; angles in radians, clockwise as seen.
"""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry import Polygon

from diagramgen.kernel.geometry import Path, Point


@dataclass(frozen=True)
class Obstacle:
    """A part's body as seen in plan; ``passable`` bodies may be passed over, at a price."""

    subject: str
    outline: tuple[Point, ...]
    passable: bool = False
    metal: bool = False
    """A lug's own metal: closed even to leads that may pass the rest of its part."""


@dataclass(frozen=True)
class Pin:
    """A place where leads end: a lug, or a lead's slot in a channel mouth (then it may lie on the wall).

    ``away`` is the direction (rad) in which a lead leaves the lug, ``None`` for any. ``body`` names the
    obstacle the lug belongs to: leads that end here may cross that body near here. ``radius`` (mm) is
    the circle that foreign leads keep clear of with their own half width; ``keep`` (mm) is how near the middle of a
    foreign lead of the usual width may come before it is drawn over the lug, however close the next lug is.
    """

    subject: str
    at: Point
    away: float | None = None
    body: str = ""
    radius: float = 1.2
    keepout: float = 0.0


@dataclass(frozen=True)
class Joint:
    """A joint away from any lug, on a body that leads may lie over: those of the terminals ``own`` may touch it.

    ``keep`` (mm) is how near the middle of any other lead may come.
    """

    at: Point
    keepout: float
    own: tuple[int, ...]


@dataclass(frozen=True)
class PenaltyZone:
    """Ground that costs one lead ``price`` mm a mm, so that it lies elsewhere where it can."""

    shape: Polygon
    cost: float


@dataclass(frozen=True)
class Net:
    """One lead to be laid between the terminals with the indices ``start`` and ``end``.

    ``width`` is the lane pitch in mm (drawn width with halo, or the real diameter if larger), ``bend``
    the wanted smallest bend radius in mm, ``via`` points the lead has to pass in this order. Leads with
    a higher ``priority`` are laid first. ``past`` names bodies that it may lie over or under all the same.
    ``wider`` is by how much (mm) it is drawn wider than the usual lead, to each side; less than 0 where it is slimmer.
    """

    subject: str
    start: int
    end: int
    width: float = 1.9
    bend: float = 2.5
    waypoints: tuple[Point, ...] = ()
    priority: int = 0
    penalties: tuple[PenaltyZone, ...] = ()
    may_pass: tuple[str, ...] = ()
    extra_half_width: float = 0.0


@dataclass(frozen=True)
class RoutingRegion:
    """The free floor (``outline`` may be non-convex) with everything on it; ``clearance`` in mm.

    The clearance holds towards the wall and towards bodies that may not be passed over.
    """

    outline: tuple[Point, ...]
    obstacles: tuple[Obstacle, ...]
    pins: tuple[Pin, ...]
    nets: tuple[Net, ...]
    clearance: float = 1.5
    turn_clearance: float = 0.0
    """How far (mm) leads that pass in front of a lug keep from where its own leads turn away from it."""
    joints: tuple[Joint, ...] = ()
    strict: bool = False
    """Whether ground drawn for lugs and joints is closed to foreign leads, however narrow that makes the room."""


@dataclass(frozen=True)
class Effort:
    """How hard the router tries, counted and never timed.

    ``expansions`` bounds the nodes one search may open and ``total`` those of all searches of a room; a lead
    for which nothing is left is laid as if it were alone, which opens each edge of the floor once at most.
    ``passes`` are the rounds in which every lead is taken up and laid again, ``exchanges`` the repairs that
    are tried on finished paths.
    """

    expansions: int = 60_000
    total: int = 150_000
    passes: int = 2
    improvements: int = 400


@dataclass(frozen=True)
class Route:
    """A laid lead: its path from the start terminal exactly to the end terminal, and its length in mm.

    ``over`` lists the bodies passed over, ``faults`` says in short sentences what could not be kept.
    """

    subject: str
    path: Path
    length: float
    over: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
