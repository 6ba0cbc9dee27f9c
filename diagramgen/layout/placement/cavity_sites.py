"""Each cavity on its own, as seen on the solder side, with its parts and openings, before the plan."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Box, Path, Point, Transform, box_around, rounded_box
from diagramgen.kernel.units import number
from diagramgen.layout.boundary import Opening, Wall
from diagramgen.layout.codes import FIT_201
from diagramgen.layout.global_routing.global_route import BOARD, is_floating
from diagramgen.layout.memo import Memo
from diagramgen.layout.model import PlacedPart
from diagramgen.layout.placement.place_parts import place_of, place_part, polygon, rounded, seen
from diagramgen.layout.placement.propose_places import QUARTERS, LeadGoal, PlacementTask, propose_places
from diagramgen.layout.placement.rows import arrange_rows
from diagramgen.layout.placement.shortfall import find_shortfall, report_shortfall
from diagramgen.model.build import Build, Cavity, Lead, Part

OPENING_CLEARANCE = 11.0
"""Floor kept free before a channel's opening when the program places a part, mm."""
AROUND = 13.0
"""Floor drawn around the parts where a cavity has no outline, mm."""
MORE = (30.0, 60.0, 120.0, 240.0)
"""And on every side of them for parts without a place, mm: as much as these need."""


@dataclass
class Site:
    """A cavity or the board in its own coordinates, as seen; ``view`` maps the file's places there."""

    name: str
    cavity: Cavity | None
    view: Transform
    outline: Path
    parts: dict[str, PlacedPart]
    openings: dict[str, Opening] = field(default_factory=dict)

    @property
    def box(self) -> Box:
        """The box around the outline."""
        return self.outline.box()

    @property
    def wall(self) -> Wall:
        """The outline as a wall."""
        return Wall(self.outline)


def make_sites(
    build: Build, home: Mapping[str, str], say: Diagnostics, memo: Memo | None = None
) -> dict[str, Site]:
    """Every cavity (and the board) with its mounted parts; components hung by legs come later."""
    memo = memo or Memo()
    sites = {}
    for cavity in build.cavities.values():
        inside = [p for p in build.parts.values() if home[p.name] == cavity.name and is_mounted(p)]
        sites[cavity.name] = _site(build, cavity, inside, say, memo)
    loose = [p for p in build.parts.values() if home[p.name] == BOARD and is_mounted(p)]
    if loose or not sites:
        rows = arrange_rows(loose, build.leads, BOARD)
        sites[BOARD] = Site(BOARD, None, Transform(), _around(rows, []), rows)
    return sites


def is_mounted(part: Part) -> bool:
    """Whether a part stands by itself; the others hang in leads and are placed when those have their ends."""
    return part.between is None and not is_floating(part)


def _site(build: Build, cavity: Cavity, inside: Sequence[Part], say: Diagnostics, memo: Memo) -> Site:
    view = seen(build, cavity)
    name = cavity.name
    parts = {p.name: place_part(p, place_of(p, view), name) for p in inside if p.at is not None}
    free = [p for p in inside if p.at is None]
    if cavity.outline is None and free and not parts:
        return _in_rows(build, cavity, view, inside)
    openings = {c.name: view(c.at) for c in build.channels.values() if c.cavity == name}
    openings |= {c.name: view(c.far) for c in build.channels.values() if c.to == name and c.far is not None}
    points = list(openings.values())
    outline = cavity.outline.mapped(view) if cavity.outline else _around(parts, points)
    if free:
        floors = [outline] if cavity.outline else [_around(parts, points, more) for more in MORE]
        tasks = [_task(build, cavity, view, floor, openings, parts, free) for floor in floors]
        found = next((f for task in tasks if (f := memo(f"proposed {name}", propose_places, task)) is not None), None)
        if found is None:
            report_shortfall(tasks[0], memo(f"missing {name}", find_shortfall, tasks[0]), cavity, say)
            return _in_rows(build, replace(cavity, outline=None, posts=()), view, inside)
        for part in free:
            _say_place(part, cavity, found[part.name], view, say)
            parts[part.name] = place_part(part, found[part.name], name, automatic=True)
    if cavity.outline is None:
        outline = _around(parts, points)
    return Site(name, cavity, view, outline, {p.name: parts[p.name] for p in inside})


def _in_rows(build: Build, cavity: Cavity, view: Transform, inside: Sequence[Part]) -> Site:
    """A cavity of which nothing is drawn true: its parts in rows, clear of one another."""
    rows = arrange_rows(inside, build.leads, cavity.name)
    return Site(cavity.name, cavity, view, _around(rows, []), rows)


def _task(
    build: Build, cavity: Cavity, view: Transform, outline: Path, openings: Mapping[str, Point],
    parts: Mapping[str, PlacedPart], free: Sequence[Part],
) -> PlacementTask:
    """What is asked of ``propose``: places in this cavity for the parts that have none."""
    wall = Wall(outline)
    gates = {n: wall.at(wall.nearest(p))[0] for n, p in openings.items()}
    turns = {p.name: _turns(p, view) for p in free}
    lugs = {lug.key: lug.at for p in parts.values() for lug in p.lugs.values()}
    own = {p.name: gates[p.through] for p in build.parts.values() if p.through in gates}
    return PlacementTask(cavity.name, polygon(outline), tuple(free), turns, tuple(parts.values()),
                tuple((view(p.at), p.diameter / 2) for p in cavity.posts), tuple(gates.values()),
                {p.name: _pulls(p.name, build.leads, lugs, own, turns) for p in free})


def _turns(part: Part, view: Transform) -> tuple[float, ...]:
    """How a part may be turned, as seen: as the file says, else by quarters."""
    if "turned" not in part.places and part.turned == 0.0:
        return QUARTERS
    return (-part.turned if view.mirrors else part.turned,)


def _pulls(
    part: str, leads: Iterable[Lead], lugs: Mapping[str, Point], gates: Mapping[str, Point], free: Collection[str]
) -> tuple[LeadGoal, ...]:
    """The part's own lugs that leads join to something of the cavity, each with where its lead goes."""
    found: list[LeadGoal] = []
    for lead in leads:
        for own, other in ((lead.start, lead.end), (lead.end, lead.start)):
            if own.part != part or other.part == part:
                continue
            goal = lugs.get(str(other)) or gates.get(other.part) or (str(other) if other.part in free else None)
            if goal is not None:
                found.append((own.lug, goal))
    return tuple(found)


def _say_place(part: Part, cavity: Cavity, place: Transform, view: Transform, say: Diagnostics) -> None:
    at = view.inverse()(Point(place.e, place.f))
    turn = round(math.degrees(math.atan2(place.b, place.a)) * (-1 if view.mirrors else 1)) % 360
    around = f", turned {turn}" if turn else ""
    say.add(
        FIT_201,
        part.place,
        f"the place of {part.says or part.name} in '{cavity.name}' was chosen by the program: "
        f"at {number(at.x, 1)} {number(at.y, 1)}{around}",
    )


def _around(parts: Mapping[str, PlacedPart], points: Sequence[Point], more: float = 0.0) -> Path:
    corners = [c for p in parts.values() for c in p.box.grown(AROUND + more).corners()]
    corners += list(points) if not corners else []
    if not corners:
        corners = [Point(0.0, 0.0), Point(60.0, 40.0)]
    box = box_around(rounded(c) for c in corners)
    return rounded_box(box if min(box.width, box.height) > 10 else box.grown(15.0), 8.0)


def find_openings(build: Build, sites: Mapping[str, Site], widths: Mapping[str, float]) -> None:
    """Put every channel's openings on the walls of its cavities."""
    for channel in build.channels.values():
        width = widths.get(channel.name, channel.diameter)
        near = sites.get(channel.cavity)
        if near is None:
            continue
        near.openings[channel.name] = near.wall.opening_near(near.view(channel.at), width)
        far = sites.get(channel.to)
        if far is None:
            continue
        if channel.far is not None:
            far.openings[channel.name] = far.wall.opening_near(far.view(channel.far), width)
            continue
        towards = real_direction(build, far, near)
        if towards is None:
            towards = near.openings[channel.name].inward
        along = far.wall.hit(far.box.centre, towards)
        far.openings[channel.name] = far.wall.opening_at(along or 0.0, width)


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
