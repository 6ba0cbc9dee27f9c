"""The coil of a pickup: an EMF behind resistance and inductance, with a loss and its own capacitance across it."""

from __future__ import annotations

import math
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
from diagramgen.circuit.elements.two_terminal import Capacitor, Resistor

SHEET = 0.10
"""Share by which a coil may differ from its maker's figure. No maker's band was found published; one list says 6.3k of
a coil that read 6.1k on the bench, bare wire of one gauge varies by 8 % in ohms (pickup makers' pages, titles not
noted; figures only, licences not told)."""


class _Fields(NamedTuple):
    name: str
    start: int
    finish: int
    resistance: float
    inductance: float


class Coil(_Fields, Element):
    """An EMF from start to finish behind resistance (ohm) and inductance (H). Stamp: 1 / (R + sL) between its nets."""

    __slots__ = ()
    rank = 2
    sounds = True

    def nodes(self) -> tuple[int, ...]:
        return (self.start, self.finish)

    def paths(self) -> tuple[Pair, ...]:
        return ((self.start, self.finish),)

    def mapped(self, to: Sequence[int]) -> Self | None:
        start, finish = to[self.start], to[self.finish]
        return None if start == finish else type(self)(self.name, start, finish, self.resistance, self.inductance)

    def in_signal(self, to: Sequence[int], powered: Collection[str]) -> Self:
        return type(self)(self.name, to[self.start], to[self.finish], self.resistance, self.inductance)

    def check(self) -> None:
        positive(self.resistance)
        if not 0 <= self.inductance < math.inf:
            raise ValueError("an inductance of the network is negative or no finite number")

    def stamp(self, m: Stamps, nodes: Sequence[Any]) -> None:
        m.windings([(nodes[0], nodes[1])], [self.resistance], [[self.inductance]], [self.name])

    def branches(self) -> tuple[Branch, ...]:
        return (Branch(self.name, self.start, self.finish, "coil", self.resistance, self.inductance, loads=False,
                       tolerance=SHEET, copper=True),)

    def drives(self) -> tuple[int, ...]:
        return (self.start, self.finish)


def _place(of: ElementContext) -> Iterator[Element]:
    start, finish = of.nets["start"], of.nets["finish"]
    yield Coil(of.source, start, finish, of.value("resistance"), of.value("inductance"))
    yield Resistor(of.source, start, finish, of.value("loss"), "loss")
    if of.value("capacitance") > 0:
        yield Capacitor(of.source, start, finish, of.value("capacitance"), "winding")


def _spice(writer: SpiceWriter) -> None:
    name, start, finish = writer.source, writer.nodes["start"], writer.nodes["finish"]
    if start == finish:
        return
    # The source drives from start to finish: finish is its plus side.
    writer.put(f"v_{name} {name}_emf {start} dc 0 ac 0", start, f"{name}_emf")
    writer.put(f"l_{name} {name}_emf {name}_wire {max(writer.value('inductance'), 1e-12):.12g}", f"{name}_emf",
             f"{name}_wire")
    writer.resistor(f"r_{name}", f"{name}_wire", finish, writer.value("resistance"))
    writer.put(f"r_{name}_loss {start} {finish} {writer.value('loss'):.12g}", start, finish)
    if writer.value("capacitance") > 0:
        writer.put(f"c_{name} {start} {finish} {writer.value('capacitance'):.12g}", start, finish, passes=False)
    writer.speaks(f"v_{name}")


KINDS = (
    ElementKind("coil", _place, _spice, {"resistance": 7e3, "inductance": 3.0, "capacitance": 100e-12, "loss": 1e6},
                frozenset({"capacitance"}), sounds=True,
                faults=(ElementFault("coil open", "the coil is open", "open", weight=2.0),
                        ElementFault("coil shorted", "the coil is shorted", join=("start", "finish"), weight=0.5),
                        ElementFault("coil part shorted", "half the coil's turns are shorted", "half", weight=0.5,
                                     called="part of the coil shorted"),
                        ElementFault("turned", "its magnet lies the other way round than the other pickups want",
                                     "turned", weight=0.5, called="magnet turned"))),
)
