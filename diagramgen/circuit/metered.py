"""Coils metered loose go back into the build: their readings take the place of typical and stated values."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

from diagramgen.build.model import Build, Part
from diagramgen.build.results import Results
from diagramgen.circuit.values import elements_of, number_of, source_name
from diagramgen.fields import Given
from diagramgen.library.model import Element
from diagramgen.problems import Collector, nearest
from diagramgen.units import RESISTANCE, quantity

FAR = 0.3
"""Share by which a coil metered loose may differ from what was expected of it (common practice, no source)."""
SLIP = 1000.0
"""What a wrong prefix letter, k for M or none for k, makes of a reading."""


def slipped(value: float, expected: float) -> bool:
    """Whether a reading is what was expected but for a prefix letter: about 1000 times too large or too small."""
    if not (math.isfinite(value) and value > 0 and expected > 0):
        return False
    return any(0.5 <= value / expected * factor <= 2.0 for factor in (SLIP, 1 / SLIP, SLIP**2, 1 / SLIP**2))


def coils_named(build: Build) -> dict[str, tuple[Part, Element]]:
    """Every way to name a coil -> its part and element."""
    found: dict[str, tuple[Part, Element]] = {}
    for part, element in elements_of(build, "coil"):
        found[source_name(part, element)] = (part, element)
        if element.name:
            found[f"{part.name}.{element.name}"] = (part, element)
    return found


def loose_coils(build: Build) -> Iterator[tuple[str, float]]:
    """Every coil and the ohms expected of it: given in the build, else typical."""
    for part, element in elements_of(build, "coil"):
        yield source_name(part, element), number_of(part, element, "resistance").number


def metered(build: Build, results: Results, say: Collector) -> Build:
    """The build with its coils as they were metered; what cannot be so is said and left as it was."""
    known = coils_named(build)
    values: dict[str, dict[str, float | str]] = {}
    for name, given in results.coils.items():
        if name not in known:
            say.error("J502", given.place, f"there is no coil '{name}'", nearest(name, known))
            continue
        part, element = known[name]
        key = element.values.get("resistance", "")
        if key and _believable(name, given, number_of(part, element, "resistance").number, say):
            values.setdefault(part.name, {})[key] = given.value
    changed = {name: replace(build.parts[name], values={**build.parts[name].values, **own})
               for name, own in values.items()}
    return replace(build, parts={**build.parts, **changed}) if changed else build


def _believable(name: str, given: Given[float], expected: float, say: Collector) -> bool:
    told = quantity(expected, RESISTANCE)
    if math.isinf(given.value):
        say.error("J503", given.place, f"the coil {name} reads open: it is broken, or a probe missed its lead",
                  "Meter it again at the ends of its own conductors; an open coil does not go in.")
        return False
    if slipped(given.value, expected):
        say.error("J504", given.place, f"the coil {name} reads {quantity(given.value, RESISTANCE)}, about "
                  f"{_times(given.value, expected)} the {told} expected of it: is the letter wrong, k for M or none "
                  "for k?", "Write the reading with its letter: 7.2k.")
        return False
    if given.value == 0 or abs(given.value - expected) > FAR * expected:
        say.warning("J505", given.place, f"the coil {name} reads {quantity(given.value, RESISTANCE)}; {told} was "
                    "expected of it", "Shorted turns, the wrong pair of conductors, or another pickup than the build "
                    "says. Where it is right, write it into the build.")
    return given.value > 0


def _times(value: float, expected: float) -> str:
    ratio = round(math.log(value / expected, SLIP))
    return {1: "1000 times", 2: "1,000,000 times", -1: "a thousandth of", -2: "a millionth of"}.get(ratio, "far from")


def lines_to_paste(build: Build, results: Mapping[str, Given[float]]) -> tuple[str, ...]:
    """Lines that say the metered coils in the build itself, under the ``values`` of each pickup."""
    known = coils_named(build)
    found: dict[str, list[str]] = {}
    for name, given in results.items():
        if name in known and math.isfinite(given.value) and given.value > 0:
            part, element = known[name]
            found.setdefault(part.name, []).append(f"{element.values['resistance']}: {typed(given.value)}")
    return tuple(f"{part}: values: {{{', '.join(items)}}}" for part, items in found.items())


def typed(ohms: float) -> str:
    """Ohms as they are written in a build: ``7.21k``."""
    for size, letter in ((1e6, "M"), (1e3, "k"), (1.0, "")):
        if ohms >= size:
            return f"{ohms / size:.6g}{letter}"
    return f"{ohms:.6g}"



