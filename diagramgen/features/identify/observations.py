"""What was metered at the conductors of a pickup, as a technician types it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from diagramgen.circuit.polarity import WORDS
from diagramgen.features.identify.model import COVER, Pickup
from diagramgen.kernel.diagnostics import nearest
from diagramgen.kernel.units import RESISTANCE, BadValue, quantity, read_quantity

OPEN_WORDS = ("open", "ol", "infinite")
JOINED = 5.0
"""ohm below which two conductors are joined, meter leads taken off (common practice, no source)."""


class BadMetering(ValueError):  # noqa: N818 - something typed that cannot be read, in the technician's words
    """What was typed cannot be read."""

    def __init__(self, message: str, remedy: str):
        self.message, self.remedy = message, remedy
        super().__init__(f"{message}. {remedy}")


@dataclass(frozen=True)
class Ohms:
    """Between two conductors (numbers among the colours; the cover is the last); inf open."""

    one: int
    other: int
    ohms: float


@dataclass(frozen=True)
class Kick:
    """Which way the meter swings (+1 or -1) as steel comes near a coil, its red lead on ``red``, black on ``black``."""

    red: int
    black: int
    swing: int


@dataclass(frozen=True)
class Tap:
    """Which coil the meter sees between two conductors: its needle moves when the poles of coil ``coil`` (its number in
    the pickup) are tapped with steel.
    """

    one: int
    other: int
    coil: int


@dataclass(frozen=True)
class Face:
    """The magnet pole a coil shows the strings: +1 north."""

    coil: int
    pole: int


Metering = Ohms | Kick | Tap | Face


def read_metering(text: str, colours: Sequence[str], pickup: Pickup) -> Metering:
    """Read ``red to white: 4.1k``, ``bare to cover: joined``, ``kick white to red: plus``, ``tap white to red: slug``,
    ``magnet slug: north``. Raises ``BadMetering``.
    """
    where, colon, what = (x.strip() for x in text.partition(":"))
    if not colon or not what:
        raise BadMetering(f"'{text.strip()}' says nothing", "Write it like red to white: 4.1k")
    words = where.lower().split()
    first = words[0] if words else ""
    if first == "magnet":
        return Face(_coil(" ".join(words[1:]), pickup), _one_of(what, ("north", "south")))
    one, other = _pair(where.lower().removeprefix(first).strip() if first in ("kick", "tap") else where, colours)
    if first == "kick":
        return Kick(one, other, _one_of(what, ("plus", "minus")))
    if first == "tap":
        return Tap(one, other, _coil(what.lower(), pickup))
    return Ohms(one, other, _ohms(what))


def _pair(text: str, colours: Sequence[str]) -> tuple[int, int]:
    known = [*(c.lower() for c in colours), COVER]
    one, to, other = (" ".join(x.split()) for x in text.lower().partition(" to "))
    if not to:
        raise BadMetering(f"'{text}' names no two conductors", "Write it like red to white")
    for word in (one, other):
        if word not in known:
            raise BadMetering(f"there is no conductor '{word}'", nearest(word, known))
    if one == other:
        raise BadMetering(f"'{one}' is metered against itself", "Name two conductors.")
    return known.index(one), known.index(other)


def _ohms(what: str) -> float:
    if what.lower() in OPEN_WORDS:
        return math.inf
    if what.lower() in ("joined", "beeps"):
        return 0.0
    try:
        return read_quantity(what, RESISTANCE, allow_zero=True)
    except BadValue as fault:
        raise BadMetering(f"'{what}' is no reading", "Write it like 4.1k, 0, joined or open") from fault


def _coil(word: str, pickup: Pickup) -> int:
    found = pickup.coil(word)
    if found is None:
        names = [c.says for c in pickup.coils]
        raise BadMetering(f"there is no coil '{word}'", f"Its coils: {', '.join(names)}. {nearest(word, names)}")
    return found


def _one_of(what: str, words: tuple[str, str]) -> int:
    if what.lower() not in words:
        raise BadMetering(f"'{what}' is neither {words[0]} nor {words[1]}", nearest(what.lower(), words))
    return WORDS[what.lower()]


def metering_words(metering: Metering, colours: Sequence[str], pickup: Pickup) -> str:
    """Write a metering as it is typed; ``read_metering`` reads it back."""
    names = (*colours, COVER)
    if isinstance(metering, Ohms):
        said = ("open" if math.isinf(metering.ohms) else "joined" if metering.ohms < JOINED
                else quantity(metering.ohms, RESISTANCE))
        return f"{names[metering.one]} to {names[metering.other]}: {said}"
    if isinstance(metering, Kick):
        return f"kick {names[metering.red]} to {names[metering.black]}: {'plus' if metering.swing > 0 else 'minus'}"
    if isinstance(metering, Tap):
        return f"tap {names[metering.one]} to {names[metering.other]}: {pickup.coils[metering.coil].says}"
    return f"magnet {pickup.coils[metering.coil].says}: {'north' if metering.pole > 0 else 'south'}"


def answered(text: str, kind: str, ends: tuple[int, int], pickup: Pickup) -> Metering:
    """Read a typed answer to a question of a kind (ohms, kick, tap, magnet).

    Parameters: ends - the numbers of the two conductors asked about; for magnet the coil's number comes first.
    Raises: BadMetering - it is no answer to such a question.
    """
    what = " ".join(text.split())
    if kind == "ohms":
        return Ohms(*ends, _ohms(what))
    if kind == "kick":
        return Kick(*ends, _one_of(what, ("plus", "minus")))
    if kind == "tap":
        return Tap(*ends, _coil(what.lower(), pickup))
    return Face(ends[0], _one_of(what, ("north", "south")))
