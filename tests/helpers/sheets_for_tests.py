"""Small sheets the writer tests share."""

import math

from diagramgen.drawing.scene import (
    Anchor,
    Group,
    Image,
    Kind,
    Link,
    Role,
    Shape,
    Sheet,
    Text,
    Viewport,
)
from diagramgen.drawing.strokes import lead_marks
from diagramgen.kernel.geometry import (
    Box,
    Path,
    Point,
    circle,
    mirrored,
    moved,
    polyline,
    rounded_box,
    rounded_polyline,
)

A4 = (297.0, 210.0)


def png(width=160, height=120):
    """A tiny opaque picture."""
    import io

    from PIL import Image as Picture

    out = io.BytesIO()
    Picture.new("RGB", (width, height), (200, 30, 30)).save(out, "PNG")
    return out.getvalue()


def square(box: Box) -> Path:
    return polyline(box.corners(), closed=True)


def measuring_sheet(width=A4[0], height=A4[1]):
    """The 100 mm bar and the 50 mm square every full-size sheet carries."""
    return Sheet(
        width,
        height,
        "Measure",
        (
            Shape((polyline((Point(30, 150), Point(130, 150))),), Role.SCALE_BAR, "bar"),
            Shape((square(Box(140, 100, 190, 150)),), Role.SCALE_BAR, "square"),
        ),
    )


def model():
    """A pot with three leads, in model mm."""
    lug = Point(20, 36)
    return (
        Shape((rounded_box(Box(0, 0, 100, 60), 12),), Role.CAVITY_FLOOR),
        Group(
            (
                Shape((circle(Point(20, 22), 12),), Role.BODY),
                Shape((circle(lug, 1.6), circle(lug, 0.7)), Role.LUG, "lug:vol.wiper"),
                Text("Volume", Point(20, 20), 2.5, "middle", bold=True, role=Role.NAME_TEXT),
                Text("500 kΩ", Point(20, 25), 1.8, "middle", role=Role.VALUE_TEXT),
            ),
            "part:vol",
        ),
        *lead_marks(rounded_polyline((lug, Point(20, 50), Point(90, 50)), 2.5), "RD", "lead:W01"),
        *lead_marks(rounded_polyline((Point(60, 58), Point(60, 10), Point(95, 10)), 2.5), "WH/BK", "lead:W02"),
        *lead_marks(polyline((Point(45, 58), Point(75, 15))), "BK", "lead:W03"),
        Text("W02 wht/blk", Point(60, 30), 1.8, "middle", -math.pi / 2, True, Role.TAG_TEXT, "lead:W02"),
    )


def full_sheet():
    """Every kind of mark, text of several scripts, a mirrored window, characters XML must escape."""
    return Sheet(
        *A4,
        'Baritone <"two" & more>',
        (
            Group(
                (Text("Schalt\u00adplan für Łukasz Żółć", Point(20, 20), 5, role=Role.TITLE_TEXT),),
                kind=Kind.H1,
            ),
            Anchor("lead list", Point(20, 120), "Leads"),
            Group(
                (Viewport(Box(15, 25, 130, 90), moved(Point(20, 28)), model()),),
                "view:cavity",
                'Control cavity: one pot "Volume", three leads',
                Kind.FIGURE,
            ),
            Viewport(Box(150, 25, 280, 90), mirrored(0).then(moved(Point(270, 28))), model(), 0.7),
            Text("10 µF · 250 kΩ · Жуков & <Söhne>", Point(20, 110), 2.5, subject='note:"1"'),
            Group(
                (
                    Group(
                        (
                            Group(
                                (Text("Lead", Point(20, 130), 2.5, role=Role.TABLE_HEAD_TEXT),),
                                kind=Kind.HEAD,
                            ),
                            Group((Text("W01", Point(40, 130), 2.5, role=Role.TABLE_TEXT),), kind=Kind.CELL),
                        ),
                        kind=Kind.ROW,
                    ),
                ),
                kind=Kind.TABLE,
            ),
            Image(png(), Box(200, 120, 240, 150), "photo:1", "The opened cavity"),
            Shape((rounded_box(Box(40, 160, 80, 190), 12), circle(Point(60, 175), 8)), Role.SOLID),
            Link(Box(20, 104, 60, 112), "lead list"),
            Link(Box(60, 104, 90, 112), "https://example.org/?a=1&b=2"),
        ),
        "A sheet with one of everything",
    )
