"""What a build tells of the windings of its coils."""

from __future__ import annotations

from diagramgen.circuit.hum import PER_TURN, Wound
from diagramgen.circuit.tolerances import KIND, kind_of
from diagramgen.circuit.values import ASSUMED, elements_of, number_of, source_name, told_of, winding_name
from diagramgen.library.model import Element
from diagramgen.model.build import Build, Part


def wound(build: Build) -> dict[str, Wound]:
    """Coil -> what is known of its winding."""
    return {source_name(part, coil): _wound(part, coil) for part, coil in elements_of(build, "coil")}


def _wound(part: Part, coil: Element) -> Wound:
    ohms = number_of(part, coil, "resistance")
    henries = number_of(part, coil, "inductance")
    kind = kind_of(part)
    return Wound(
        winding=winding_name(part, coil), pickup=part.name, kind=part.symbol.name, alike=made_alike(part),
        per_turn=PER_TURN[kind], ohms=ohms.number, told=ohms.given, band=KIND[kind],
        turns=told_of(part, coil, "turns"), area=told_of(part, coil, "area"), wire=told_of(part, coil, "wire"),
        inductance=henries.number if henries.origin == "metered" else None)


def made_alike(part: Part) -> bool:
    """Whether the coils of a pickup of this kind are made alike: the symbol gives all of them the same ohms."""
    return len({_typical(part, e) for e in part.symbol.elements if e.kind == "coil"}) == 1


def _typical(part: Part, coil: Element) -> float:
    found = part.symbol.values.get(coil.values.get("resistance", ""))
    value = found.value if found is not None else None
    return float(value) if isinstance(value, (int, float)) else ASSUMED["coil", "resistance"]
