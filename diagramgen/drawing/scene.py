"""The display list: what is on a sheet, by meaning, in millimetres; the writers see nothing else.

A sheet holds marks in sheet mm. A ``Viewport`` holds marks in model mm and says where they fall on the
sheet; ``walk`` gives every mark in sheet mm, as the writers write it and as an audit measures it.
How a mark looks is decided by ``style`` from its role, emphasis and colour at the time of writing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from diagramgen.kernel.geometry import Box, Path, Point, Transform, box_around
from diagramgen.lettering import TextAnchor, text_box


class Role(StrEnum):
    """What a mark means."""

    # the sheet and the wood
    PAGE = "page"
    FRAME = "frame"
    PANEL = "panel"
    CAVITY_FLOOR = "cavity-floor"
    CAVITY_WALL = "cavity-wall"
    WOOD = "wood"
    POST = "post"
    CHANNEL = "channel"
    DOOR = "door"
    # parts
    BODY = "body"
    BODY_DETAIL = "body-detail"
    SHIELD = "shield"
    HIDDEN = "hidden"
    BUSHING = "bushing"
    SHAFT = "shaft"
    HOLE = "hole"
    CENTRE = "centre"
    LUG = "lug"
    LUG_HOT = "lug-hot"
    LUG_HOLE = "lug-hole"
    CASE_SPOT = "case-spot"
    GROUND = "ground"
    JOINT = "joint"
    JOINT_GROUND = "joint-ground"
    LEG = "leg"
    # leads, from below to above
    LEAD_HALO = "lead-halo"
    LEAD_EDGE = "lead-edge"
    LEAD_BODY = "lead-body"
    LEAD_STRIPE_END = "lead-stripe-end"
    LEAD_STRIPE = "lead-stripe"
    LEAD_SHEEN = "lead-sheen"
    LEAD_BARE_TWIST = "lead-bare-twist"
    JACKET = "jacket"
    BRAID = "braid"
    CLOTH = "cloth"
    TWIST_HALO = "twist-halo"
    TWIST = "twist"
    # lettering and pointing
    LEADER = "leader"
    TAG = "tag"
    TAG_TEXT = "tag-text"
    NAME_TEXT = "name-text"
    VALUE_TEXT = "value-text"
    LUG_TEXT = "lug-text"
    NOTE_TEXT = "note-text"
    TITLE_TEXT = "title-text"
    STAMP = "stamp"
    STAMP_TEXT = "stamp-text"
    CAUTION = "caution"
    CAUTION_TEXT = "caution-text"
    WARNING = "warning"
    WARNING_TEXT = "warning-text"
    ARROW = "arrow"
    ARROW_TEXT = "arrow-text"
    # measuring
    DIMENSION = "dimension"
    DIMENSION_TEXT = "dimension-text"
    SCALE_BAR = "scale-bar"
    SCALE_BAR_FILL = "scale-bar-fill"
    SCALE_TEXT = "scale-text"
    # lists
    TABLE_RULE = "table-rule"
    TABLE_HEAD = "table-head"
    TABLE_HEAD_TEXT = "table-head-text"
    TABLE_TEXT = "table-text"
    TABLE_BAND = "table-band"
    SWATCH = "swatch"
    SWATCH_STRIPE = "swatch-stripe"
    SWATCH_EDGE = "swatch-edge"
    TICK_BOX = "tick-box"
    # charts
    AXIS = "axis"
    GRID = "grid"
    CURVE = "curve"
    # tiles, codes
    CROP = "crop"
    TILE_TEXT = "tile-text"
    CODE = "code"
    SOLID = "solid"


class Emphasis(StrEnum):
    """How much a mark is to be noticed among its like."""

    NORMAL = "normal"
    FAINT = "faint"
    STRONG = "strong"


class Kind(StrEnum):
    """What a group is to a reader who hears the sheet."""

    PLAIN = ""
    FIGURE = "figure"
    H1 = "h1"
    H2 = "h2"
    TABLE = "table"
    ROW = "row"
    HEAD = "head"
    CELL = "cell"
    NOTE = "note"


@dataclass(frozen=True)
class Shape:
    """Outlines or lines of one meaning; several paths are filled together by the even-odd rule."""

    path: tuple[Path, ...]
    role: Role
    subject: str = ""
    """What it shows: ``lead:W07``, ``part:neck``, ``lug:neck.finish``."""
    colour: str = ""
    """A lead colour's code such as ``WH/BK``, or a shade ``#rrggbb`` where the role takes one."""
    emphasis: Emphasis = Emphasis.NORMAL


@dataclass(frozen=True)
class Text:
    """One line of text; ``height`` is the capital height in sheet mm, ``at`` lies on the baseline."""

    text: str
    at: Point
    height: float
    anchor: TextAnchor = "start"
    angle: float = 0.0
    bold: bool = False
    role: Role = Role.NOTE_TEXT
    subject: str = ""
    colour: str = ""
    emphasis: Emphasis = Emphasis.NORMAL

    def box(self) -> Box:
        """The upright box around the text in mm."""
        return text_box(self.text, self.at, self.height, self.anchor, self.angle, self.bold)


@dataclass(frozen=True)
class Image:
    """A photograph (PNG or JPEG bytes) stretched over a box; it is never turned or mirrored."""

    data: bytes
    box: Box
    subject: str = ""
    alt: str = ""


@dataclass(frozen=True)
class Link:
    """A place to click: the name of an ``Anchor`` on any sheet, or an address beginning ``https://``."""

    box: Box
    target: str


@dataclass(frozen=True)
class Anchor:
    """A place links can lead to; with a title it is also an entry in the PDF's bookmarks."""

    name: str
    at: Point
    title: str = ""


@dataclass(frozen=True)
class Group:
    """Marks that belong together; ``alt`` is what a reader hears in place of a figure."""

    children: tuple[Mark, ...]
    subject: str = ""
    alt: str = ""
    kind: Kind | str = Kind.PLAIN


@dataclass(frozen=True)
class Viewport:
    """Marks in model mm, seen through a window of the sheet.

    ``clip`` is the window in mm of the surrounding space, ``place`` maps model mm to that space, and
    ``line_scale`` multiplies every line width. Text keeps its height and is never mirrored or upside down.
    """

    clip: Box
    place: Transform
    children: tuple[Mark, ...]
    line_scale: float = 1.0


Leaf = Shape | Text | Image | Link | Anchor
Mark = Leaf | Group | Viewport


@dataclass(frozen=True)
class Sheet:
    """One page: its size in mm, a title, and what is on it, from below to above."""

    width: float
    height: float
    title: str
    marks: tuple[Mark, ...]
    subject: str = ""

    @property
    def box(self) -> Box:
        """The whole page."""
        return Box(0.0, 0.0, self.width, self.height)


@dataclass(frozen=True)
class Setting:
    """The space marks stand in: how it falls on the sheet, the window it is seen through, line scale."""

    place: Transform | None = None
    clip: Box | None = None
    line_scale: float = 1.0

    def inside(self, viewport: Viewport) -> Setting:
        """The space inside a viewport that stands in this one."""
        clip = viewport.clip if self.place is None else _mapped_box(viewport.clip, self.place)
        place = viewport.place if self.place is None else viewport.place.then(self.place)
        return Setting(
            place,
            clip if self.clip is None else _common(clip, self.clip),
            self.line_scale * viewport.line_scale,
        )


@dataclass(frozen=True)
class Placed:
    """A mark in sheet mm with what surrounds it; ``subject`` is its own or its nearest group's."""

    mark: Leaf
    subject: str
    line_scale: float
    clip: Box | None
    groups: tuple[Group, ...]


def leaves(marks: Iterable[Mark]) -> Iterator[Leaf]:
    """Every mark where it stands, groups and viewports dissolved: for what a mark is, not for its place."""
    for mark in marks:
        if isinstance(mark, (Group, Viewport)):
            yield from leaves(mark.children)
        else:
            yield mark


def walk(sheet: Sheet) -> Iterator[Leaf]:
    """Every mark of the sheet in sheet mm, from below to above, viewports and groups dissolved."""
    return (placed.mark for placed in walk_placed(sheet))


def walk_placed(sheet: Sheet) -> Iterator[Placed]:
    """As ``walk``, with the groups each mark stands in, its window and its line scale."""
    return _walk(sheet.marks, Setting(), ())


def _walk(marks: Iterable[Mark], setting: Setting, groups: tuple[Group, ...]) -> Iterator[Placed]:
    for mark in marks:
        if isinstance(mark, Group):
            yield from _walk(mark.children, setting, (*groups, mark))
        elif isinstance(mark, Viewport):
            yield from _walk(mark.children, setting.inside(mark), groups)
        else:
            own = getattr(mark, "subject", "")
            subject = own or next((g.subject for g in reversed(groups) if g.subject), "")
            yield Placed(on_sheet(mark, setting), subject, setting.line_scale, setting.clip, groups)


def on_sheet(mark: Leaf, setting: Setting) -> Leaf:
    """The mark as it falls on the sheet, in sheet mm."""
    place = setting.place
    if place is None:
        return mark
    if isinstance(mark, Shape):
        return replace(mark, path=tuple(path.mapped(place) for path in mark.path))
    if isinstance(mark, Text):
        return _text_on_sheet(mark, place)
    if isinstance(mark, Anchor):
        return replace(mark, at=place(mark.at))
    return replace(mark, box=_mapped_box(mark.box, place))


def _text_on_sheet(text: Text, place: Transform) -> Text:
    """Keep the place and the reading line, never mirror, never stand on the head.

    The letters must stay on that side of the baseline where the model has them, or a label would jump
    onto its part in the mirrored view; so the baseline moves by one capital height where needed.
    """
    angle, anchor = place.direction(text.angle), text.anchor
    if not -math.pi / 2 - 1e-6 <= math.remainder(angle, math.tau) < math.pi / 2 - 1e-6:
        angle, anchor = angle + math.pi, _OTHER_END[anchor]
    angle = math.remainder(angle, math.tau)
    at = place(text.at)
    up = place.direction(text.angle - math.pi / 2)
    if math.cos(up - (angle - math.pi / 2)) < 0:
        at = at.towards(up, text.height)
    return replace(text, at=at, angle=angle, anchor=anchor)


_OTHER_END: dict[TextAnchor, TextAnchor] = {"start": "end", "middle": "middle", "end": "start"}


def _mapped_box(box: Box, place: Transform) -> Box:
    return box_around(place(corner) for corner in box.corners())


def _common(a: Box, b: Box) -> Box:
    """The part two windows share; of no size where they are apart."""
    left, top = max(a.left, b.left), max(a.top, b.top)
    return Box(left, top, max(left, min(a.right, b.right)), max(top, min(a.bottom, b.bottom)))
