"""SVG path data read into a ``Path``: M L H V C S Q T A Z, absolute and relative (SVG 1.1, chapter 8).

Only one closed line is taken. Circular arcs stay arcs; elliptical ones become cubic curves.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from diagramgen.kernel.geometry import Arc, Curve, Line, Path, Piece, Point

MAX_PIECES = 2000
_TOKEN = re.compile(r"\s*,?\s*(?:([A-Za-z])|([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?))")
_FLAG = re.compile(r"\s*,?\s*(?:([A-Za-z])|([01]))")
_COUNT = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
_JOIN = 1e-6
_ORIGIN = Point(0.0, 0.0)


class BadPath(ValueError):  # noqa: N818 - path data that is no outline, in the technician's words
    """Path data that cannot be an outline; ``remedy`` says what to do."""

    def __init__(self, message: str, remedy: str = ""):
        super().__init__(message)
        self.remedy = remedy


def read_path(text: str) -> Path:
    """One closed outline from path data, in the units of the data; raises ``BadPath``."""
    pen = _Pen()
    for command, numbers in _commands(text):
        pen.draw(command, numbers)
        if len(pen.pieces) > MAX_PIECES:
            raise BadPath(f"the path has more than {MAX_PIECES} pieces", "Simplify it.")
    if not pen.pieces:
        raise BadPath("the path draws nothing", "Start it like M 0 0 L 80 0 L 80 40 Z.")
    if not pen.closed and pen.at.distance(pen.start) > _JOIN:
        raise BadPath("the path is open: its end does not meet its start", "Close it with Z.")
    return Path(pen.start, tuple(pen.pieces), True)


def _commands(text: str) -> Iterator[tuple[str, list[float]]]:
    """Each command with the numbers of one turn; repeated turns repeat the command."""
    at, command, numbers = 0, "", list[float]()
    turns = 0
    stripped = text.rstrip()
    while at < len(stripped):
        # A flag of an arc is one digit, which may stand against the next number.
        flag = command.upper() == "A" and len(numbers) in (3, 4)
        found = (_FLAG if flag else _TOKEN).match(stripped, at)
        if not found:
            raise BadPath(f"the path cannot be read at '{stripped[at:at + 12].strip()}'",
                          "Path data holds the letters M L H V C S Q T A Z and numbers.")
        at = found.end()
        if found[1]:
            _complete(command, numbers, turns)
            command, numbers, turns = found[1], [], 0
            if command.upper() not in _COUNT:
                raise BadPath(f"'{command}' is no path command", "Known are M L H V C S Q T A Z.")
            if command.upper() == "Z":
                yield command, []
            continue
        if not command or command.upper() == "Z":
            raise BadPath(f"the path has the number {found[2]} where a command is expected", "Start it with M.")
        value = float(found[2])
        if not abs(value) < 1e6:
            raise BadPath(f"'{found[2]}' is an absurd number in a path")
        numbers.append(value)
        if len(numbers) == _COUNT[command.upper()]:
            yield command, numbers
            numbers, turns = [], turns + 1
            command = {"M": "L", "m": "l"}.get(command, command)
    _complete(command, numbers, turns)


def _complete(command: str, numbers: list[float], turns: int) -> None:
    if numbers or (command and command.upper() != "Z" and not turns):
        need = _COUNT[command.upper()]
        raise BadPath(f"the command '{command}' needs {need} numbers, {len(numbers)} are there",
                      "Add the missing ones, or delete the command.")


@dataclass
class _Pen:
    """Where the path has come to."""

    at: Point = _ORIGIN
    start: Point = _ORIGIN
    begun: bool = False
    closed: bool = False
    pieces: list[Piece] = field(default_factory=list)
    handle: Point | None = None
    """Second control point of the last curve, for S and T."""
    handle_of: str = ""

    def draw(self, command: str, numbers: list[float]) -> None:
        kind = command.upper()
        base = self.at if command.islower() else _ORIGIN
        if kind == "M":
            self._move(base.plus(Point(*numbers)))
            return
        if not self.begun:
            raise BadPath(f"the path starts with '{command}'", "Start it with M and a point.")
        if self.closed:
            raise BadPath("the path goes on after Z", "An outline is one closed line.")
        if kind == "Z":
            self.closed = True
            return
        if kind in "LHV":
            self._line(kind, base, numbers, command)
        elif kind == "A":
            self._arc(base, numbers)
        else:
            self._curve(kind, base, numbers)
        if kind not in "CSQT":
            self.handle, self.handle_of = None, ""

    def _move(self, to: Point) -> None:
        if self.pieces:
            raise BadPath("the path has more than one line in it", "An outline is one closed line; remove the others.")
        self.at = self.start = to
        self.begun = True

    def _line(self, kind: str, base: Point, numbers: list[float], command: str) -> None:
        if kind == "L":
            to = base.plus(Point(*numbers))
        elif kind == "H":
            to = Point((self.at.x if command.islower() else 0.0) + numbers[0], self.at.y)
        else:
            to = Point(self.at.x, (self.at.y if command.islower() else 0.0) + numbers[0])
        self._go(Line(to))

    def _curve(self, kind: str, base: Point, numbers: list[float]) -> None:
        points = [base.plus(Point(x, y)) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
        family = "CS" if kind in "CS" else "QT"
        if kind in "ST":
            mirrored = self.at if self.handle is None or self.handle_of != family else (
                Point(2 * self.at.x - self.handle.x, 2 * self.at.y - self.handle.y))
            points.insert(0, mirrored)
        self.handle, self.handle_of = points[-2], family
        if family == "CS":
            self._go(Curve(points[0], points[1], points[2]))
        else:
            # A quadratic curve is the cubic whose handles lie two thirds of the way to its one handle.
            middle, to = points
            self._go(Curve(_between(self.at, middle), _between(to, middle), to))

    def _arc(self, base: Point, numbers: list[float]) -> None:
        rx, ry, tilt, large, sweep, x, y = numbers
        for piece in arc_pieces(self.at, base.plus(Point(x, y)), (abs(rx), abs(ry)), math.radians(tilt),
                                large != 0, sweep != 0):
            self._go(piece)

    def _go(self, piece: Piece) -> None:
        if piece.to.distance(self.at) > _JOIN or not isinstance(piece, Line):
            self.pieces.append(piece)
        self.at = piece.to


def _between(here: Point, handle: Point) -> Point:
    return Point(here.x + (handle.x - here.x) * 2 / 3, here.y + (handle.y - here.y) * 2 / 3)


LEAST_RADIUS = 1e-4
"""mm: an arc of a smaller radius is a straight line, as SVG 1.1 says of one without (appendix F.6.2)."""


def arc_pieces(
    start: Point, to: Point, radii: tuple[float, float], tilt: float, large: bool, clockwise: bool
) -> list[Piece]:
    """An SVG arc as pieces (SVG 1.1, appendix F.6: endpoint to centre form, radii enlarged where too small)."""
    rx, ry = radii
    if start.distance(to) <= _JOIN:
        return []
    if min(rx, ry) < LEAST_RADIUS:
        return [Line(to)]
    cos, sin = math.cos(tilt), math.sin(tilt)
    dx, dy = (start.x - to.x) / 2, (start.y - to.y) / 2
    x1, y1 = cos * dx + sin * dy, -sin * dx + cos * dy
    grow = math.sqrt(max(1.0, (x1 / rx) ** 2 + (y1 / ry) ** 2))
    rx, ry = rx * grow, ry * grow
    square = (rx * y1) ** 2 + (ry * x1) ** 2
    root = math.sqrt(max(0.0, ((rx * ry) ** 2 - square) / square)) * (1 if large != clockwise else -1)
    cx, cy = root * rx * y1 / ry, -root * ry * x1 / rx
    centre = Point(cos * cx - sin * cy + (start.x + to.x) / 2, sin * cx + cos * cy + (start.y + to.y) / 2)
    first = math.atan2((y1 - cy) / ry, (x1 - cx) / rx)
    sweep = math.remainder(math.atan2((-y1 - cy) / ry, (-x1 - cx) / rx) - first, math.tau)
    if clockwise and sweep < 0:
        sweep += math.tau
    elif not clockwise and sweep > 0:
        sweep -= math.tau
    if math.isclose(rx, ry, rel_tol=1e-9):
        return [Arc(to, centre, sweep)]
    return list(_ellipse(centre, (rx, ry), tilt, first, sweep, to))


def _ellipse(
    centre: Point, radii: tuple[float, float], tilt: float, first: float, sweep: float, to: Point
) -> Iterator[Piece]:
    count = max(1, math.ceil(abs(sweep) / (math.pi / 4)))
    step = sweep / count
    reach = 4 / 3 * math.tan(step / 4)
    cos, sin = math.cos(tilt), math.sin(tilt)

    def place(x: float, y: float) -> Point:
        x, y = x * radii[0], y * radii[1]
        return Point(centre.x + cos * x - sin * y, centre.y + sin * x + cos * y)

    for i in range(count):
        a, b = first + i * step, first + (i + 1) * step
        end = to if i == count - 1 else place(math.cos(b), math.sin(b))
        yield Curve(place(math.cos(a) - reach * math.sin(a), math.sin(a) + reach * math.cos(a)),
                    place(math.cos(b) + reach * math.sin(b), math.sin(b) - reach * math.cos(b)), end)
