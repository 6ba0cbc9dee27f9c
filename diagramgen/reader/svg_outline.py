"""The outline in an SVG file: its first shape, or the one with a given id.

Nothing is fetched, run or expanded: a file with a DOCTYPE, entities, scripts, event attributes or links
to other files is refused.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from xml.parsers import expat

from diagramgen.kernel.codes import Code
from diagramgen.kernel.geometry import (
    Arc,
    Box,
    Curve,
    Line,
    Path,
    Piece,
    Point,
    box_around,
    circle,
    polyline,
    rounded_box,
)
from diagramgen.reader.codes import INP_030, INP_031, INP_032, INP_033, INP_034, INP_035, INP_036
from diagramgen.reader.svg_path import BadPath, arc_pieces, read_path

SHAPES = ("path", "polygon", "polyline", "rect", "circle", "ellipse")
REFUSED = ("script", "foreignobject", "use", "image", "iframe", "animate", "set", "animatetransform", "animatemotion")
HIDDEN = ("defs", "clippath", "mask", "symbol", "marker", "pattern")
MAX_DEPTH = 60
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_TRANSFORM = re.compile(r"\s*,?\s*(\w+)\s*\(([^()]*)\)")


class BadSvg(ValueError):  # noqa: N818 - an SVG file that holds no outline this program may use
    """An SVG file that cannot be used; ``code`` and ``remedy`` go into the problem."""

    def __init__(self, code: Code, message: str, remedy: str | None = None):
        super().__init__(message)
        self.code, self.remedy = code, remedy


Matrix = tuple[float, float, float, float, float, float]
PLAIN: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


@dataclass
class _Reader:
    """Walks the elements and keeps the first one that fits."""

    wanted: str
    stack: list[tuple[str, Matrix]] = field(default_factory=list)
    found: tuple[str, dict[str, str], Matrix] | None = None
    ids: list[str] = field(default_factory=list)
    over_picture: bool = False
    """Whether one picture may stand in the file: it is never opened, only its place is taken."""
    picture: tuple[dict[str, str], Matrix] | None = None

    def start(self, name: str, attributes: dict[str, str]) -> None:
        tag = name.rpartition(":")[2].lower()
        if not self.stack and tag != "svg":
            raise BadSvg(INP_030, f"this is no SVG file: it begins with <{name[:40]}>", "Name an SVG file.")
        if len(self.stack) >= MAX_DEPTH:
            raise BadSvg(INP_030, "the SVG file is nested too deeply", "Keep only the outline in it.")
        if tag == "svg" and self.stack:
            raise BadSvg(INP_035, "the SVG file holds another SVG inside", "Keep only the outline in it.")
        if tag == "image" and self.over_picture:
            if self.picture is not None:
                raise BadSvg(INP_035, "the SVG file shows more than one picture", "Keep only the photograph in it.")
            attributes = {k: v for k, v in attributes.items() if k.rpartition(":")[2].lower() != "href"}
        elif tag in REFUSED:
            code = INP_032 if tag in ("script", "foreignobject", "iframe") else INP_035
            raise BadSvg(code, f"the SVG file holds a <{tag}> element",
                         "Keep only the outline in it, as a plain path.")
        _check_attributes(attributes)
        before = self.stack[-1][1] if self.stack else PLAIN
        matrix = _times(before, _transform(attributes.get("transform", "")))
        hidden = any(tag_above in HIDDEN for tag_above, _ in self.stack)
        own = attributes.get("id", "")
        if tag in SHAPES and not hidden:
            self.ids.append(own)
            if self.found is None and (not self.wanted or own == self.wanted):
                self.found = (tag, attributes, matrix)
        if tag == "image":
            self.picture = (attributes, matrix)
        self.stack.append((tag, matrix))

    def end(self, name: str) -> None:
        self.stack.pop()

    def text(self, data: str) -> None:
        if self.stack and self.stack[-1][0] == "style" and re.search(r"@import|url\s*\(", data, re.IGNORECASE):
            raise BadSvg(INP_033, "the SVG file's style names another file",
                         "Delete the style; the outline needs none.")


def read_svg(text: str, wanted: str = "") -> Path:
    """The outline in the file's own units; raises ``BadSvg`` or ``BadPath``."""
    return _read(text, _Reader(wanted))


def read_svg_over(text: str, wanted: str = "") -> tuple[Path, tuple[float, float, Matrix] | None]:
    """The outline, and the picture it was drawn over: its width, height and where it stands; None without one."""
    reader = _Reader(wanted, over_picture=True)
    path = _read(text, reader)
    if reader.picture is None:
        return path, None
    attributes, matrix = reader.picture
    x, y, width, height = (_plain(attributes, key) for key in ("x", "y", "width", "height"))
    if min(width, height) <= 0 or abs(matrix[0] * matrix[3] - matrix[1] * matrix[2]) < 1e-9:
        raise BadSvg(INP_030, "the photograph in the SVG file has no size", "Place it anew in the drawing program.")
    return path, (width, height, _times(matrix, (1.0, 0.0, 0.0, 1.0, x, y)))


def _plain(attributes: dict[str, str], key: str) -> float:
    match = re.fullmatch(rf"({_NUMBER})(?:px)?", attributes.get(key, "0").strip())
    if not match or not abs(float(match[1])) < 1e6:
        raise BadSvg(INP_030, f"the photograph in the SVG file has no usable '{key}'",
                     "Let the drawing program work in pixels.")
    return float(match[1])


def _read(text: str, reader: _Reader) -> Path:
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler = reader.start
    parser.EndElementHandler = reader.end
    parser.CharacterDataHandler = reader.text
    parser.StartDoctypeDeclHandler = _refuse_doctype
    parser.EntityDeclHandler = _refuse_entities
    parser.ProcessingInstructionHandler = _refuse_instruction
    try:
        parser.Parse(text, True)
    except expat.ExpatError as fault:
        raise BadSvg(INP_030, f"the SVG file is faulty in its line {fault.lineno}: "
                     f"{expat.ErrorString(fault.code)}", "Save it again from the drawing program.") from None
    if reader.found is None:
        wanted = reader.wanted
        known = ", ".join(i for i in reader.ids if i)[:120]
        remedy = f"Its shapes: {known}." if known else "Draw the outline as a path and save again."
        what = f"no shape with the id '{wanted}'" if wanted else "no path, polygon, rect, circle or ellipse"
        raise BadSvg(INP_036, f"the SVG file holds {what}", remedy)
    tag, attributes, matrix = reader.found
    return moved_by(_shape(tag, attributes), matrix)


def _refuse_doctype(*_: object) -> None:
    raise BadSvg(INP_031, "the SVG file holds a DOCTYPE", "Delete the line that begins with <!DOCTYPE.")


def _refuse_entities(*_: object) -> None:
    raise BadSvg(INP_031, "the SVG file declares entities")


def _refuse_instruction(target: str, _: str) -> None:
    raise BadSvg(INP_033, f"the SVG file holds the instruction <?{target[:40]}?>", "Delete it.")


def _check_attributes(attributes: dict[str, str]) -> None:
    for name, value in attributes.items():
        local = name.rpartition(":")[2].lower()
        if re.fullmatch(r"on[a-z]+", local):
            raise BadSvg(INP_034, f"the SVG file holds the event attribute {name[:40]}")
        if local == "href" and not value.strip().startswith("#"):
            raise BadSvg(INP_033, f"the SVG file links to '{value[:60]}'", "Keep only the outline in it.")
        if re.search(r"url\s*\(\s*[\"']?\s*[^#\"'\s)]", value, re.IGNORECASE) or "javascript:" in value.lower():
            raise BadSvg(INP_033, f"the SVG file links to another file in {name[:40]}", "Keep only the outline in it.")


def _shape(tag: str, attributes: dict[str, str]) -> Path:
    def number(key: str, default: float | None = 0.0) -> float:
        text = attributes.get(key, "").strip()
        match = re.fullmatch(rf"({_NUMBER})(?:px)?", text)
        if match and abs(float(match[1])) < 1e6:
            return float(match[1])
        if text or default is None:
            raise BadPath(f"the <{tag}> has no usable '{key}'" + (f": '{text[:30]}'" if text else ""),
                          "Give plain numbers.")
        return default

    if tag == "path":
        return read_path(attributes.get("d", ""))
    if tag in ("polygon", "polyline"):
        numbers = [float(n) for n in re.findall(_NUMBER, attributes.get("points", ""))]
        if len(numbers) < 6 or len(numbers) % 2 or not all(abs(n) < 1e6 for n in numbers):
            raise BadPath(f"the <{tag}> needs at least three points")
        points = [Point(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
        if tag == "polyline" and points[0].distance(points[-1]) > 1e-6:
            raise BadPath("the outline is an open polyline", "Close it in the drawing program.")
        return polyline(points, closed=True)
    if tag == "rect":
        x, y, width, height = number("x"), number("y"), number("width", None), number("height", None)
        _positive(tag, width, height)
        corner = attributes.get("rx") or attributes.get("ry")
        radius = number("rx" if attributes.get("rx") else "ry") if corner else 0.0
        return rounded_box(Box(x, y, x + width, y + height), radius)
    if tag == "circle":
        radius = number("r", None)
        _positive(tag, radius)
        return circle(Point(number("cx"), number("cy")), radius)
    rx, ry = number("rx", None), number("ry", None)
    _positive(tag, rx, ry)
    centre = Point(number("cx"), number("cy"))
    right, left = Point(centre.x + rx, centre.y), Point(centre.x - rx, centre.y)
    halves = (arc_pieces(a, b, (rx, ry), 0.0, False, True) for a, b in ((right, left), (left, right)))
    return Path(right, tuple(piece for half in halves for piece in half), True)


def _positive(tag: str, *sizes: float) -> None:
    if min(sizes) <= 0:
        raise BadPath(f"the <{tag}> has no size")


def _times(outer: Matrix, inner: Matrix) -> Matrix:
    a, b, c, d, e, f = outer
    g, h, i, j, k, m = inner
    return (a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * m + e, b * k + d * m + f)


def _transform(text: str) -> Matrix:
    """A transform attribute as one matrix (SVG 1.1, 7.6)."""
    matrix, at = PLAIN, 0
    while text[at:].strip():
        found = _TRANSFORM.match(text, at)
        numbers = [float(n) for n in re.findall(_NUMBER, found[2])] if found else []
        # A sine of an infinite angle is no number but an exception: the numbers are looked at before they are used.
        step = _one_transform(found[1], numbers) if found and all(abs(n) < 1e6 for n in numbers) else None
        if found is None or step is None or not all(abs(n) < 1e6 for n in step):
            raise BadSvg(INP_030, f"the SVG file has the transform '{text[:40]}'", "Apply transforms before saving.")
        matrix, at = _times(matrix, step), found.end()
    return matrix


def _one_transform(name: str, n: list[float]) -> Matrix | None:
    if name == "matrix" and len(n) == 6:
        return (n[0], n[1], n[2], n[3], n[4], n[5])
    if name == "translate" and len(n) in (1, 2):
        return (1.0, 0.0, 0.0, 1.0, n[0], n[1] if len(n) == 2 else 0.0)
    if name == "scale" and len(n) in (1, 2):
        return (n[0], 0.0, 0.0, n[-1], 0.0, 0.0)
    if name == "rotate" and len(n) in (1, 3):
        t = math.radians(n[0])
        turn: Matrix = (math.cos(t), math.sin(t), -math.sin(t), math.cos(t), 0.0, 0.0)
        if len(n) == 1:
            return turn
        return _times(_times((1, 0, 0, 1, n[1], n[2]), turn), (1, 0, 0, 1, -n[1], -n[2]))
    if name in ("skewX", "skewY") and len(n) == 1 and abs(n[0]) < 89:
        t = math.tan(math.radians(n[0]))
        return (1, 0, t, 1, 0, 0) if name == "skewX" else (1, t, 0, 1, 0, 0)
    return None


def moved_by(path: Path, matrix: Matrix) -> Path:
    """The path under a matrix; arcs become curves where the matrix does not keep circles round."""
    a, b, c, d, e, f = matrix
    if matrix == PLAIN:
        return path

    def place(p: Point) -> Point:
        return Point(a * p.x + c * p.y + e, b * p.x + d * p.y + f)

    size = max(abs(a), abs(b), abs(c), abs(d), 1e-12)
    turn = math.copysign(1.0, a * d - b * c)
    round_ = abs(a - turn * d) < 1e-9 * size and abs(b + turn * c) < 1e-9 * size
    pieces: list[Piece] = []
    at = path.start
    for piece in path.pieces:
        if isinstance(piece, Line):
            pieces.append(Line(place(piece.to)))
        elif isinstance(piece, Arc) and round_:
            pieces.append(Arc(place(piece.to), place(piece.centre), piece.sweep * turn))
        else:
            curves = [piece] if isinstance(piece, Curve) else _curves(at, piece)
            pieces += [Curve(place(p.first), place(p.second), place(p.to)) for p in curves]
        at = piece.to
    return Path(place(path.start), tuple(pieces), path.closed)


def _curves(at: Point, arc: Arc) -> list[Curve]:
    """A circular arc as cubic curves of at most a quarter turn."""
    count = max(1, math.ceil(abs(arc.sweep) / (math.pi / 4)))
    step, radius, first = arc.sweep / count, at.distance(arc.centre), arc.centre.angle_to(at)
    reach = 4 / 3 * math.tan(step / 4) * radius
    result, here = [], at
    for i in range(count):
        a, b = first + i * step, first + (i + 1) * step
        to = arc.to if i == count - 1 else arc.centre.towards(b, radius)
        result.append(Curve(here.towards(a + math.pi / 2, reach), to.towards(b - math.pi / 2, reach), to))
        here = to
    return result


def bounds(path: Path) -> Box:
    """The box around the path, flattened finely relative to its size."""
    rough = box_around([path.start, *(p.to for p in path.pieces)])
    return box_around(path.flat(max(rough.width, rough.height, 1e-6) * 1e-4))
