"""The track of a potentiometer: two resistors that share its ohms at the wiper."""

from __future__ import annotations

from collections.abc import Iterator

from diagramgen.circuit.elements.element import Card, Element, ElementKind, Placing, Wrong
from diagramgen.circuit.elements.two_terminal import Resistor


def _place(of: Placing) -> Iterator[Element]:
    """The two parts of the track; a part without resistance joins its ends. A wiper off the track leaves one part."""
    ohm, fraction, nets = of.value("resistance"), of.fraction(), of.nets
    if fraction is None:
        yield from _part(of, nets["zero"], nets["ten"], ohm)
        return
    yield from _part(of, nets["zero"], nets["wiper"], ohm * fraction)
    yield from _part(of, nets["wiper"], nets["ten"], ohm * (1 - fraction))


def _part(of: Placing, a: int, b: int, ohm: float) -> Iterator[Element]:
    if ohm > 0:
        yield Resistor(of.name, a, b, ohm, "track")
    else:
        of.join(a, b)


def _spice(card: Card) -> None:
    ohm, fraction, at = card.value("resistance"), card.fraction(), card.nodes
    if fraction is None:
        card.resistor(f"r_{card.name}", at["zero"], at["ten"], ohm)
        return
    card.resistor(f"r_{card.name}_zero", at["zero"], at["wiper"], ohm * fraction)
    card.resistor(f"r_{card.name}_ten", at["wiper"], at["ten"], ohm * (1 - fraction))


KINDS = (
    ElementKind("track", _place, _spice, {"resistance": 500e3}, frozenset({"resistance"}), misread=(0.5, 2.0),
                faults=(Wrong("track open", "the track is open at its {lug} end", "zero"),
                        Wrong("track open", "the track is open at its {lug} end", "ten"),
                        Wrong("wiper open", "the wiper does not touch the track", "wiper", weight=1.5,
                              called="wiper off its track"))),
)
