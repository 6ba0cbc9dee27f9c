"""What is metered on loose parts before they are soldered, and where each value goes in the file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagramgen.circuit.coil_words import coil_names, element_called
from diagramgen.circuit.polarity import PARAMETERS
from diagramgen.circuit.tolerances import origin_words
from diagramgen.circuit.values import number_of, source_name, word_of
from diagramgen.kernel.units import RESISTANCE, quantity
from diagramgen.library.model import Element
from diagramgen.model.build import Build, Part


@dataclass(frozen=True)
class Loose:
    """One coil or track to meter, what the file says of it, and the keys what is metered is written under."""

    says: str
    told: str
    kick: bool
    """Whether it has a kick and a magnet to find."""
    keys: str


def loose_parts(build: Build) -> tuple[Loose, ...]:
    """Every coil and every track that an ohmmeter reads, in the order of the file."""
    coils = coil_names(build)
    found = []
    for part in build.parts.values():
        for element in part.symbol.elements:
            if element.kind == "coil":
                found.append(Loose(coils[source_name(part, element)], "; ".join(_coil(part, element)), True,
                                   _keys(part, element, "resistance", "kick", "magnet")))
            elif element.kind == "track":
                found.append(Loose(f"{element_called(part, element)}, end to end", _ohms(part, element), False,
                                   _keys(part, element, "resistance")))
    return tuple(found)


def _coil(part: Part, element: Element) -> Iterator[str]:
    yield _ohms(part, element)
    for parameter in PARAMETERS[1:]:
        word, given = word_of(part, element, parameter)
        if given and word != "unknown":
            yield f"{parameter} {word}"


def _ohms(part: Part, element: Element) -> str:
    value = number_of(part, element, "resistance")
    return f"{quantity(value.number, RESISTANCE)}, {origin_words(value)}"


def _keys(part: Part, element: Element, *parameters: str) -> str:
    names = [element.values[p] for p in parameters if p in element.values]
    return f"{part.name}: values: {', '.join(names)}" if names else ""
