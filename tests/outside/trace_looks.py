"""How a printed lead looks, as a reader of the sheet knows it, and a picture asked how alike a place is."""

from __future__ import annotations

import functools
import math

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter

Floats = NDArray[np.float64]
Spot = tuple[float, float]
End = tuple[int, bool]
"""One end of a stretch: its number, and whether it is the last point."""
Offer = tuple[float, End, "End | str"]
"""What a link would cost, one end, and the other end or a lug."""

SHADES: dict[str, tuple[str, str]] = {
    "BK": ("#33373d", "#000000"),
    "BN": ("#8a5a2f", "#462a12"),
    "RD": ("#dd2a2a", "#6f0f12"),
    "OG": ("#f58a1f", "#7d3f06"),
    "YE": ("#f7d628", "#6d5a04"),
    "GN": ("#2c9a45", "#0d4a1f"),
    "BU": ("#2b66cf", "#0f2c66"),
    "VT": ("#8a4fc0", "#3e1c60"),
    "GY": ("#868d95", "#42484f"),
    "WH": ("#ffffff", "#33373d"),
    "PK": ("#f7a3c3", "#8c2f58"),
    "BARE": ("#d9b48f", "#6b4423"),
}
"""How a lead of each colour looks: body and edge."""
ALSO = {"BK": "#94a49b", "BARE": "#9a6b43"}
"""What else is seen within a body: the sheen on black, the twist on bare wire."""
IN_GREY = {"BK": ("BK",), "RD": ("RD", "BN", "BU", "VT"), "GN": ("GN", "GY", "OG"), "BARE": ("BARE", "PK"),
           "YE": ("YE",), "WH": ("WH",)}
"""Colours that a grey print gives alike (bodies within 11 of one another in CIE L*), read as one shade."""
GREY_BODY, GREY_EDGE = (3.0, 4.0), (8.0, 14.0)
"""How near the shade of a body and of an edge must be in grey: there is no hue to tell them by."""
LEG = "leg"
"""A component's leg, a lug bent over, a bridge of solder: a plain grey line between two white bands."""
LEG_SHADES = ("#67776e", "#ffffff")
BEHIND = ("#fbf9f5", "#eaf0ed", "#f4ede3", "#ece6dc", "#f2e3b3", "#f2c66b", "#d3dcd7", "#dce5e0", "#cdd7d2")
"""Floor, parts, wood, channels, lugs: where one of these is seen, no lead lies."""

ACROSS = (-0.32, -0.2, 0.0, 0.2, 0.32)
"""Where a body is looked at, mm from its middle (it is 0.85 wide)."""
LEG_ACROSS = (-0.2, -0.17, -0.1, 0.0, 0.1, 0.17, 0.2)
RIM = 0.5
"""Distance of the middle of a lead's dark edge from its middle, mm."""
LEG_RIM = 0.5
WHITE = (1.2, 1.2)
"""White is told from the cream of the floor: within this difference it is white, and how fast that fades."""
TAG_HIGH = (1.7, 2.8)
"""How high the white field of a tag may be, mm."""
FRAME = 0.2
SLEEVE = "#dee7e2"
SLEEVE_LONG = 7.0
"""A sleeve over a joint in the air: its fill, its length in mm."""
AT_TAG = 1.5
"""How far from a tag a lead may seem to end that goes on beneath it, mm."""
INK = (5.0, 6.0)
"""The black of a lead is told from the ink of letters."""
STEP = 0.15
"""One step along a lead, mm."""
TURN = 14.0
BACK = 12, 110.0
"""Most that a lead turns in one step and in twelve, degrees: more is a jump to a neighbour."""
GOOD = 0.7
"""Least likeness of a cross-section that is followed, 0 to 1."""
BLINK = 3
"""Steps that may look wrong (a leader line across the lead) before the lead counts as hidden."""
LEADS_APART = 1.15
"""Two leads are seen side by side no nearer than this, middle to middle, mm: half a halo and half a lead."""
SHORTEST = 0.4
REACH = 26.0
"""Longest stretch that is taken to be hidden, mm: a tag and a bundle of leads."""
TO_LUG = 8.0
"""Longest stretch hidden between a lead and its lug, mm: neighbours on the same lug lie over it."""
UPON = 0.6
"""An end nearer to another lead's middle than this lies on it: hidden leads end at its halo, 0.95 mm off."""
ON_JOINT = 1.3
"""An end this near a lug is on its joint, whatever way it points there, mm."""
CORNER = 2.2
"""Longest way between two ends of one lead at a corner sharper than it can be followed through, mm."""
DEAREST = 6.0
"""A link dearer than this is no link."""
LEGS_JOIN = 1.6
"""How much dearer it is to take two legs for one: a leg is short and ends on the lug it is bent to."""
LOST = 3.0
"""What it costs to leave an end without a link."""


def lab_of(rgb: NDArray[np.uint8]) -> Floats:
    """CIE Lab (D65) of sRGB bytes; IEC 61966-2-1 and CIE 15."""
    c = rgb.astype(np.float64) / 255
    linear = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)
    xyz = linear @ np.array([[0.4124, 0.2126, 0.0193], [0.3576, 0.7152, 0.1192], [0.1805, 0.0722, 0.9505]])
    t = xyz / np.array([0.9505, 1.0, 1.089])
    f = np.where(t > 216 / 24389, np.cbrt(t), (24389 / 27 * t + 16) / 116)
    return np.stack([116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])], axis=-1)


def greyed(rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """The picture as a grey printer gives it (Rec. 709 weights on the coded values)."""
    red, green, blue = (rgb[..., i].astype(np.uint16) for i in range(3))
    luma = ((54 * red + 183 * green + 19 * blue + 128) >> 8).astype(np.uint8)
    return np.repeat(luma[..., None], 3, axis=-1)


def bytes_of(shade: str) -> NDArray[np.uint8]:
    return np.array([int(shade[i : i + 2], 16) for i in (1, 3, 5)], dtype=np.uint8)


@functools.cache
def _table() -> Floats:
    """Lab of every colour in steps of four."""
    axis = (np.arange(64) * 4 + 2).astype(np.uint8)
    return lab_of(np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3))


def index_of(rgb: NDArray[np.uint8]) -> NDArray[np.int32]:
    """Where a colour stands in the table."""
    c = (rgb >> 2).astype(np.int32)
    return (c[..., 0] << 12) | (c[..., 1] << 6) | c[..., 2]


def alike(lab: Floats, shade: Floats, near: float, fade: float) -> Floats:
    """1 where a colour is within ``near`` of a shade (CIE 1976 difference), falling to 0 over ``fade``."""
    return np.clip(1 - (np.sqrt(((lab - shade) ** 2).sum(axis=-1)) - near) / fade, 0, 1)


class Picture:
    """One picture. ``scale`` is pixels per mm, ``pen`` by how much lines are drawn wider than at full size."""

    def __init__(self, picture: NDArray[np.uint8], scale: float, pen: float = 1.0, grey: bool = False) -> None:
        self.picture = greyed(picture) if grey else picture
        self.scale, self.pen, self.grey = scale * pen, pen, grey
        self.indices = index_of(self.picture)
        self.looks = {code: self._look(code, grey) for code in (*SHADES, LEG)}
        if grey:
            self.looks = {code: self._together(alike) for code, alike in (*IN_GREY.items(), (LEG, (LEG,)))}
        behind = np.array([bytes_of(s) for s in BEHIND])
        self.behind = (greyed(behind) if grey else behind).astype(int)

    def _look(self, code: str, grey: bool) -> tuple[Floats, Floats]:
        """For every colour in steps of four how much it is like this lead's body, and like its edge."""
        body, edge = LEG_SHADES if code == LEG else SHADES[code]
        shades = np.array([bytes_of(s) for s in (body, ALSO.get(code, body), edge)])
        lab = lab_of(greyed(shades) if grey else shades)
        near, fade = {"WH": WHITE, "BK": INK}.get(code, (8.0, 14.0))
        if grey and code not in ("WH", "BK"):
            near, fade = GREY_BODY
        inside = np.maximum(alike(_table(), lab[0], near, fade), alike(_table(), lab[1], near, fade))
        near, fade = {LEG: WHITE, "BK": (8.0, 10.0), "WH": (10.0, 10.0)}.get(code, GREY_EDGE if grey else (12.0, 24.0))
        return inside, alike(_table(), lab[2], near, fade)

    def _together(self, codes: tuple[str, ...]) -> tuple[Floats, Floats]:
        """The look of what may be any of these colours."""
        looks = [self.looks[code] for code in codes]
        return np.maximum.reduce([body for body, _ in looks]), np.maximum.reduce([edge for _, edge in looks])

    def rgb(self, at: Floats) -> NDArray[np.uint8]:
        return self.picture[self._pixels(at)]

    def _pixels(self, at: Floats) -> tuple[NDArray[np.int_], NDArray[np.int_]]:
        rows = np.clip((at[..., 1] * self.scale).astype(int), 0, self.picture.shape[0] - 1)
        cols = np.clip((at[..., 0] * self.scale).astype(int), 0, self.picture.shape[1] - 1)
        return rows, cols

    def likeness(self, code: str, at: Floats, heading: Floats) -> Floats:
        """How much the cross-section at each place looks like a lead of this colour, 0 to 1."""
        across, rim = (LEG_ACROSS, LEG_RIM) if code == LEG else (ACROSS, RIM)
        offsets = np.array([*across, -rim, rim])
        normal = np.stack([-np.sin(heading), np.cos(heading)], axis=-1)
        seen = self.indices[self._pixels(at[..., None, :] + offsets[:, None] * normal[..., None, :])]
        body, edge = self.looks[code]
        # White on white is told by its edges alone.
        share = {"WH": 0.2, LEG: 0.75}.get(code, 0.5)
        return share * body[seen[..., :-2]].mean(axis=-1) + (1 - share) * edge[seen[..., -2:]].mean(axis=-1)


class Coarse:
    """The picture at about 0.17 mm a cell: where leads may be, and where they were found."""

    def __init__(self, tracer: Picture, box: tuple[float, float, float, float], step: int = 4) -> None:
        self.tracer = tracer
        self.step = step
        s = tracer.scale
        high, wide = tracer.picture.shape[:2]
        self.left, self.top = max(0, int(box[0] * s)), max(0, int(box[1] * s))
        self.right, self.bottom = min(wide, int(box[2] * s)), min(high, int(box[3] * s))
        self.part = index_of(self.pixels(0, 0))
        self.used = np.zeros(self.part.shape, dtype=bool)

    def pixels(self, right: int, down: int) -> NDArray[np.uint8]:
        """One pixel of each cell: that many to the right and down in it."""
        rows, cols = self.part_shape()
        step, top, left = self.step, self.top + down, self.left + right
        seen = self.tracer.picture[top : self.bottom : step, left : self.right : step]
        return seen[:rows, :cols]

    def part_shape(self) -> tuple[int, int]:
        return (self.bottom - self.top) // self.step, (self.right - self.left) // self.step

    def place(self, row: int, col: int) -> Floats:
        return np.array([self.left + self.step * col, self.top + self.step * row]) / self.tracer.scale

    def candidates(self, code: str) -> list[tuple[int, int]]:
        mask = self.tracer.looks[code][0][self.part] > 0.5
        cell = self.step / self.tracer.scale
        size = max(1, round((0.3 if code == LEG else 0.55) / cell))
        # Sheen and twist have soft sides of neither shade.
        solid = uniform_filter(mask.astype(np.float32), size) > (0.6 if code in ALSO else 0.95)
        if code in ("WH",):
            solid &= self._between_edges(code, cell)
        return [(int(r), int(c)) for r, c in zip(*np.nonzero(solid), strict=True)]

    def _between_edges(self, code: str, cell: float) -> NDArray[np.bool_]:
        table = self.tracer.looks[code][1] > 0.3
        offsets = range(self.step)
        dark = np.logical_or.reduce([table[index_of(self.pixels(x, y))] for x in offsets for y in offsets])
        result = np.zeros_like(dark)
        for k in range(8):
            dx, dy = round(RIM / cell * math.cos(k * math.pi / 8)), round(RIM / cell * math.sin(k * math.pi / 8))
            result |= _shifted(dark, dx, dy) & _shifted(dark, -dx, -dy)
        return result

    def mark(self, points: Floats) -> None:
        reach = round(0.55 / (self.step / self.tracer.scale))
        for x, y in points:
            c = int((x * self.tracer.scale - self.left) / self.step)
            r = int((y * self.tracer.scale - self.top) / self.step)
            self.used[max(0, r - reach) : r + reach + 1, max(0, c - reach) : c + reach + 1] = True


def _shifted(mask: NDArray[np.bool_], dx: int, dy: int) -> NDArray[np.bool_]:
    return np.roll(mask, (dy, dx), axis=(0, 1))
