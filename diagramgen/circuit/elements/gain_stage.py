"""A buffer board: its output repeats its input while it has its supply (a voltage-controlled source)."""

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

NOMINAL = 9.0
"""Volt at which a buffer draws its stated current."""


class _Fields(NamedTuple):
    name: str
    into: int
    out: int
    ground: int
    plus: int
    input: float
    output: float
    current: float
    gain: float = 1.0


class GainStage(_Fields, Element):
    """The voltage at its input against its ground, times ``gain``, behind ``output`` ohm at its output.

    Stamp (Norton form): 1 / input across the input, 1 / output across the output, and gain / output of the input's
    voltage as a current into the output.
    """

    __slots__ = ()
    rank = 4
    active = True

    def nodes(self) -> tuple[int, ...]:
        return (self.into, self.out, self.ground, self.plus)

    def paths(self) -> tuple[Pair, ...]:
        return ((self.into, self.ground), (self.out, self.ground))

    def mapped(self, to: Sequence[int]) -> Self:
        return type(self)(self.name, to[self.into], to[self.out], to[self.ground], to[self.plus], *self[5:])

    def in_signal(self, to: Sequence[int], powered: Collection[str]) -> Self:
        # A supply lead is no point of the sound's network; it stands for ground.
        return type(self)(self.name, to[self.into], to[self.out], to[self.ground], 0, self.input, self.output,
                          self.current, self.gain if self.name in powered else 0.0)

    def check(self) -> None:
        positive(self.input, self.output)

    def stamp(self, m: Stamps, nodes: Sequence[Any]) -> None:
        into, out, ground = nodes[:3]
        m.conductance(into, ground, 1.0 / self.input)
        m.conductance(out, ground, 1.0 / self.output)
        m.transconductance(out, ground, into, ground, self.gain / self.output)

    def branches(self) -> tuple[Branch, ...]:
        return (Branch(self.name, self.into, self.ground, "input", self.input, metered=False, worded=False),
                Branch(self.name, self.out, self.ground, "output", self.output, metered=False))

    def hears(self) -> Pair | None:
        return (self.into, self.ground) if self.gain else None

    def drives(self) -> tuple[int, ...]:
        return (self.out,)

    def rails(self) -> tuple[int, ...]:
        return (self.ground, self.plus)

    def fed_at(self) -> Pair | None:
        return (self.plus, self.ground)

    def fed(self) -> tuple[tuple[int, int, float], ...]:
        return ((self.into, self.ground, 1 / self.input), (self.out, self.ground, 1 / self.output),
                (self.plus, self.ground, self.current / NOMINAL))


def _place(of: ElementContext) -> Iterator[Element]:
    yield GainStage(of.name, of.nets["in"], of.nets["out"], of.nets["ground"], of.nets["plus"], of.value("input"),
                    of.value("output"), of.value("current"))


def _spice(writer: SpiceWriter) -> None:
    """Its output follows its input while it has half of the battery's voltage."""
    at, name = writer.nodes, writer.name
    ground, plus, current = at["ground"], at["plus"], writer.value("current")
    writer.resistor(f"r_{name}_in", at["in"], ground, writer.value("input"))
    if current > 0:
        writer.resistor(f"r_{name}_supply", plus, ground, NOMINAL / current)
    follows = f"(v({at['in']}) - v({ground})) * u(v({plus}) - v({ground}) - {writer.enough:.12g})"
    writer.put(f"b_{name} {name}_drive {ground} v = {follows}", f"{name}_drive", ground)
    writer.resistor(f"r_{name}_out", f"{name}_drive", at["out"], writer.value("output"))


KINDS = (
    ElementKind("buffer", _place, _spice, {"input": 1e6, "output": 1e3, "current": 400e-6}, frozenset({"current"}),
                passes=("in", "out"), one_way=True,
                faults=(ElementFault("dead", "the board passes nothing", "dead", weight=1.5,
                                     called="board or battery dead"),)),
)
