"""The track of a potentiometer: two resistors that share its ohms at the wiper."""

from __future__ import annotations

from collections.abc import Iterator

from diagramgen.circuit.elements.element import Element, ElementContext, ElementFault, ElementKind, SpiceWriter
from diagramgen.circuit.elements.two_terminal import Resistor


def _place(of: ElementContext) -> Iterator[Element]:
    """The two parts of the track; a part without resistance joins its ends. A wiper off the track leaves one part."""
    ohm, fraction, nets = of.value("resistance"), of.fraction(), of.nets
    if fraction is None:
        yield from _part(of, nets["zero"], nets["ten"], ohm)
        return
    yield from _part(of, nets["zero"], nets["wiper"], ohm * fraction)
    yield from _part(of, nets["wiper"], nets["ten"], ohm * (1 - fraction))


def _part(of: ElementContext, a: int, b: int, ohm: float) -> Iterator[Element]:
    if ohm > 0:
        yield Resistor(of.name, a, b, ohm, "track")
    else:
        of.join(a, b)


def _spice(writer: SpiceWriter) -> None:
    ohm, fraction, at = writer.value("resistance"), writer.fraction(), writer.nodes
    if fraction is None:
        writer.resistor(f"r_{writer.name}", at["zero"], at["ten"], ohm)
        return
    writer.resistor(f"r_{writer.name}_zero", at["zero"], at["wiper"], ohm * fraction)
    writer.resistor(f"r_{writer.name}_ten", at["wiper"], at["ten"], ohm * (1 - fraction))


KINDS = (
    ElementKind("track", _place, _spice, {"resistance": 500e3}, frozenset({"resistance"}), misread=(0.5, 2.0),
                faults=(ElementFault("track open", "the track is open at its {lug} end", "zero"),
                        ElementFault("track open", "the track is open at its {lug} end", "ten"),
                        ElementFault("wiper open", "the wiper does not touch the track", "wiper", weight=1.5,
                                     called="wiper off its track"))),
)
