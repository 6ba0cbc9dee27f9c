"""How far a part may differ from what is known of it, by where its value comes from: metered, its sheet, its kind."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diagramgen.circuit.elements.coil import SHEET
from diagramgen.circuit.elements.two_terminal import POT, RESISTOR
from diagramgen.circuit.values import Value, elements_of, number_of, source_name, winding_name
from diagramgen.kernel.units import number
from diagramgen.library.model import Element
from diagramgen.model.build import Build, Part

METERED = 0.02
"""Share by which a part metered loose may differ: meter and temperature of the bench (common practice, no source)."""
KIND: Mapping[str, float] = {"single": 0.23, "dual": 0.33}
"""Share by which the ohms of a pickup known by its kind alone may differ: single coils have 5 to 8 kohm, dual coils
8 to 16. Source: "Guitar Pickup Impedance & The Input Stage", wiki page; figures only, licence not told."""
WHENCE = {"sheet": "from sheet or marking", "typical": "known by kind alone"}
PRACTICE = "(makers publish no band)"


def kind_of(part: Part) -> str:
    """``single`` for a pickup of one winding, tapped or not, else ``dual``."""
    coils = [e for e in part.symbol.elements if e.kind == "coil"]
    return "single" if len({winding_name(part, e) for e in coils}) == 1 else "dual"


def band_of(part: Part, element: Element) -> float:
    """Share by which a coil's, track's or resistor's ohms may differ from what is known."""
    value = number_of(part, element, "resistance")
    if value.origin == "metered":
        return METERED
    if element.kind != "coil":
        return POT if element.kind == "track" else RESISTOR
    return SHEET if value.given else KIND[kind_of(part)]


def tolerances(build: Build) -> dict[str, float]:
    """Coil -> share by which its ohms may differ; tracks and resistors only where they were metered, the others have
    ``POT`` and ``RESISTOR``."""
    found = {source_name(part, coil): band_of(part, coil) for part, coil in elements_of(build, "coil")}
    for part, element in elements_of(build, "track", "resistor"):
        if band_of(part, element) == METERED:
            found[f"{part.name}.{element.name}" if len(part.symbol.elements) > 1 else part.name] = METERED
    return found


def origin_words(value: Value) -> str:
    """Where a value comes from: ``metered 3 May``, ``known by kind alone``."""
    return WHENCE.get(value.origin, WHENCE["typical"]) if value.origin != "metered" else f"metered {value.when}".strip()


def band_words(build: Build) -> str:
    """The bands of a build's coils, each with where it comes from, and of the other parts."""
    told = "; ".join(_coils(build))
    return (f"Bands: {told}; " if told else "Bands: ") + (
        f"pot tracks {_percent(POT)}, resistors {_percent(RESISTOR)} (metered {_percent(METERED)}); bench 20 °C ± 5 K, "
        "copper 0.39 % a kelvin (IEC 60028).")


def _coils(build: Build) -> Iterator[str]:
    groups: dict[tuple[str, float], list[str]] = {}
    for part in build.parts.values():
        for coil in (e for e in part.symbol.elements if e.kind == "coil"):
            words = origin_words(number_of(part, coil, "resistance"))
            names = groups.setdefault((words, band_of(part, coil)), [])
            if part.says not in names:
                names.append(part.says)
    for (words, band), names in groups.items():
        why = f" {PRACTICE}" if band == SHEET else ""
        yield f"{', '.join(names)}: {words}, {_percent(band)}{why}"


def _percent(share: float) -> str:
    return f"{number(100 * share, 0)} %"
