"""A contact transducer: a voltage behind a capacitance."""

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


class _Fields(NamedTuple):
    name: str
    ground: int
    hot: int
    capacitance: float


class PiezoSource(_Fields, Element):
    """A voltage from ground to hot behind its capacitance (F). Stamp: sC, and the current sC of an EMF of 1 V."""

    __slots__ = ()
    rank = 3
    sounds = True

    def nodes(self) -> tuple[int, ...]:
        return (self.ground, self.hot)

    def paths(self) -> tuple[Pair, ...]:
        return ((self.ground, self.hot),)

    def mapped(self, to: Sequence[int]) -> Self | None:
        ground, hot = to[self.ground], to[self.hot]
        return None if ground == hot else type(self)(self.name, ground, hot, self.capacitance)

    def in_signal(self, to: Sequence[int], powered: Collection[str]) -> Self:
        return type(self)(self.name, to[self.ground], to[self.hot], self.capacitance)

    def check(self) -> None:
        positive(self.capacitance)

    def stamp(self, m: Stamps, nodes: Sequence[Any]) -> None:
        m.capacitance(nodes[0], nodes[1], self.capacitance, self.name)

    def branches(self) -> tuple[Branch, ...]:
        return (Branch(self.name, self.ground, self.hot, "transducer", farad=self.capacitance),)

    def drives(self) -> tuple[int, ...]:
        return (self.hot,)


def _place(of: ElementContext) -> Iterator[Element]:
    yield PiezoSource(of.source, of.nets["ground"], of.nets["hot"], of.value("capacitance"))


def _spice(writer: SpiceWriter) -> None:
    name, ground, hot = writer.source, writer.nodes["ground"], writer.nodes["hot"]
    if ground == hot:
        return
    writer.put(f"v_{name} {name}_emf {ground} dc 0 ac 0", ground, f"{name}_emf")
    writer.put(f"c_{name} {name}_emf {hot} {writer.value('capacitance'):.12g}", f"{name}_emf", hot, passes=False)
    writer.speaks(f"v_{name}")


KINDS = (
    ElementKind("transducer", _place, _spice, {"capacitance": 800e-12}, sounds=True,
                faults=(ElementFault("open", "the transducer is open", "open", weight=0.7, called="part open"),)),
)
