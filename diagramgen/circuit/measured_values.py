"""Coils metered loose go back into the build: their readings take the place of typical and stated values."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from diagramgen.circuit.codes import REC_502, REC_503, REC_504, REC_505
from diagramgen.circuit.tolerances import band_of
from diagramgen.circuit.values import elements_of, number_of, source_name
from diagramgen.kernel.diagnostics import Diagnostics, nearest
from diagramgen.kernel.units import RESISTANCE, quantity
from diagramgen.library.model import Element
from diagramgen.model.build import Build, Part
from diagramgen.model.results import Results
from diagramgen.yamlfile.schema_fields import Located

FAR = 0.3
"""Share by which a coil metered loose may differ from what was expected of it, where its kind allows no more (common
practice, no source)."""
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


def metered(build: Build, results: Results, say: Diagnostics) -> Build:
    """The build with its coils as they were metered; what cannot be so is said and left as it was."""
    known = coils_named(build)
    values: dict[str, dict[str, float | str]] = {}
    for name, given in results.coils.items():
        if name not in known:
            say.add(REC_502, given.place, f"there is no coil '{name}'", nearest(name, known))
            continue
        part, element = known[name]
        key = element.values.get("resistance", "")
        if key and _believable(name, given, part, element, say):
            values.setdefault(part.name, {})[key] = given.value
    changed = {}
    for name, own in values.items():
        part = build.parts[name]
        changed[name] = replace(part, values={**part.values, **own},
                                metered={**part.metered, **dict.fromkeys(own, results.date or "")})
    return replace(build, parts={**build.parts, **changed}) if changed else build


def _believable(name: str, given: Located[float], part: Part, element: Element, say: Diagnostics) -> bool:
    expected = number_of(part, element, "resistance").number
    far = max(FAR, band_of(part, element))
    told = quantity(expected, RESISTANCE)
    if math.isinf(given.value):
        say.add(REC_503, given.place, f"the coil {name} reads open: it is broken, or a probe missed its lead")
        return False
    if slipped(given.value, expected):
        say.add(REC_504, given.place, f"the coil {name} reads {quantity(given.value, RESISTANCE)}, about "
                f"{_times(given.value, expected)} the {told} expected of it: is the letter wrong, k for M or none "
                "for k?")
        return False
    if given.value == 0 or abs(given.value - expected) > far * expected:
        say.add(REC_505, given.place, f"the coil {name} reads {quantity(given.value, RESISTANCE)}; {told} was "
                "expected of it")
    return given.value > 0


def _times(value: float, expected: float) -> str:
    ratio = round(math.log(value / expected, SLIP))
    return {1: "1000 times", 2: "1,000,000 times", -1: "a thousandth of", -2: "a millionth of"}.get(ratio, "far from")


def lines_to_paste(build: Build, results: Results) -> tuple[str, ...]:
    """Lines that say the metered coils in the build itself: under ``values`` of each pickup, and under ``metered``."""
    known = coils_named(build)
    found: dict[str, dict[str, str]] = {}
    for name, given in results.coils.items():
        if name in known and math.isfinite(given.value) and given.value > 0:
            part, element = known[name]
            found.setdefault(part.name, {})[element.values["resistance"]] = typed(given.value)
    when = results.date or "yes"
    keys = [(part, key, items) for part, own in found.items()
            for key, items in (("values", own), ("metered", dict.fromkeys(own, when)))]
    return tuple(f"{part}: {key}: {{{', '.join(f'{name}: {text}' for name, text in items.items())}}}"
                 for part, key, items in keys)


def typed(ohms: float) -> str:
    """Ohms as they are written in a build: ``7.21k``."""
    for size, letter in ((1e6, "M"), (1e3, "k"), (1.0, "")):
        if ohms >= size:
            return f"{ohms / size:.6g}{letter}"
    return f"{ohms:.6g}"
