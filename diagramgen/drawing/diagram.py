"""The wiring diagram: cavities, parts, leads and joints of a layout as marks, with every label placed.

Everything here is in the millimetres of the sheet: the caller maps the layout first (``view.seen``).
Nothing is decided here: positions come from the layout, looks from the style table.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from diagramgen.drawing.braids import SHORT, braid_ends, pigtails
from diagramgen.drawing.coverings import wire_marks
from diagramgen.drawing.crop import mouth_labels
from diagramgen.drawing.glance_labels import Ends, count_labels, end_labels, sense, turn_labels
from diagramgen.drawing.ground_signs import earth_marks
from diagramgen.drawing.hinges import hinge_label, hinge_marks, hinge_side
from diagramgen.drawing.labelling.candidates import lug_labels, part_labels, priced_by_owner, tag_labels
from diagramgen.drawing.labelling.place_labels import (
    PUSH_ABOVE,
    Label,
    Obstacle,
    PlacedLabel,
    as_obstacles,
    label_marks,
    place_labels,
)
from diagramgen.drawing.parts import deep_marks, is_sheet, joint_marks, part_marks, shrunk, stacks
from diagramgen.drawing.scene import Emphasis, Group, Kind, Mark, Role, Shape
from diagramgen.drawing.twists import twist_marks, twist_spots
from diagramgen.kernel.geometry import Arc, Box, Line, Path, Point, Transform, circle, polyline, rounded_box
from diagramgen.layout.joint_ends import meeting_counts
from diagramgen.layout.model import ChannelPort, LaidLead, Layout, PlacedPart, Region
from diagramgen.model.build import End

ON_SPOT = 0.1
"""A joint nearer than this to a spot is the joint of the spot, mm."""
NECK = {"right": 0.0, "down": math.pi / 2, "left": math.pi, "up": -math.pi / 2}


@dataclass(frozen=True)
class Look:
    """What a diagram shows: capital heights in mm, and what stands out."""

    name_height: float = 2.5
    small_height: float = 1.8
    leads: Emphasis = Emphasis.NORMAL
    parts: Emphasis = Emphasis.NORMAL
    tags: bool = True
    holes: bool = False
    """Hole circles strong, for a jig or a drilling page."""
    lug_names: bool = True
    values: bool = True
    absent: frozenset[str] = frozenset()
    """Tags of leads that are not there yet; a component without a leg that is made is not there either."""
    strong: frozenset[str] = frozenset()
    """Tags of leads that stand out; where there are any, the others are faint and bear no tag."""
    lit: frozenset[str] = frozenset()
    """Parts that stand out."""
    glance: bool = False
    """Wires counted on each joint, 0 and 10 at the arrow of each knob."""
    mouths: bool = False
    """Said at each mouth what lies beyond it that is not drawn."""
    ends: tuple[Ends, ...] = ()
    """What stands at the ends of a selector's travel."""

    def lead_emphasis(self, tag: str) -> Emphasis:
        """How much a lead is to be noticed."""
        if not self.strong:
            return self.leads
        return Emphasis.STRONG if tag in self.strong else Emphasis.FAINT


@dataclass(frozen=True)
class Drawing:
    """A finished diagram: its marks, the box they fill, and the labels with the places they got."""

    marks: tuple[Mark, ...]
    box: Box
    labels: tuple[PlacedLabel, ...]


def draw(layout: Layout, roles: Mapping[str, str], look: Look, frame: Box) -> Drawing:
    """Draw a layout already mapped to sheet mm; labels stay inside ``frame``."""
    marks: list[Mark] = [*_ground(layout), *_channels(layout)]
    layout = _so_far(layout, look.absent)
    counts = joint_counts(layout)
    held = _held(layout, look.strong)
    marks += [part_marks(p, roles, Emphasis.STRONG if p.part.name in held | look.lit else look.parts)
              for p in _bodies_first(layout)]
    marks += [m for p in layout.parts.values() for m in _sense(p)]
    marks += [m for p in layout.parts.values() if look.holes for m in _hole(p)]
    marks += _jackets(layout)
    short = [one for one in _in_order(layout) if one.path.length() <= SHORT]
    size = min(map(shrunk, layout.parts.values()), default=1.0)
    marks += [lead_group(one, look.lead_emphasis(one.lead.tag), size) for one in _in_order(layout) if one not in short]
    marks += pigtails(layout, look.lead_emphasis)
    marks += [lead_group(one, look.lead_emphasis(one.lead.tag), size) for one in short]
    marks += twist_marks(layout, look.lead_emphasis)
    marks += [m for part in layout.parts.values() for m in _joints(part, roles, counts, look.leads)]
    marks += _rim_joints(layout, roles, look)
    marks += [m for region in layout.regions.values() for m in hinge_marks(region)]
    labels = _labels(layout, look, meeting_counts(layout.build, (one.lead for one in layout.leads)), frame)
    marks += [m for one in labels for m in label_marks(one)]
    marks += earth_marks(layout, roles, counts, labels, frame, look.small_height, look.leads)
    return Drawing(tuple(marks), layout.box, labels)


def _joints(part: PlacedPart, roles: Mapping[str, str], counts: Mapping[str, int], emphasis: Emphasis) -> list[Mark]:
    """The joints of a part; lugs behind one another have one mark that tells none of them."""
    groups, size = stacks(part), shrunk(part)
    deep = {lug.key for group in groups for lug in group}
    found = [joint_marks(lug, roles.get(lug.key, ""), counts.get(lug.key, 0), emphasis, size)
             for lug in part.lugs.values() if lug.key not in deep]
    found += [deep_marks(group, sum(counts.get(lug.key, 0) for lug in group), emphasis, size) for group in groups]
    return [mark for mark in found if mark is not None]


def _so_far(layout: Layout, absent: frozenset[str]) -> Layout:
    """The layout without the leads named and without components none of whose legs is left."""
    if not absent:
        return layout
    leads = tuple(one for one in layout.leads if one.lead.tag not in absent)
    held = _held(layout, frozenset(one.lead.tag for one in leads))
    parts = {name: p for name, p in layout.parts.items() if p.part.between is None or name in held}
    return replace(layout, leads=leads, parts=parts)


def _held(layout: Layout, tags: frozenset[str]) -> set[str]:
    """Components that hang on legs among these leads."""
    legs = [one.lead for one in layout.leads if one.lead.kind == "leg" and one.lead.tag in tags]
    touched = {end.part for lead in legs for end in (lead.start, lead.end)}
    return {name for name in touched if name in layout.parts and layout.parts[name].part.between is not None}


def joint_counts(layout: Layout) -> dict[str, int]:
    """Lug key -> number of lead ends that touch it, those that only come out of it too: what gets a joint's mark."""
    counts: dict[str, int] = {}
    for laid in layout.leads:
        for end, at in ((laid.lead.start, laid.path.start), (laid.lead.end, laid.path.end)):
            if end.known and not _beside(layout, laid, end, at):
                counts[str(end)] = counts.get(str(end), 0) + 1
    for _, end in braid_ends(layout):
        counts[str(end)] = counts.get(str(end), 0) + 1
    return counts


def _beside(layout: Layout, laid: LaidLead, end: End, at: Point) -> bool:
    """Whether a bent lug meets its case in a joint of its own, away from the spot where leads are soldered."""
    return laid.lead.kind == "bend" and layout.parts[end.part].lugs[end.lug].at.distance(at) > ON_SPOT


def _rim_joints(layout: Layout, roles: Mapping[str, str], look: Look) -> list[Mark]:
    """The joints of bent lugs on the rim of their case, as part of the lead."""
    marks: list[Mark] = []
    for laid in layout.leads:
        for end, at in ((laid.lead.start, laid.path.start), (laid.lead.end, laid.path.end)):
            if end.known and _beside(layout, laid, end, at):
                lug = replace(layout.parts[end.part].lugs[end.lug], at=at)
                found = joint_marks(lug, roles.get(lug.key, ""), 1, look.lead_emphasis(laid.lead.tag),
                                    shrunk(layout.parts[end.part]))
                marks += [found] if found is not None else []
    return marks


def _labels(layout: Layout, look: Look, counts: Mapping[str, int], frame: Box) -> tuple[PlacedLabel, ...]:
    wanted: list[Label] = []
    for part in layout.parts.values():
        for label in part_labels(part, look.name_height, look.small_height):
            shown = label if look.values else replace(label, lines=label.lines[:1])
            wanted.append(priced_by_owner(shown, part, layout.parts.values()))
        wanted += lug_labels(part, look.small_height) if look.lug_names else ()
    neck = neck_angle(layout)
    wanted += mouth_labels(layout, look.small_height) if look.mouths else ()
    for said in (e for e in look.ends if e.part in layout.parts) if neck is not None else ():
        wanted += end_labels(layout.parts[said.part], said, neck or 0.0, look.small_height)
    wanted += [hinge_label(r, look.small_height) for r in layout.regions.values() if hinge_side(r)]
    if look.tags:
        for laid in layout.leads:
            if not look.strong or laid.lead.tag in look.strong:
                wanted += tag_labels(laid, look.small_height)
    leads = [(f"lead:{one.lead.tag}", one.path) for one in _in_order(layout)]
    held = obstacles(layout)
    placed = place_labels(wanted, held, leads, frame)
    if not look.glance:
        return placed
    # Names and tags come first: what is only convenient takes the room they leave, or is left out.
    more = [label for part in layout.parts.values()
            for label in (*turn_labels(part, look.small_height), *count_labels(part, counts, look.small_height))]
    others = place_labels(more, [*held, *(o for one in placed for o in as_obstacles(one))], leads, frame)
    return (*placed, *(one for one in others if one.covered < PUSH_ABOVE))


def neck_angle(layout: Layout) -> float | None:
    """Direction of the neck as seen in the layout's view, radians; None where the file does not say."""
    found = NECK.get(layout.build.neck)
    return found if found is None or not layout.mirrored else math.pi - found


def obstacles(layout: Layout) -> list[Obstacle]:
    """What no label may hide: lugs (dear), walls and edges of bodies (cheap)."""
    result = obstacles_of(layout.parts.values())
    result += [Obstacle("", _disc(at.plus(other).times(0.5), 2.2), 120.0) for _, at, other, _ in twist_spots(layout)]
    for region in layout.regions.values():
        if has_wall(region):
            result.append(Obstacle("", region.outline.flat(0.2), 60.0, line=True))
    return result


def obstacles_of(parts: Iterable[PlacedPart]) -> list[Obstacle]:
    """Lugs and joints of these parts as obstacles for labels, each with what covering it costs."""
    result: list[Obstacle] = []
    for part in parts:
        for lug in part.lugs.values():
            radius = max(lug.hole / 2, 1.2) if lug.kind == "spot" else 1.2
            result.append(Obstacle(f"lug:{lug.key}", _disc(lug.at, radius), 400.0))
            if lug.tongue is not None:
                result.append(Obstacle("", lug.tongue.flat(0.2), 30.0))
        result += [Obstacle("", zone.outline.flat(0.2), 25.0, line=True) for zone in part.body]
        result += [Obstacle("", zone.outline.flat(0.2), 2.0, line=True) for zone in part.details]
    return result


def _disc(at: Point, radius: float) -> tuple[Point, ...]:
    return circle(at, radius).flat(0.15)[:-1]


def _ground(layout: Layout) -> list[Mark]:
    """Wood round each cavity, its floor and wall, posts."""
    marks: list[Mark] = []
    for region in layout.regions.values():
        if has_wall(region):
            marks.append(Group(tuple(_cavity(region)), f"region:{region.name}", f"cavity {region.name}"))
    return marks


def has_wall(region: Region) -> bool:
    """Whether the region is a cavity with an outline; a field of holes in the top has none."""
    return region.kind == "cavity" and (region.cavity is None or region.cavity.outline is not None)


def _cavity(region: Region) -> list[Mark]:
    from shapely import Polygon

    outline = Polygon(region.outline.flat(0.05))
    wood = Path_from(outline.buffer(3.0, quad_segs=12).exterior.coords)
    marks: list[Mark] = [
        Shape((wood, region.outline), Role.WOOD, f"region:{region.name}"),
        Shape((region.outline,), Role.CAVITY_FLOOR, f"region:{region.name}"),
        Shape((region.outline,), Role.CAVITY_WALL, f"region:{region.name}"),
    ]
    marks += [Shape((post,), Role.POST, f"region:{region.name}") for post in region.posts]
    return marks


def Path_from(points: Iterable[tuple[float, ...]]) -> Path:  # noqa: N802 - reads as a constructor
    """A closed path through points."""
    kept = [Point(p[0], p[1]) for p in points]
    return polyline(kept[:-1] if kept[0] == kept[-1] else kept, closed=True)


def _channels(layout: Layout) -> list[Mark]:
    """Each mouth as a band through the wood, and the way between two cavities as a strip."""
    marks: list[Mark] = []
    for door in layout.ports:
        if has_wall(layout.regions[door.region]) and door.channel in layout.channels:  # a presumed one is no hole
            marks.append(Shape((_mouth(door),), Role.CHANNEL, f"channel:{door.channel}"))
    marks += _strips(layout)
    return marks


def _mouth(door: ChannelPort) -> Path:
    half = max(door.width / 2, _spread(door) / 2 + 1.2)
    box = Box(-3.0, -half, 0.4, half)
    c, s = math.cos(door.inward), math.sin(door.inward)
    return rounded_box(box, 0.0).mapped(Transform(c, s, -s, c, door.centre.x, door.centre.y))


def _spread(door: ChannelPort) -> float:
    """How wide the leads lie in the mouth."""
    side = door.inward + math.pi / 2
    along = [math.cos(side) * p.x + math.sin(side) * p.y for p in door.slots.values()]
    return max(along) - min(along) if along else 0.0


def _strips(layout: Layout) -> list[Mark]:
    import shapely

    lines = [s.path.flat(0.1) for one in layout.leads for s in one.spans if s.kind == "channel"]
    if not lines:
        return []
    joined = shapely.union_all([shapely.LineString(line).buffer(1.9, cap_style="flat") for line in lines])
    shapes = getattr(joined, "geoms", [joined])
    return [Shape((Path_from(shape.exterior.coords),), Role.CHANNEL) for shape in shapes if not shape.is_empty]


def _bodies_first(layout: Layout) -> list[PlacedPart]:
    """Parts from the deepest in the wood to the nearest to the eye: foil beneath, components on top."""
    return sorted(layout.parts.values(), key=lambda p: (p.part.between is not None, not is_sheet(p), p.part.name))


def _sense(part: PlacedPart) -> list[Mark]:
    """An arrow for each knob: which way the wiper goes from 0 to 10 as seen here."""
    found = sense(part)
    if found is None:
        return []
    start, tip = (found.centre.towards(angle, found.radius) for angle in (found.zero, found.ten))
    arc = Path(start, (Arc(tip, found.centre, found.sweep),))
    heading = found.ten + math.copysign(math.pi / 2, found.sweep)
    return [Shape((arc,), Role.BODY_DETAIL, f"part:{part.part.name}"),
            Shape((arrow_head(tip, heading, 2.0),), Role.ARROW, f"part:{part.part.name}")]


def arrow_head(tip: Point, heading: float, size: float) -> Path:
    """A slim filled head whose point is ``tip``."""
    back = tip.towards(heading + math.pi, size)
    side = heading + math.pi / 2
    return polyline([tip, back.towards(side, size * 0.32), back.towards(side, -size * 0.32)], closed=True)


def _hole(part: PlacedPart) -> list[Mark]:
    """The hole's circle at bushing size, for punching."""
    if part.outside or part.shape.bushing <= 0:
        return []
    centre = part.place(Point(0, 0))
    ring = circle(centre, part.shape.bushing / 2 * part.place.scale)
    return [Shape((ring,), Role.HOLE, f"hole:{part.part.name}", emphasis=Emphasis.STRONG)]


def _jackets(layout: Layout) -> list[Mark]:
    """The jacket of a part's own cable, as a sleeve round its conductors where they pass a mouth."""
    marks: list[Mark] = []
    for door in layout.ports:
        if layout.regions[door.region].kind != "cavity":
            continue
        cables: dict[str, list[Point]] = {}
        for one in layout.leads:
            if one.lead.cable and one.lead.tag in door.slots:
                cables.setdefault(one.lead.cable, []).append(door.slots[one.lead.tag])
        for name, slots in cables.items():
            if len(slots) > 1:
                marks.append(Shape((_sleeve(door, slots),), Role.JACKET, f"cable:{name}"))
    return marks


def _sleeve(door: ChannelPort, slots: list[Point]) -> Path:
    side = door.inward + math.pi / 2
    along = sorted(math.cos(side) * (p.x - door.centre.x) + math.sin(side) * (p.y - door.centre.y) for p in slots)
    box = Box(-5.0, along[0] - 1.15, 2.2, along[-1] + 1.15)
    c, s = math.cos(door.inward), math.sin(door.inward)
    return rounded_box(box, 1.0).mapped(Transform(c, s, -s, c, door.centre.x, door.centre.y))


def _in_order(layout: Layout) -> list[LaidLead]:
    """The leads from the lowest to the one nearest to the eye.

    Bends of a lug lie on the case, beneath everything; the longer of two leads goes beneath the shorter, so that
    legs and links between neighbouring lugs are seen whole. From the other side long leads change places, but what
    is short stays on top: beneath a longer lead nothing of it would be left to see.
    """
    found = sorted(layout.leads, key=lambda one: (one.lead.kind != "bend", -round(one.path.length(), 1), one.lead.tag))
    if not layout.mirrored:
        return found
    short = [one for one in found if one.path.length() <= SHORT]
    return [one for one in reversed(found) if one not in short] + short


def lead_group(laid: LaidLead, emphasis: Emphasis, size: float = 1.0) -> Group:
    """One lead as drawn, with what it is for a reader who hears the sheet; ``size``: of a plan under full size."""
    lead, path = laid.lead, laid.path
    subject = f"lead:{lead.tag}"
    marks: list[Mark] = []
    if lead.kind in ("leg", "bend", "bridge"):
        marks += [Shape((path,), Role.LEAD_HALO, subject), Shape((path,), Role.LEG, subject, emphasis=emphasis)]
    else:
        marks += wire_marks(lead, path, subject, emphasis, size)
    if lead.kind == "sleeved":
        marks.append(Shape((_on_path(path, 7.0, 2.6),), Role.JACKET, subject, emphasis=emphasis))
    if not (lead.start.known and lead.end.known):
        marks.append(Shape((_cap(laid),), Role.JACKET, subject, emphasis=emphasis))
    said = f"lead {lead.tag} from {lead.start} to {lead.end}"
    return Group(tuple(marks), subject, said + (f", {lead.colour.word}" if lead.colour else ""), Kind.PLAIN)


def _on_path(path: Path, long: float, wide: float) -> Path:
    """A small sleeve in the middle of a path, along it."""
    from diagramgen.kernel.geometry import along

    at, angle = along(path.flat(), path.length() / 2)
    c, s = math.cos(angle), math.sin(angle)
    box = Box(-long / 2, -wide / 2, long / 2, wide / 2)
    return rounded_box(box, wide * 0.4).mapped(Transform(c, s, -s, c, at.x, at.y))


def _cap(laid: LaidLead) -> Path:
    """The cap on an end that goes nowhere (parked) or is not traced (unknown)."""
    path = laid.path if laid.lead.start.known else laid.path.reversed()
    points = path.flat()
    angle = points[-2].angle_to(points[-1]) if len(points) > 1 else 0.0
    c, s = math.cos(angle), math.sin(angle)
    return rounded_box(Box(-3.0, -1.3, 1.5, 1.3), 0.9).mapped(Transform(c, s, -s, c, points[-1].x, points[-1].y))


__all__ = ["Arc", "Drawing", "Line", "Look", "draw", "joint_counts", "obstacles"]
