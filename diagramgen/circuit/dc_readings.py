"""What an ohmmeter shows between two lugs: a value with its band, open, or nothing that means anything.

The band is exact, not sampled: the resistance between two points never falls when a resistor grows (Rayleigh's
monotonicity law), so all values low and all high bound it. A pot's tolerance is that of its whole track; the
place of the wiper is taken as given. Copper changes by 0.393 % a kelvin at 20 degrees (IEC 60028).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from diagramgen.circuit.blocks import between
from diagramgen.circuit.elements import Elements, Frame, Winding
from diagramgen.circuit.tolerances import POT, RESISTOR, SHEET, band_of
from diagramgen.circuit.tolerances import tolerances as tolerances_of
from diagramgen.circuit.values import number_of
from diagramgen.library.model import Element
from diagramgen.model.build import Part

COPPER = 0.00393
"""Temperature coefficient of copper's resistance at 20 degrees C, per kelvin (IEC 60028)."""
REFERENCE = 20.0
"""Degrees C at which coil resistances are stated."""


@dataclass(frozen=True)
class Bench:
    """The bench: temperature in degrees C and by how many kelvin it may differ."""

    temperature: float = 20.0
    spread: float = 5.0


@dataclass(frozen=True)
class Reading:
    """A meter reading in ohm; ``kind`` is value | open | not meaningful."""

    kind: str
    ohms: float | None = None
    low: float | None = None
    high: float | None = None
    why: str = ""
    """Why no ohm figure means anything."""


OPEN = Reading("open")
SHORT = Reading("value", 0.0, 0.0, 0.0)


def alone(part: Part, element: Element, bench: Bench | None = None) -> Reading:
    """The reading of a coil that nothing lies across."""
    winding = Winding("", 0, 1, number_of(part, element, "resistance").number, 0.0)
    return _value(_parts(Elements(windings=(winding,)), {"": band_of(part, element)}, bench or Bench()), 0, 1)


def without(frame: Frame, coils: Collection[str] | None = None) -> Frame:
    """The frame with these coils lifted off, or all of them; only for readings."""
    kept = tuple(w for w in frame.elements.windings if coils is not None and w.name not in coils)
    return replace(frame, elements=replace(frame.elements, windings=kept), kept={})


def read(
    frame: Frame, classes: Sequence[int], one: str, other: str, bench: Bench | None = None,
    tolerances: Mapping[str, float] | None = None,
) -> Reading:
    """The reading between two lugs (``part.lug``) in a state; ``classes`` as ``network.merged`` gives them.

    Raises ``KeyError`` for a lug that does not exist.
    """
    a, b = classes[frame.lug(one)], classes[frame.lug(other)]
    if a == b:
        return SHORT
    e = frame.elements.mapped(classes)
    why = _meaningless(e, a, b)
    if why:
        return Reading("not meaningful", why=why)
    shares = tolerances if tolerances is not None else tolerances_of(frame.build)
    return _value(_parts(e, shares, bench or Bench()), a, b)


def resistance(parts: Sequence[tuple[int, int, float]], a: int, b: int) -> float | None:
    """Resistance in ohm between two points of (point, point, ohm); None where no current finds a way."""
    return _value([(x, y, ohm, ohm, ohm) for x, y, ohm in parts], a, b).ohms


def _meaningless(e: Elements, a: int, b: int) -> str:
    """Why an ohm figure between two points would be nonsense; '' where it would not."""
    if not (e.stages or e.strips or e.cells):
        return ""
    edges = e.edges()
    coils = range(len(e.resistors) + len(e.capacitors), len(e.resistors) + len(e.capacitors) + len(e.windings))
    strips = range(coils.stop, coils.stop + len(e.strips))
    stages = range(strips.stop, len(edges))
    extra = [(s.plus, s.ground) for s in e.stages] + [(c.plus, c.minus) for c in e.cells]
    on = between([*edges, *extra], a, b)
    if any(i in on for i in stages) or any(len(edges) + i in on for i in range(len(extra))):
        return "an active stage or a battery lies between: battery out, and meter the pickup with its lead lifted"
    if any(i in on for i in strips) and not any(i in on for i in coils):
        return "a contact transducer is a capacitor: no ohm test here"
    return ""


def _parts(e: Elements, shares: Mapping[str, float], bench: Bench) -> list[tuple[int, int, float, float, float]]:
    """(point, point, ohm, low, high) of everything that direct current flows through."""
    found = []
    for r in e.resistors:
        if r.what not in ("loss", "lamp"):
            share = shares.get(r.name, POT if r.what == "track" else RESISTOR)
            found.append((r.a, r.b, r.value, r.value * (1 - share), r.value * (1 + share)))
    warm, cold, hot = (1 + COPPER * (bench.temperature + d - REFERENCE) for d in (0.0, -bench.spread, bench.spread))
    for w in e.windings:
        share = shares.get(w.name, SHEET)
        ohm = w.resistance
        found.append((w.start, w.finish, ohm * warm, ohm * cold * (1 - share), ohm * hot * (1 + share)))
    return found


def _value(parts: Sequence[tuple[int, int, float, float, float]], a: int, b: int) -> Reading:
    return _solved(tuple(parts), a, b)


@lru_cache(maxsize=2048)
def _solved(parts: tuple[tuple[int, int, float, float, float], ...], a: int, b: int) -> Reading:
    """States that differ by capacitors alone read the same, so what was solved is kept."""
    on = between([(p[0], p[1]) for p in parts], a, b)
    if not on:
        return OPEN
    kept = [parts[i] for i in sorted(on)]
    points = sorted({q for p in kept for q in p[:2]} - {b})
    at = {point: i for i, point in enumerate([*points, b])}
    n = len(points)
    g = np.zeros((3, n + 1, n + 1))
    for p in kept:
        i, j = at[p[0]], at[p[1]]
        for k in range(3):
            y = 1 / p[2 + k]
            g[k, i, i] += y
            g[k, j, j] += y
            g[k, i, j] -= y
            g[k, j, i] -= y
    unit = np.zeros((3, n, 1))
    unit[:, at[a]] = 1.0
    ohms, low, high = (float(x) for x in np.linalg.solve(g[:, :n, :n], unit)[:, at[a], 0])
    return Reading("value", ohms, low, high)
