"""A picture and what is known of it to the outline of the cavity in mm, with the error to be expected."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagramgen.features.trace.card_marks import ACROSS, DOUBT, DOWN, find_marks
from diagramgen.features.trace.codes import PHO_801, PHO_804, PHO_807, PHO_808, PHO_809, PHO_810, PHO_811, PHO_812
from diagramgen.features.trace.curve_fit import fit, within
from diagramgen.features.trace.edge_outline import UNCLEAR, NoOutline, even, find_rim
from diagramgen.features.trace.expected_error import Expected, edge_doubt, lens_doubt, plane_doubt, scale_doubt
from diagramgen.features.trace.find_sheet import find_sheet, upright_size
from diagramgen.features.trace.homography import BadCorners, Numbers, Plane, from_corners, from_scale
from diagramgen.features.trace.open_picture import Picture
from diagramgen.features.trace.shape_words import laid, level_turn
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.kernel.geometry import Path, Point
from diagramgen.kernel.units import number
from diagramgen.reader.svg_outline import BadSvg, read_svg_over
from diagramgen.reader.svg_path import BadPath

# An outline the user drew over the photograph: an SVG file with the photograph in it or without.


class NotOver(ValueError):  # noqa: N818 - a drawing that does not lie over the picture, in the technician's words
    """The drawing does not lie over the picture; ``remedy`` says what to do."""

    def __init__(self, message: str, remedy: str):
        super().__init__(message)
        self.remedy = remedy


def drawn_outline(text: str, wanted: str, width: int, height: int) -> Numbers:
    """The outline in picture elements; raises ``BadSvg``, ``BadPath`` or ``NotOver``.

    Where the file shows the photograph, that says how its units fall on picture elements; else one unit is one.
    """
    path, picture = read_svg_over(text, wanted)
    points = np.array(path.flat(0.02 if picture is None else 0.05 * abs(picture[0]) / width), dtype=float)
    if picture is not None:
        w, h, (a, b, c, d, e, f) = picture
        if abs(w * height - h * width) > 0.01 * w * height:
            raise NotOver(f"the photograph in the drawing measures {w:g} x {h:g}, this one {width} x {height}",
                          "Place the whole photograph in the drawing, unstretched, the same that is named here.")
        whole = np.array([[a, c, e], [b, d, f], [0.0, 0.0, 1.0]])
        lifted = np.column_stack([points, np.ones(len(points))]) @ np.linalg.inv(whole).T
        # From the photograph's box to elements whose middles lie on whole numbers.
        points = lifted[:, :2] * np.array([width / w, height / h])
    points = points - 0.5
    if points.min() < -1 or points[:, 0].max() > width or points[:, 1].max() > height:
        raise NotOver("the outline drawn reaches beyond the picture",
                      "Draw it in picture elements of this picture, or leave the photograph in the drawing.")
    return points


TYPED = 1.0
"""How far off a place read off by hand may be, picture elements."""
DRAWN = 2.0
"""How far off a line drawn by hand may be, picture elements."""
WANTED = 0.5
"""mm; an outline expected to be off by more is said to be."""
USUAL_CAMERA = 400.0
"""mm; from there a hand-held photograph of a cavity is taken (common practice, no source)."""
MANY = 4000


@dataclass(frozen=True)
class Known:
    """What the user says of the picture; exactly one way of setting the scale is given."""

    sheet: tuple[float, float] | None = None
    """Width and height of the sheet, mm."""
    free: bool = False
    """Whether the sheet may as well lie the other way (a paper size by its name)."""
    corners: tuple[Point, ...] = ()
    card: tuple[float, float] | None = None
    """Between the marks of the printed card, across and down, as measured, mm."""
    points: tuple[Point, ...] = ()
    apart: float = 0.0
    dpi: float = 0.0
    inside: Point | None = None
    drawing: str | None = None
    """Text of the SVG file with the outline drawn over the picture."""
    drawing_id: str = ""
    low: float = 0.0
    """How far the scale lies below the rim, mm; below zero: above it."""
    camera: float | None = None
    """The lens above the rim, mm."""
    tolerance: float = 0.15
    level: bool = False
    turn: float = 0.0
    """Radians, clockwise as seen."""


@dataclass(frozen=True)
class Traced:
    """The outline found: as laid for the build, and in the picture."""

    path: Path
    """From 0, 0; clockwise as seen."""
    fitted: Path
    """The same in mm of the scale's plane, brought to the height of the rim."""
    plane: Plane
    """Picture elements to mm at the rim."""
    turn: float
    """How the outline was turned to be laid, radians."""
    rim: Numbers
    """Picture elements."""
    expected: Expected
    off: float
    """The fit's distance from the edge, mm."""
    step: float
    """Largest size of a picture element on the outline, mm."""
    blur: float
    unclear: float


def trace(picture: Picture, known: Known, place: Location, say: Diagnostics) -> Traced | None:
    """The outline, or None after the problems were said at ``place``."""
    plane, apart = _plane(picture, known, place, say)
    if plane is None or not _level_with_rim(known, place, say):
        return None
    try:
        if known.drawing is None:
            rim = find_rim(picture.light, plane, known.inside, apart)
            points, noise, blur, unclear, others = rim.points, rim.noise, rim.blur, rim.unclear, rim.others
        else:
            drawn = drawn_outline(known.drawing, known.drawing_id, picture.width, picture.height)
            points, noise, blur, unclear, others = even(drawn, max(1.0, len(drawn) / MANY)), 0.0, 0.0, 0.0, ()
    except NoOutline as fault:
        say.add(fault.code, place, str(fault), fault.remedy)
        return None
    except BadSvg as fault:
        say.add(fault.code, place, f"the outline drawn cannot be used: {fault}", fault.remedy)
        return None
    except (BadPath, NotOver) as fault:
        say.add(PHO_808, place, f"the outline drawn cannot be used: {fault}", fault.remedy)
        return None
    if known.low:
        # Seen from the lens, what is higher looks larger; exactly so about the foot of the lens, however it leans.
        high = (known.camera or 0.0) + known.low
        plane = plane.scaled((known.camera or 0.0) / high)
    if len(points) > MANY:
        points = even(points, len(points) * 1.5 / MANY)
    mm = plane.to_mm(points)
    if not np.isfinite(mm).all() or np.ptp(mm, axis=0).max() > 1000 or np.ptp(mm, axis=0).min() < 8:
        size = " x ".join(number(float(v)) for v in np.nan_to_num(np.ptp(mm, axis=0)))
        say.add(PHO_804, place, f"by this scale the outline measures {size} mm, as no cavity does",
                "Check the size of the sheet and where its corners lie.")
        return None
    step = plane.step(points)
    found = fit(mm, known.tolerance, noise * step, step if known.drawing is None else 0.0)
    edge = edge_doubt(noise, blur, step) if known.drawing is None else DRAWN * step
    expected = Expected(scale_doubt(plane, points), edge, found.off, lens_doubt(plane, mm),
                        plane_doubt(known.low, known.camera or USUAL_CAMERA, mm))
    turn = known.turn + (level_turn(found.path) if known.level else 0.0)
    traced = Traced(laid(found.path, turn), found.path, plane, turn, points, expected, found.off, step, blur, unclear)
    _remarks(traced, known, others, place, say)
    return traced


def _plane(picture: Picture, known: Known, place: Location, say: Diagnostics) -> tuple[Plane | None, list[Numbers]]:
    """The plane of the scale, and what lies in the picture that is no cavity."""
    try:
        if known.card is not None:
            marks = find_marks(picture.light)
            if marks is None:
                say.add(PHO_801, place, "the four marks of the card were not found",
                        "All four must lie whole and sharp in the picture, without glare; or give --corners.")
                return None, []
            return from_corners(marks.middles, *known.card, DOUBT), [marks.round_them]
        if known.sheet is not None:
            return _by_sheet(picture, known, place, say)
        if known.points:
            a, b = known.points
            if not all(_in_picture(p, picture, place, say) for p in known.points):
                return None, []
            if a.distance(b) < 50:
                raise BadCorners("the two points are less than 50 picture elements apart",
                                 "Take two marks of the ruler that lie far apart.")
            return from_scale(known.apart / a.distance(b), known.points, TYPED), []
        return from_scale(25.4 / known.dpi), []
    except BadCorners as fault:
        say.add(PHO_804, place, str(fault), fault.remedy)
        return None, []


def _by_sheet(picture: Picture, known: Known, place: Location, say: Diagnostics) -> tuple[Plane | None, list[Numbers]]:
    width, height = known.sheet or (0.0, 0.0)
    if known.corners:
        if not all(_in_picture(p, picture, place, say) for p in known.corners):
            return None, []
        from_corners(known.corners, 1.0, 1.0, TYPED)  # said before anything is concluded from their order
        four, doubt, bow = known.corners, TYPED, 0.0
    else:
        found = find_sheet(picture.light)
        if found is None:
            say.add(PHO_801, place, "no white sheet with four straight sides was found",
                    "Lay it whole into the picture on darker wood; or give its corners with --corners.")
            return None, []
        four, doubt, bow = found.corners, found.doubt, found.bow
    a, b, c, d = four
    seen = upright_size((a, b, c, d), min(width, height), max(width, height))
    if known.free:
        width, height = seen
    elif seen != (width, height) and max(width, height) > 1.25 * min(width, height):
        say.add(PHO_809, place, f"the sheet looks {'lying' if seen[0] > seen[1] else 'upright'}, but "
                f"{number(width)} x {number(height)} mm was given")
    return from_corners(four, width, height, doubt, bow), [np.array(four, dtype=float)]


def _in_picture(p: Point, picture: Picture, place: Location, say: Diagnostics) -> bool:
    if -1 <= p.x <= picture.width and -1 <= p.y <= picture.height:
        return True
    turned = ", turned upright as its EXIF orientation says" if picture.turned else ""
    say.add(PHO_804, place, f"the point {p.x:g},{p.y:g} lies outside the picture of {picture.width} x "
            f"{picture.height} picture elements{turned}", "Count from the upper left, as an image viewer shows it.")
    return False


def _level_with_rim(known: Known, place: Location, say: Diagnostics) -> bool:
    """Whether the scale lies in the rim's plane, or everything is known that puts it right."""
    if not known.low:
        return True
    if known.camera is None:
        share = known.low / USUAL_CAMERA
        off = f"{number(abs(share) * 120)} mm too {'large' if share > 0 else 'small'} on 120 mm"
        side = "below" if known.low > 0 else "above"
        say.add(PHO_810, place, f"the scale lies {number(abs(known.low))} mm {side} the rim: "
                f"from {number(USUAL_CAMERA)} mm away the outline comes out about {off}",
                "Lay the scale on the wood beside the cavity, or say how high the lens was: --camera 400.")
        return False
    if known.camera <= abs(known.low) * 1.5:
        say.add(PHO_810, place, f"a lens {number(known.camera)} mm above the rim is no distance for a scale "
                f"{number(abs(known.low))} mm away from it", "Give the height of the lens above the rim, in mm.")
        return False
    return True


def _remarks(traced: Traced, known: Known, others: tuple[Point, ...], place: Location, say: Diagnostics) -> None:
    if others:
        where = " ".join(f"{p.x:g},{p.y:g}" for p in others)
        say.add(PHO_811, place, "the largest dark region was taken; there are others of a cavity's size",
                f"Choose with --inside: {where}.")
    if traced.unclear > UNCLEAR[0]:
        say.add(PHO_807.at(Severity.WARNING), place,
                f"{100 * traced.unclear:.0f} % of the rim shows no clear edge and is drawn through "
                "from its neighbours", "Look at the check picture; draw the outline over the photograph (--drawn).")
    if traced.expected.whole > WANTED:
        whole = number(traced.expected.whole, 2)
        say.add(PHO_812, place, f"the outline may be off by {whole} mm: {_largest(traced)}",
                "Measure the cavity's length and width and compare.")
    if traced.off > within(known.tolerance, traced.step) * 1.001:
        say.add(PHO_812, place, f"the outline follows the edge to {number(traced.off, 2)} mm, not to the "
                f"{number(known.tolerance, 2)} mm asked for", "The edge is rough; look at the check picture.")
    if not known.low:
        each = 120 / USUAL_CAMERA
        say.add(PHO_810.at(Severity.NOTE), place,
                "scale and rim are taken to lie in one plane; each mm the scale lies lower or higher "
                f"makes about {number(each)} mm on 120 mm, seen from {number(USUAL_CAMERA)} mm",
                "If they do not, say how far: --scale-below 3 --camera 400.")


def _largest(traced: Traced) -> str:
    e = traced.expected
    parts = {"the scale is small or its corners are uncertain": e.scale, "the edge is blurred or coarse": e.edge,
             "the outline is simplified": e.fit, "the lens bends straight lines": e.lens,
             "the scale lies in another plane": e.plane}
    name = max(parts, key=lambda k: parts[k])
    return f"{name} ({number(parts[name], 2)} mm)"


CARD = (ACROSS, DOWN)
