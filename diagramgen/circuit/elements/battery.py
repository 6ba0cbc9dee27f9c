"""A battery: a voltage behind a little resistance; to alternating current its two ends are one point."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Any, NamedTuple, Self

from diagramgen.circuit.elements.element import (
    Element,
    ElementContext,
    ElementFault,
    ElementKind,
    Pair,
    SpiceWriter,
    Stamps,
    Supplying,
)

INSIDE = 1.0
"""Ohm inside a battery (typical, from memory)."""


class _Fields(NamedTuple):
    name: str
    plus: int
    minus: int
    voltage: float


class Battery(_Fields, Element):
    """``voltage`` from minus to plus behind ``INSIDE`` ohm. No stamp for the signal: its nets are one there."""

    __slots__ = ()
    rank = 5
    active = True

    def nodes(self) -> tuple[int, ...]:
        return (self.plus, self.minus)

    def paths(self) -> tuple[Pair, ...]:
        return ()

    def mapped(self, to: Sequence[int]) -> Self | None:
        plus, minus = to[self.plus], to[self.minus]
        return None if plus == minus else type(self)(self.name, plus, minus, self.voltage)

    def in_signal(self, to: Sequence[int], powered: Collection[str]) -> Self:
        return type(self)(self.name, to[self.plus], to[self.minus], self.voltage)

    def stamp(self, m: Stamps, nodes: Sequence[Any]) -> None:
        """Nothing: whoever solves for the signal makes its two nets one (``battery()``)."""

    def conducts_dc(self) -> bool:
        return True

    def rails(self) -> tuple[int, ...]:
        return (self.plus, self.minus)

    def battery(self) -> Supplying | None:
        return Supplying(self.plus, self.minus, self.voltage, INSIDE)


def _place(of: ElementContext) -> Iterator[Element]:
    yield Battery(of.name, of.nets["plus"], of.nets["minus"], of.value("voltage"))


def _spice(writer: SpiceWriter) -> None:
    plus, minus, inside = writer.nodes["plus"], writer.nodes["minus"], f"{writer.name}_inside"
    writer.put(f"v_{writer.name} {plus} {inside} dc {writer.value('voltage'):.12g}", plus, inside)
    writer.resistor(f"r_{writer.name}", inside, minus, INSIDE)


KINDS = (
    ElementKind("cell", _place, _spice, {"voltage": 9.0}, passes=(),
                faults=(ElementFault("dead", "the battery is flat or its clip makes no contact", "dead", weight=1.5,
                                     called="board or battery dead"),)),
)
