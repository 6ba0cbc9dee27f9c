"""What the router takes and gives: obstacles, pins, nets and the region they share.

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
    """A place where leads end: a lug, or a lead's place in a channel's opening (then it may lie on the wall).

    ``away`` is the direction (rad) in which a lead leaves, ``None`` for any. ``body`` names the obstacle the lug
    belongs to: leads that end here may cross that body near here. ``radius`` (mm) is the circle that foreign leads keep
    clear of with their own half width; ``keepout`` (mm) is how near the middle of a foreign lead of the usual width may
    come before it is drawn over the lug, however close the next lug is.
    """

    subject: str
    at: Point
    away: float | None = None
    body: str = ""
    radius: float = 1.2
    keepout: float = 0.0


@dataclass(frozen=True)
class PadKeepout:
    """What leads keep clear of round a lug, or round a soldered joint away from any lug.

    ``own``: pins whose leads may touch it (of a lug its own pin); ``keepout`` (mm): how near the middle of any other
    lead may come.
    """

    at: Point
    keepout: float
    own: tuple[int, ...]


@dataclass(frozen=True)
class PenaltyZone:
    """A zone in which each mm costs one lead ``cost`` mm of detour, so that it lies elsewhere where it can."""

    shape: Polygon
    cost: float


@dataclass(frozen=True)
class Net:
    """One lead to be routed: a two-pin net between the pins with the indices ``start`` and ``end``.

    ``width`` is the pitch in mm (drawn width with halo, or the real diameter if larger), ``bend`` the wanted smallest
    bend radius in mm, ``waypoints`` the points it has to pass in this order. Nets of higher ``priority`` are routed
    first. ``may_pass`` names bodies that it may lie over or under all the same. ``extra_half_width`` is by how much
    (mm) it is drawn wider than the usual lead, to each side; less than 0 where it is slimmer.
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
    """The floor to be routed (``outline`` may be non-convex) with everything on it.

    ``clearance`` (mm) holds towards the wall and towards bodies that may not be passed over.
    """

    outline: tuple[Point, ...]
    obstacles: tuple[Obstacle, ...]
    pins: tuple[Pin, ...]
    nets: tuple[Net, ...]
    clearance: float = 1.5
    turn_clearance: float = 0.0
    """How far (mm) leads that pass in front of a lug keep from where its own leads turn away from it."""
    joints: tuple[PadKeepout, ...] = ()
    strict: bool = False
    """Whether the zone drawn for lugs and joints is closed to foreign leads, however narrow that makes the region."""


@dataclass(frozen=True)
class Effort:
    """How hard the router tries, counted and never timed.

    ``expansions`` bounds the states one search may expand and ``total`` those of all searches of a region; a lead for
    which nothing is left is routed as if it were alone, which expands each mesh edge once at most. ``passes`` are the
    first routing and the rip-up passes after it together, ``improvements`` the leads that the local search may take up.
    """

    expansions: int = 60_000
    total: int = 150_000
    passes: int = 2
    improvements: int = 400


@dataclass(frozen=True)
class Route:
    """A routed lead: its path from pin to pin, and its length in mm.

    ``over`` lists the bodies passed over, ``faults`` says in short sentences what could not be kept.
    """

    subject: str
    path: Path
    length: float
    over: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
