"""The law of a pot as a table of points metered on the bench: ``[[0, 0], [5, 0.1], [10, 1]]``.

Turn 0 to 10 against the fraction of the track between zero end and wiper. The last point may say ``open``: from
that turn on the wiper touches nothing. A table is kept as one word, ``table 0:0 5:0.1 10:1``.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from diagramgen.kernel import units
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.reader.codes import INP_116
from diagramgen.reader.grammar import Raw
from diagramgen.yamlfile.nodes import Node, ScalarNode, SequenceNode
from diagramgen.yamlfile.schema_fields import Schema

START = "table "
OPEN = "open"
LEAST = 2
REMEDY = "Write it like law: [[0, 0], [5, 0.1], [10, 1]]; the last one may be [9.9, open]."

Point = tuple[float, float | None]


def points_of(word: str) -> tuple[tuple[tuple[float, float], ...], float | None]:
    """The points of a kept table, and the turn from which the wiper is open."""
    pairs = [piece.split(":") for piece in word.removeprefix(START).split()]
    points = tuple((float(x), float(y)) for x, y in pairs if y != OPEN)
    return points, next((float(x) for x, y in pairs if y == OPEN), None)


@dataclass(frozen=True)
class ValueOrTable:
    """A value of a part: a one-line text, or a table of points for the law of a track."""

    def read(self, node: Node, say: Diagnostics) -> ScalarNode | None:
        """The text; a table as the word it is kept as. Its faults are said with their places."""
        return _table(node, say) if isinstance(node, SequenceNode) else Raw().read(node, say)

    def schema(self) -> Schema:
        """A text, a number, or a list of pairs."""
        number: Schema = {"type": "number"}
        pair: Schema = {"type": "array", "minItems": 2, "maxItems": 2,
                        "items": {"anyOf": [number, {"const": OPEN}]}}
        return {"anyOf": [Raw().schema(), {"type": "array", "minItems": LEAST, "items": pair}]}


def _table(node: SequenceNode, say: Diagnostics) -> ScalarNode | None:
    read = [(_point(item, say), item.place) for item in node.items]
    points = [(point, place) for point, place in read if point is not None]
    if len(points) < len(read) or not _fits(points, node.place, say):
        return None
    words = [f"{x:.12g}:{OPEN if y is None else f'{y:.12g}'}" for (x, y), _ in points]
    return ScalarNode(START + " ".join(words), node.place, from_list=True)


def _point(node: Node, say: Diagnostics) -> Point | None:
    pair = node.items if isinstance(node, SequenceNode) else ()
    if len(pair) != 2 or not all(isinstance(x, ScalarNode) for x in pair):
        say.add(INP_116, node.place, "a point of a law is a turn and a fraction", REMEDY)
        return None
    turn, share = (x for x in pair if isinstance(x, ScalarNode))
    found = _number(turn, 10.0, "a turn lies between 0 and 10", say)
    if share.text.strip() == OPEN:
        return None if found is None else (found, None)
    fraction = _number(share, 1.0, "a fraction of a track lies between 0 and 1", say)
    return None if found is None or fraction is None else (found, fraction)


def _number(node: ScalarNode, most: float, message: str, say: Diagnostics) -> float | None:
    try:
        value = units.read_number(node.text)
    except units.BadValue:
        value = -1.0
    if 0.0 <= value <= most:
        return value
    say.add(INP_116, node.place, f"{message}, not '{node.text}'", REMEDY)
    return None


def _fits(points: list[tuple[Point, Location]], whole: Location, say: Diagnostics) -> bool:
    """Whether the points run from 0 to 10, rise, and are open at the end only; the first fault is said."""
    track = [p for p in points if p[0][1] is not None]
    if len(track) < LEAST:
        say.add(INP_116, whole, "a law needs at least two points on the track", REMEDY)
        return False
    for ((before, _), _), ((turn, _), place) in itertools.pairwise(points):
        if turn <= before:
            say.add(INP_116, place, "the turns of a law rise from point to point", REMEDY)
            return False
    for one, here in points[:-1]:
        if one[1] is None:
            say.add(INP_116, here, "only the last point of a law may be open", REMEDY)
            return False
    for ((_, low), _), ((_, high), place) in itertools.pairwise(track):
        if low is not None and high is not None and high < low:
            say.add(INP_116, place, "the fraction falls: it counts from the zero end, and never falls as the knob "
                    "turns to 10", REMEDY)
            return False
    if points[0][0][0] != 0.0 or (points[-1][0][1] is not None and points[-1][0][0] != 10.0):
        say.add(INP_116, whole, "the points of a law begin at turn 0 and end at 10", REMEDY)
        return False
    return True
