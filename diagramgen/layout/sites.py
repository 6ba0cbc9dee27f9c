"""Each cavity on its own, as seen on the solder side, with its parts and mouths, before the plan."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import shapely
from shapely.geometry.base import BaseGeometry

from diagramgen.build.model import Build, Cavity, Lead, Part
from diagramgen.geometry import Box, Path, Point, Transform, box_around, moved, rounded_box, turned
from diagramgen.layout.free import free_place, pull
from diagramgen.layout.model import PlacedPart
from diagramgen.layout.place import footprint, place_of, placed, polygon, rounded, seen
from diagramgen.layout.rows import arrange_rows
from diagramgen.layout.walls import Mouth, Wall
from diagramgen.layout.ways import BOARD, floats
from diagramgen.problems import Collector

MOUTH_ROOM = 11.0
"""Floor kept free before a channel's mouth when the program places a part, mm."""
AROUND = 13.0
"""Floor drawn around the parts where a cavity has no outline, mm."""


@dataclass
class Site:
    """A cavity or the board in its own coordinates, as seen; ``view`` maps the file's places there."""

    name: str
    cavity: Cavity | None
    view: Transform
    outline: Path
    parts: dict[str, PlacedPart]
    mouths: dict[str, Mouth] = field(default_factory=dict)

    @property
    def box(self) -> Box:
        """The box around the outline."""
        return self.outline.box()

    @property
    def wall(self) -> Wall:
        """The outline as a wall."""
        return Wall(self.outline)


def make_sites(build: Build, home: Mapping[str, str], say: Collector) -> dict[str, Site]:
    """Every cavity (and the board) with its mounted parts; components hung by legs come later."""
    sites = {}
    for cavity in build.cavities.values():
        inside = [p for p in build.parts.values() if home[p.name] == cavity.name and is_mounted(p)]
        sites[cavity.name] = _site(build, cavity, inside, say)
    loose = [p for p in build.parts.values() if home[p.name] == BOARD and is_mounted(p)]
    if loose or not sites:
        rows = arrange_rows(loose, build.leads, BOARD)
        sites[BOARD] = Site(BOARD, None, Transform(), _around(rows, []), rows)
    return sites


def is_mounted(part: Part) -> bool:
    """Whether a part stands by itself; the others hang in leads and are placed when those have their ends."""
    return part.between is None and not floats(part)


@dataclass(frozen=True)
class _Ground:
    """What a part without a place is put on: the outline, and what lies before the mouths."""

    outline: Path
    leads: Sequence[Lead]
    gates: Mapping[str, Point]
    """Part outside -> the mouth its leads come through."""
    keep: Sequence[BaseGeometry]
    back: Transform
    """From what is seen to the file's coordinates."""


def _site(build: Build, cavity: Cavity, inside: Sequence[Part], say: Collector) -> Site:
    view = seen(build, cavity)
    name = cavity.name
    parts = {p.name: placed(p, place_of(p, view), name) for p in inside if p.at is not None}
    free = [p for p in inside if p.at is None]
    if cavity.outline is None and free and not parts:
        rows = arrange_rows(free, build.leads, name)
        return Site(name, cavity, view, _around(rows, []), rows)
    mouths = {c.name: view(c.at) for c in build.channels.values() if c.cavity == name}
    mouths |= {c.name: view(c.far) for c in build.channels.values() if c.to == name and c.far is not None}
    points = list(mouths.values())
    outline = cavity.outline.mapped(view) if cavity.outline else _around(parts, points, 30.0 if free else 0.0)
    if free:
        wall = Wall(outline)
        gates = {n: wall.at(wall.nearest(p))[0] for n, p in mouths.items()}
        ahead = [shapely.Point(p).buffer(MOUTH_ROOM) for p in gates.values()]
        own = {p.name: gates[p.through] for p in build.parts.values() if p.through in gates}
        ground = _Ground(outline, build.leads, own, ahead, view.inverse())
        for part in sorted(free, key=lambda p: (-_size(p, name), p.name)):
            parts[part.name] = _put_free(ground, part, parts, say)
    if cavity.outline is None:
        outline = _around(parts, points)
    return Site(name, cavity, view, outline, {p.name: parts[p.name] for p in inside})


def _around(parts: Mapping[str, PlacedPart], points: Sequence[Point], more: float = 0.0) -> Path:
    corners = [c for p in parts.values() for c in p.box.grown(AROUND + more).corners()]
    corners += list(points) if not corners else []
    if not corners:
        corners = [Point(0.0, 0.0), Point(60.0, 40.0)]
    box = box_around(rounded(c) for c in corners)
    return rounded_box(box if min(box.width, box.height) > 10 else box.grown(15.0), 8.0)


def _size(part: Part, region: str) -> float:
    return round(footprint(placed(part, Transform(), region)).area, 3)


def _put_free(ground: _Ground, part: Part, parts: Mapping[str, PlacedPart], say: Collector) -> PlacedPart:
    """A part without a place, on free floor; over other parts, with a warning, where there is none."""
    region, called = part.cavity, part.says or part.name
    lugs = {lug.key: lug.at for p in parts.values() for lug in p.lugs.values()}
    floor = polygon(ground.outline)
    taken = [*(footprint(p) for p in parts.values()), *ground.keep]
    pulls = pull(part.name, ground.leads, lugs, ground.gates)
    place = free_place(part, region, floor, taken, pulls=pulls, turn=part.turned)
    if place is None:
        say.warning(
            "P202",
            part.place,
            f"no free floor is left in '{region}' for {called}: it is drawn over other parts",
            "Give its place with 'at', or mount it elsewhere.",
        )
        centre = floor.representative_point()
        place = turned(part.turned).then(moved(rounded(Point(centre.x, centre.y))))
        return placed(part, place, region, automatic=True)
    at = ground.back(Point(place.e, place.f))
    say.warning(
        "P201",
        part.place,
        f"the place of {called} in '{region}' was chosen by the program: at {at.x:.0f} {at.y:.0f}",
        "Measure it and write it as 'at': the lengths of its leads rest on this place.",
    )
    return placed(part, place, region, automatic=True)


def find_mouths(build: Build, sites: Mapping[str, Site], widths: Mapping[str, float]) -> None:
    """Put every channel's mouths on the walls of its cavities."""
    for channel in build.channels.values():
        width = widths.get(channel.name, channel.diameter)
        near = sites.get(channel.cavity)
        if near is None:
            continue
        near.mouths[channel.name] = near.wall.mouth(near.view(channel.at), width)
        far = sites.get(channel.to)
        if far is None:
            continue
        if channel.far is not None:
            far.mouths[channel.name] = far.wall.mouth(far.view(channel.far), width)
            continue
        towards = real_direction(build, far, near)
        if towards is None:
            towards = near.mouths[channel.name].inward
        along = far.wall.hit(far.box.centre, towards)
        far.mouths[channel.name] = far.wall.mouth_at(along or 0.0, width)


def real_direction(build: Build, one: Site, other: Site) -> float | None:
    """Direction (rad) from one cavity to another as seen; None unless both say where they are."""
    if one.cavity is None or other.cavity is None or one.cavity.at is None or other.cavity.at is None:
        return None
    a = one.cavity.at.plus(one.box.centre)
    b = other.cavity.at.plus(other.box.centre)
    if a.distance(b) < 1e-6:
        return None
    angle = a.angle_to(b)
    return math.remainder(math.pi - angle, math.tau) if build.flipped else angle
