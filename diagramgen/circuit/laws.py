"""Laws of potentiometers: how far along its track the wiper stands for a knob at 0 to 10.

A law is a table of points; between two points the wiper moves evenly, as on real tracks, which are printed in
two or three straight pieces. ``log`` without a percentage has 15 % of the track between zero and wiper at half
turn (audio tracks have 10 to 20 %: common practice, no source). Half-dead laws of blend pots, and a no-load
track that lets go of the wiper at 10, as their symbols say (common practice, no source).
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

LOG_PERCENT = 15.0
"""Per cent of the track between zero and wiper at half turn, where a log track does not say."""
LET_GO = 9.9
"""Where the wiper of a no-load pot reaches the end of its track; from here to 10 it is open."""


@dataclass(frozen=True)
class Law:
    """Points (turn 0..10, fraction of the track from the zero end); ``open_from``: no contact from this turn on."""

    name: str
    points: tuple[tuple[float, float], ...]
    open_from: float | None = None

    def fraction(self, turn: float) -> float | None:
        """Fraction of the track between zero end and wiper (0..1), or None where the wiper touches nothing.

        Raises ``ValueError`` for a turn outside 0 to 10.
        """
        if not 0.0 <= turn <= 10.0:
            raise ValueError(f"a knob stands at 0 to 10, not at {turn:g}")
        if self.open_from is not None and turn >= self.open_from:
            return None
        for (x0, y0), (x1, y1) in itertools.pairwise(self.points):
            if turn <= x1:
                return y0 + (y1 - y0) * (turn - x0) / (x1 - x0)
        return self.points[-1][1]


def law(name: str, percent: float | None = None) -> Law:
    """The law of a name used in symbols; ``percent`` of the track at half turn for log, reverse log and linear.

    Raises ``ValueError`` for an unknown name or a percentage outside 0 to 100.
    """
    if percent is not None and not 0 < percent < 100:
        raise ValueError(f"{percent:g} % of a track at half turn is none")
    share = None if percent is None else percent / 100
    if name in ("linear", ""):
        return _two_pieces("linear", 0.5 if share is None else share)
    if name == "log":
        return _two_pieces(name, LOG_PERCENT / 100 if share is None else share)
    if name == "reverse log":
        return _two_pieces(name, 1 - LOG_PERCENT / 100 if share is None else share)
    if name == "blend":
        return Law(name, ((0.0, 0.0), (5.0, 1.0), (10.0, 1.0)))
    if name == "reverse blend":
        return Law(name, ((0.0, 0.0), (5.0, 0.0), (10.0, 1.0)))
    if name == "no-load":
        return Law(name, ((0.0, 0.0), (5.0, LOG_PERCENT / 100), (LET_GO, 1.0)), 10.0)
    raise ValueError(f"there is no law '{name}'")


def table(points: Mapping[float, float] | Iterable[tuple[float, float]], open_from: float | None = None) -> Law:
    """A law measured on the bench: (turn 0..10, fraction 0..1) points from 0 to 10.

    Raises ``ValueError`` where the points do not run from turn 0 to 10 (or to ``open_from``) or leave the track.
    """
    pairs = tuple(sorted(points.items() if isinstance(points, Mapping) else points))
    last = 10.0 if open_from is None else min(10.0, open_from)
    if len(pairs) < 2 or pairs[0][0] != 0.0 or pairs[-1][0] < last:
        raise ValueError("the points of a law begin at turn 0 and end at 10")
    if any(a[0] == b[0] for a, b in itertools.pairwise(pairs)):
        raise ValueError("two points of a law stand at the same turn")
    if any(not 0 <= y <= 1 for _, y in pairs):
        raise ValueError("a fraction of the track lies between 0 and 1")
    return Law("table", pairs, open_from)


def _two_pieces(name: str, half: float) -> Law:
    return Law(name, ((0.0, 0.0), (5.0, half), (10.0, 1.0)))
