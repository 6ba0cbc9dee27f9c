"""What an ohmmeter shows between two lugs: a value with its band, open, or nothing that means anything.

The band is exact, not sampled: the resistance between two points never falls when a resistor grows (Rayleigh's
monotonicity law), so all values low and all high bound it. A pot's tolerance is that of its whole track; the
place of the wiper is taken as given. Copper changes by 0.393 % a kelvin at 20 degrees (IEC 60028).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from diagramgen.circuit.blocks import block_between
from diagramgen.circuit.elements.coil import Coil
from diagramgen.circuit.netlist import Elements, NetlistTemplate
from diagramgen.circuit.nodal import potentials
from diagramgen.circuit.tolerances import band_of
from diagramgen.circuit.tolerances import tolerances as tolerances_of
from diagramgen.circuit.values import number_of
from diagramgen.library.model import Element
from diagramgen.model.build import Part

COPPER = 0.00393
"""Temperature coefficient of copper's resistance at 20 degrees C, per kelvin (IEC 60028)."""
REFERENCE = 20.0
"""Degrees C at which coil resistances are stated."""


@dataclass(frozen=True)
class MeterConditions:
    """Where a part is metered: temperature in degrees C, and by how many kelvin it may differ."""

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


def alone(part: Part, element: Element, meter: MeterConditions | None = None) -> Reading:
    """Work out the reading of a coil that nothing lies across."""
    coil = Coil("", 0, 1, number_of(part, element, "resistance").number, 0.0)
    return _value(_parts(Elements((coil,)), (0, 1), {"": band_of(part, element)}, meter or MeterConditions()), 0, 1)


def without(template: NetlistTemplate, coils: Collection[str] | None = None) -> NetlistTemplate:
    """Lift coils off a template: these, or all of them where none are named. For readings only; their losses stay."""
    stays = template.elements.only(
        lambda e: not (e.sounds and e.conducts_dc()) or (coils is not None and e.name not in coils))
    return replace(template, elements=stays, kept={})


def read(
    template: NetlistTemplate, classes: Sequence[int], one: str, other: str, meter: MeterConditions | None = None,
    tolerances: Mapping[str, float] | None = None,
) -> Reading:
    """Work out the reading between two lugs in a state.

    Parameters: classes - the class of each net (``blocks.merged``); one, other - ``part.lug``; tolerances - name of an
    element -> share by which its ohms may differ, those of the build where not given.
    Returns: ohm with the lowest and the highest figure, or ``open``, or ``not meaningful`` with the reason.
    Raises: ``KeyError`` for a lug that does not exist.
    Source: that all values low and all values high bound it is Rayleigh's monotonicity law.
    """
    a, b = classes[template.lug(one)], classes[template.lug(other)]
    if a == b:
        return SHORT
    why = _meaningless(template.elements, classes, a, b)
    if why:
        return Reading("not meaningful", why=why)
    shares = tolerances if tolerances is not None else tolerances_of(template.build)
    return _value(_parts(template.elements, classes, shares, meter or MeterConditions()), a, b)


def resistance(parts: Sequence[tuple[int, int, float]], a: int, b: int) -> float | None:
    """Work out the resistance between two points.

    Parameters: parts - (point, point, ohm) each.
    Returns: ohm, or None where no current finds a way.
    """
    return _value([(x, y, ohm, ohm, ohm) for x, y, ohm in parts], a, b).ohms


def _meaningless(e: Elements, to: Sequence[int], a: int, b: int) -> str:
    """Why an ohm figure between two points would be nonsense; '' where it would not."""
    if not e.unmetered:
        return ""
    owners = [e.all[i] for i in e.owners]
    pairs = list(e.edges)
    for one in e:
        for pair in (one.fed_at(), one.battery()):
            if pair is not None:
                owners.append(one)
                pairs.append(pair[:2])
    on = [owners[i] for i in block_between([(to[x], to[y]) for x, y in pairs], a, b)]
    if any(one.active for one in on):
        return "an active stage or a battery lies between: battery out, and meter the pickup with its lead lifted"
    sounding = [one.conducts_dc() for one in on if one.sounds]
    if sounding and not any(sounding):
        return "a contact transducer is a capacitor: no ohm test here"
    return ""


def _parts(
    e: Elements, to: Sequence[int], shares: Mapping[str, float], meter: MeterConditions
) -> list[tuple[int, int, float, float, float]]:
    """(point, point, ohm, low, high) of everything that an ohmmeter's current flows through."""
    found = []
    warm, cold, hot = (1 + COPPER * (meter.temperature + d - REFERENCE) for d in (0.0, -meter.spread, meter.spread))
    for piece in e.metered:
        a, b, ohm = to[piece.a], to[piece.b], piece.ohm
        if a == b:
            continue
        share = shares.get(piece.name, piece.tolerance)
        if piece.copper:
            found.append((a, b, ohm * warm, ohm * cold * (1 - share), ohm * hot * (1 + share)))
        else:
            found.append((a, b, ohm, ohm * (1 - share), ohm * (1 + share)))
    return found


def _value(parts: Sequence[tuple[int, int, float, float, float]], a: int, b: int) -> Reading:
    return _solved(tuple(parts), a, b)


@lru_cache(maxsize=2048)
def _solved(parts: tuple[tuple[int, int, float, float, float], ...], a: int, b: int) -> Reading:
    """States that differ by capacitors alone read the same, so what was solved is kept."""
    on = block_between([(p[0], p[1]) for p in parts], a, b)
    if not on:
        return OPEN
    kept = [parts[i] for i in sorted(on)]
    points = sorted({q for p in kept for q in p[:2]} - {b})
    at = {point: i for i, point in enumerate([*points, b])}
    branches = [(at[p[0]], at[p[1]], (1 / p[2], 1 / p[3], 1 / p[4])) for p in kept]
    ohms, low, high = (float(x) for x in potentials(len(at), branches, [(at[a], at[b], 1.0)])[:, at[a]])
    return Reading("value", ohms, low, high)
