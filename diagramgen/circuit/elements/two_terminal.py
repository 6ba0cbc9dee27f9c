"""Resistors, capacitors and lamps: what lies between two nets and has one value."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Any, NamedTuple, Self

from diagramgen.circuit.elements.element import (
    Branch,
    Element,
    ElementContext,
    ElementFault,
    ElementKind,
    Pair,
    SpiceWriter,
    Stamps,
    positive,
)

RESISTOR = 0.05
"""Tolerance of a resistor (common practice; IEC 60063 series E24)."""
POT = 0.20
"""Tolerance of a pot's track (common practice; IEC 60063 series E6)."""
UNWORDED = ("loss", "cable", "amplifier", "winding")
"""What is a part of no connection in words."""


class TwoTerminal(NamedTuple):
    """One value between two nets, in SI units."""

    name: str
    a: int
    b: int
    value: float
    what: str = ""
    """track | resistor | loss | lamp | capacitor | winding | cable | amplifier | input."""


class _Passive(TwoTerminal, Element):
    __slots__ = ()

    def paths(self) -> tuple[Pair, ...]:
        return ((self.a, self.b),)

    def nodes(self) -> tuple[int, ...]:
        return (self.a, self.b)

    def mapped(self, to: Sequence[int]) -> Self | None:
        a, b = to[self.a], to[self.b]
        return None if a == b else type(self)(self.name, a, b, self.value, self.what)

    def in_signal(self, to: Sequence[int], powered: Collection[str]) -> Self:
        return type(self)(self.name, to[self.a], to[self.b], self.value, self.what)

    def check(self) -> None:
        positive(self.value)


class Resistor(_Passive):
    """``value`` in ohm. Stamp: 1 / R between its nets."""

    __slots__ = ()
    rank = 0

    def stamp(self, m: Stamps, nodes: Sequence[Any]) -> None:
        m.conductance(nodes[0], nodes[1], 1.0 / self.value)

    def branches(self) -> tuple[Branch, ...]:
        seen = self.what not in ("loss", "lamp")
        return (Branch(self.name, self.a, self.b, self.what, ohm=self.value, metered=seen, loads=seen,
                       worded=self.what not in UNWORDED, tolerance=POT if self.what == "track" else RESISTOR),)


class Capacitor(_Passive):
    """``value`` in farad. Stamp: sC between its nets."""

    __slots__ = ()
    rank = 1

    def stamp(self, m: Stamps, nodes: Sequence[Any]) -> None:
        m.capacitance(nodes[0], nodes[1], self.value)

    def branches(self) -> tuple[Branch, ...]:
        return (Branch(self.name, self.a, self.b, self.what, farad=self.value, worded=self.what not in UNWORDED),)


def _resistor(of: ElementContext) -> Iterator[Element]:
    yield Resistor(of.name, of.nets["one"], of.nets["other"], of.value("resistance"), "resistor")


def _capacitor(of: ElementContext) -> Iterator[Element]:
    yield Capacitor(of.name, of.nets["one"], of.nets["other"], of.value("capacitance"), "capacitor")


def _lamp(of: ElementContext) -> Iterator[Element]:
    yield Resistor(of.name, of.nets["plus"], of.nets["minus"], of.value("resistance"), "lamp")


def _ohms(writer: SpiceWriter) -> None:
    a, b = list(writer.nodes.values())[:2]
    writer.resistor(f"r_{writer.name}", a, b, writer.value("resistance"))


def _farads(writer: SpiceWriter) -> None:
    one, other = writer.nodes["one"], writer.nodes["other"]
    writer.put(f"c_{writer.name} {one} {other} {writer.value('capacitance'):.12g}", one, other, passes=False)


KINDS = (
    ElementKind("resistor", _resistor, _ohms, {"resistance": 150e3}, misread=(0.1, 10.0),
                faults=(ElementFault("open", "the resistor is open", "open", weight=0.7, called="part open"),)),
    ElementKind("capacitor", _capacitor, _farads, {"capacitance": 22e-9}, misread=(0.1, 10.0),
                faults=(ElementFault("capacitor shorted", "the capacitor is shorted", join=("one", "other"),
                                     weight=0.5),
                        ElementFault("open", "the capacitor is open", "open", weight=0.7, called="part open"))),
    ElementKind("lamp", _lamp, _ohms, {"resistance": 10e3},
                faults=(ElementFault("open", "the lamp is open", "open", weight=0.7, called="part open"),)),
)
