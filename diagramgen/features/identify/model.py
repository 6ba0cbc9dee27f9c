"""A pickup seen from the ends of its cable: what a meter shows between any two of its conductors."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagramgen.circuit.dc_readings import resistance
from diagramgen.circuit.polarity import WORDS
from diagramgen.circuit.values import ASSUMED
from diagramgen.library.model import Element, Symbol

Floats = NDArray[np.float64]

COVER = "cover"
"""The metal of the pickup, as one of the two things metered."""
MOST = 7
"""Conductors that are sorted out at most: three coils and a bare wire (5040 orders)."""


@dataclass(frozen=True)
class Coil:
    """One coil between two points of the pickup."""

    name: str
    says: str
    start: str
    finish: str
    ohm: float
    """Typical."""
    kick: int
    """Usual swing of a meter, red on finish: winding times magnet."""
    magnet: int
    """+1 where its north pole usually lies toward the strings."""


@dataclass(frozen=True)
class Fault:
    """Something wrong inside: nothing, a coil open, or a coil's end that touches the cover."""

    words: str
    open_coil: str = ""
    to_cover: str = ""
    off_cover: bool = False


NO_FAULT = Fault("")


@dataclass(frozen=True, eq=False)
class ExpectedReadings:
    """What a meter shows between the conductors of a pickup with a fault, by lug; the cover is the last row."""

    fault: Fault
    ohms: Floats
    """(lugs + 1) x (lugs + 1), typical; inf open, 0 joined."""
    kick: NDArray[np.int64]
    """Swing with red on the row's and black on the column's lug; 0 none."""
    coil: NDArray[np.int64]
    """The coil whose poles move the meter between two lugs; -1 none, -2 several."""


@dataclass(frozen=True)
class Pickup:
    """A pickup of a kind: its conductors and coils."""

    lugs: tuple[str, ...]
    coils: tuple[Coil, ...]
    grounded: tuple[str, ...]
    """Lugs on its metal."""

    def coil(self, word: str) -> int | None:
        """The number of the coil a technician calls ``word``; None where none or several are."""
        found = [i for i, c in enumerate(self.coils) if word in (c.name, c.says, *c.says.split())]
        return found[0] if len(found) == 1 else None


def pickup_of(symbol: Symbol, values: Mapping[str, float | str] | None = None) -> Pickup:
    """The pickup a symbol describes. Raises ``ValueError`` where it is none, or has too many conductors."""
    given = values or {}
    lugs = tuple(n for p in symbol.drawing.lugs if p.kind == "conductor" for row in p.names for n in row if n)
    elements = [e for e in symbol.elements if e.kind == "coil"]
    if not elements or len(lugs) < 2:
        raise ValueError(f"'{symbol.name}' is no pickup with conductors of its own")
    if len(lugs) > MOST:
        raise ValueError(f"'{symbol.name}' has {len(lugs)} conductors; up to {MOST} are sorted out")
    coils = tuple(_coil(symbol, e, given) for e in elements)
    return Pickup(lugs, coils, tuple(lug for m in symbol.metal for lug in m.lugs))


def _coil(symbol: Symbol, element: Element, given: Mapping[str, float | str]) -> Coil:
    def number(parameter: str) -> float:
        name = element.values.get(parameter, "")
        value = given.get(name)
        typical = symbol.values.get(name)
        found = value if isinstance(value, (int, float)) else typical.value if typical is not None else None
        return float(found) if isinstance(found, (int, float)) else ASSUMED["coil", parameter]

    def sign(parameter: str) -> int:
        typical = symbol.values.get(element.values.get(parameter, ""))
        return WORDS.get(str(typical.value), 1) if typical is not None else 1

    return Coil(element.name, element.says or element.name, element.ends["start"], element.ends["finish"],
                number("resistance"), sign("winding") * sign("magnet"), sign("magnet"))


def expected_readings(pickup: Pickup) -> tuple[ExpectedReadings, ...]:
    """What a meter shows for the sound pickup, then for every single fault inside."""
    faults = [NO_FAULT]
    faults += [Fault(f"the {c.says} is open", open_coil=c.name) for c in pickup.coils]
    ends = dict.fromkeys(end for c in pickup.coils for end in (c.start, c.finish))
    faults += [Fault(f"a coil touches the cover at {end}", to_cover=end) for end in ends
               if end not in pickup.grounded]
    if pickup.grounded:
        faults.append(Fault("the cover is joined to no conductor", off_cover=True))
    sound, *others = (_expected(pickup, f) for f in faults)
    # A fault that no meter sees (a cover that is joined to none of the conductors anyway) is none here.
    return (sound, *(s for s in others if not np.array_equal(s.ohms, sound.ohms)))


def _expected(pickup: Pickup, fault: Fault) -> ExpectedReadings:
    points = list(dict.fromkeys((*pickup.lugs, *(e for c in pickup.coils for e in (c.start, c.finish)), COVER)))
    joined = {p: p for p in points}
    if not fault.off_cover:
        joined.update((lug, COVER) for lug in pickup.grounded)
    if fault.to_cover:
        target = joined[fault.to_cover]
        joined = {p: COVER if j == target else j for p, j in joined.items()}
    numbers = {p: i for i, p in enumerate(dict.fromkeys(joined.values()))}
    at = {p: numbers[j] for p, j in joined.items()}
    parts = [(at[c.start], at[c.finish], c.ohm) for c in pickup.coils if c.name != fault.open_coil]
    ends = (*pickup.lugs, COVER)
    size = len(ends)
    ohms, kick, coil = np.zeros((size, size)), np.zeros((size, size), dtype=int), np.full((size, size), -1)
    for i, j in itertools.permutations(range(size), 2):
        a, b = at[ends[i]], at[ends[j]]
        found = 0.0 if a == b else resistance(parts, a, b)
        ohms[i, j] = math.inf if found is None else found
        if a != b and found is not None:
            kick[i, j], coil[i, j] = _path(pickup, fault, at, a, b)
    return ExpectedReadings(fault, ohms, kick, coil)


def _path(pickup: Pickup, fault: Fault, at: Mapping[str, int], red: int, black: int) -> tuple[int, int]:
    """(swing with red and black there, the coil that makes it or -2): coils on the way, end to end."""
    came: dict[int, tuple[int, int, int]] = {black: (-1, -1, 0)}
    waiting = [black]
    while waiting and red not in came:
        here = waiting.pop(0)
        for n, c in enumerate(pickup.coils):
            if c.name == fault.open_coil:
                continue
            for end, other, sign in ((at[c.start], at[c.finish], 1), (at[c.finish], at[c.start], -1)):
                if end == here and other not in came:
                    came[other] = (here, n, sign * c.kick)
                    waiting.append(other)
    signs, coils = [], []
    here = red
    while here != black:
        here, n, sign = came[here]
        signs.append(sign)
        coils.append(n)
    swing = signs[0] if len(set(signs)) == 1 else 0
    return swing, coils[0] if len(coils) == 1 else -2
