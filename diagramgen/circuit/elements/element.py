"""What an element is to whatever works on a circuit: the protocol, its defaults, and how a kind declares itself.

A new kind of element is one file of this folder. It holds the class of its element (what stands between the nets),
and one ``ElementKind`` (how a part of the build becomes such elements, and how they are written for ngspice).
``registry`` finds it there; the solver, the readings, the supply, the words for a connection, the netlist for ngspice
and the fault finder ask the protocol and know no kind by name.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar, NamedTuple, Protocol, Self

Pair = tuple[int, int]
"""Two nets (or points of a netlist); where a direction matters, from the first to the second."""


class Stamps(Protocol):
    """What an element writes itself into: the equations of a netlist, whatever they are kept in.

    Nets are numbers, 0 is ground. Values are floats in SI units. An element that carries a voltage of its own (EMF)
    names it by ``source``; the EMF points from the first net to the second.
    """

    def conductance(self, a: Any, b: Any, siemens: Any) -> None:
        """Add ``siemens`` between two nets."""

    def capacitance(self, a: Any, b: Any, farad: Any, source: str | None = None) -> None:
        """Add ``farad`` between two nets, with an EMF of 1 V behind it where ``source`` names one."""

    def transconductance(self, out: Any, back: Any, plus: Any, minus: Any, siemens: Any) -> None:
        """Let ``siemens`` times the voltage from ``minus`` to ``plus`` flow out of the circuit at ``back`` and in at
        ``out``."""

    def windings(self, pairs: Sequence[tuple[Any, Any]], ohms: Sequence[Any], henries: Sequence[Sequence[Any]],
                 sources: Sequence[str | None]) -> None:
        """Add windings on one core: their pairs of nets, resistances, and matrix of inductances (mutual ones off the
        diagonal)."""


class Branch(NamedTuple):
    """A piece of an element between two nets, as direct current, words and faults see it: R + jwL, or R beside C."""

    name: str
    a: int
    b: int
    what: str
    """track | resistor | loss | lamp | capacitor | winding | coil | transducer | cable | amplifier | input | ..."""
    ohm: float = 0.0
    """0: nothing that conducts."""
    henry: float = 0.0
    """In series with ``ohm``."""
    farad: float = 0.0
    """Beside ``ohm``."""
    metered: bool = True
    """Whether an ohmmeter's current passes it."""
    loads: bool = True
    """Whether it counts as a load on a coil."""
    worded: bool = True
    """Whether it is told of in words for how coils are connected."""
    tolerance: float = 0.0
    """Share by which ``ohm`` may differ where nothing more is known."""
    copper: bool = False
    """Whether ``ohm`` follows the temperature as copper does."""

    def impedance(self, omega: float) -> complex:
        """Ohm at ``omega`` rad/s; where there is a capacitance, of that alone."""
        return 1 / (1j * omega * self.farad) if self.farad else self.ohm + 1j * omega * self.henry

    def under(self, what: str, factor: float) -> Branch | None:
        """The piece after something went wrong with its element; None where it passes nothing.

        ``what``: open | half (of a winding's turns shorted) | scale (by ``factor``); anything else leaves it as it is.
        """
        if what == "open":
            # The capacitance of a coil's turns stays when its wire breaks.
            return self if self.what == "winding" else None
        if what == "half" and self.copper:
            return self._replace(ohm=self.ohm / 2, henry=self.henry / 4)
        return self._replace(ohm=self.ohm * factor, farad=self.farad * factor) if what == "scale" else self


class Element:
    """The protocol, with what holds for a passive piece that neither sounds nor is fed.

    Subclasses are named tuples (a table of states makes thousands of them, and compares netlists by them) whose fields
    are the nets and the values.
    """

    __slots__ = ()

    rank: ClassVar[int] = 9
    """Place among the elements of a netlist: points are numbered, and sums run, in this order."""
    sounds: ClassVar[bool] = False
    """Whether it makes a signal: the solver gives a transfer for it."""
    active: ClassVar[bool] = False
    """Whether it is a board or a battery, across which no ohm figure means anything."""

    @property
    def name(self) -> str:
        """What it is called: the part, or ``part.element``."""
        raise NotImplementedError

    def nodes(self) -> tuple[int, ...]:
        """Every net it stands on, the ones a signal passes first."""
        return tuple(dict.fromkeys(net for pair in self.paths() for net in pair))

    def paths(self) -> tuple[Pair, ...]:
        """Pairs of nets between which it lets a signal pass."""
        raise NotImplementedError

    def mapped(self, to: Sequence[int]) -> Self | None:
        """The same on other nets; None where both its ends come to lie on one."""
        raise NotImplementedError

    def in_signal(self, to: Sequence[int], powered: Collection[str]) -> Self:
        """The same on the points of a netlist for the signal; ``powered``: names of the elements that are supplied."""
        raise NotImplementedError

    def check(self) -> None:
        """Raise ``ValueError`` for values no circuit can have."""

    def stamp(self, m: Stamps, nodes: Sequence[Any]) -> None:
        """Write the element into the equations for small signals (s = jw), with its ``nodes()`` as numbered there."""
        raise NotImplementedError

    def conducts_dc(self) -> bool:
        """Whether direct current passes it."""
        return any(branch.ohm for branch in self.branches())

    def branches(self) -> tuple[Branch, ...]:
        """Its pieces between two nets."""
        return ()

    def hears(self) -> Pair | None:
        """Of an element that repeats a voltage: where it takes it, against what. None: it repeats nothing."""
        return None

    def drives(self) -> tuple[int, ...]:
        """The nets it feeds a signal to."""
        return ()

    def rails(self) -> tuple[int, ...]:
        """Nets that its supply holds still."""
        return ()

    def fed_at(self) -> Pair | None:
        """Of an element that wants a supply: where its plus and its minus stand."""
        return None

    def fed(self) -> tuple[tuple[int, int, float], ...]:
        """(net, net, siemens) of what the current of a battery finds in it."""
        return tuple((b.a, b.b, 1 / b.ohm) for b in self.branches() if b.ohm and b.what != "loss")

    def battery(self) -> Supplying | None:
        """What it supplies; None for all that is no battery."""
        return None


class Supplying(NamedTuple):
    """A battery: ``volt`` between two nets behind ``ohm``. To alternating current its two nets are one."""

    plus: int
    minus: int
    volt: float
    ohm: float


@dataclass(frozen=True)
class ElementContext:
    """One electrical element of a part of the build, as a kind is given it to make its solver elements of."""

    name: str
    """The part, or ``part.element`` where the part has several."""
    source: str
    """What it is called where it makes a signal."""
    nets: Mapping[str, int]
    """End, as in the symbol file -> net."""
    value: Callable[[str], float]
    """Parameter -> its value in SI units."""
    fraction: Callable[[], float | None]
    """Of a track: the share between its zero end and the wiper; None where the wiper touches nothing."""
    join: Callable[[int, int], None]
    """Make two nets one."""


class SpiceWriter(Protocol):
    """Writes the lines of one element for ngspice. Names of nodes are ngspice's; nothing of the solver is in here."""

    @property
    def name(self) -> str:
        """The element's name as ngspice takes it."""

    @property
    def source(self) -> str:
        """The same as a source of signal."""

    @property
    def nodes(self) -> Mapping[str, str]:
        """End, as in the symbol file -> node."""

    @property
    def enough(self) -> float:
        """Volt from which a board counts as supplied."""

    def value(self, parameter: str) -> float:
        """A value in SI units."""

    def fraction(self) -> float | None:
        """As ``ElementContext.fraction``."""

    def put(self, line: str, *nodes: str, passes: bool = True) -> None:
        """Add a line with the nodes it stands on; ``passes``: whether direct current passes it."""

    def resistor(self, name: str, a: str, b: str, ohm: float) -> None:
        """Add a resistor, unless both its nodes are one; it has the resistance of a closed contact at least."""

    def speaks(self, name: str) -> None:
        """Say that the voltage source of this name is one of signal."""


class ElementFault(NamedTuple):
    """One thing that can be wrong with an element: kind of fault, words, and what happens to the circuit."""

    kind: str
    words: str
    edit: str = ""
    """As ``diagnosis.model.NetlistEdit.what``; '' where it is a joint of ends alone."""
    join: tuple[str, str] | None = None
    """Ends, as in the symbol file, that are joined."""
    weight: float = 1.0
    """How often it is met, against other faults: an open joint has 6 (a technician's judgement, from memory)."""
    called: str = ""
    """Its kind in the words of the fault sheet; '' where ``kind`` says it."""

    @property
    def heading(self) -> str:
        """Its kind as the fault sheet prints it."""
        return self.called or self.kind


@dataclass(frozen=True)
class ElementKind:
    """A kind of element as symbol files name it (``is: coil``)."""

    name: str
    place: Callable[[ElementContext], Iterator[Element]]
    """The elements of one such element of a part, in order."""
    spice: Callable[[SpiceWriter], None]
    assumed: Mapping[str, float]
    """Parameter -> value in SI units where neither build nor symbol gives one (typical, from memory)."""
    zero_fits: frozenset[str] = frozenset()
    """Parameters that may be 0."""
    sounds: bool = False
    """Whether it makes a signal."""
    passes: tuple[str, ...] | None = None
    """The ends between which it lets a signal pass; all of them where not said."""
    one_way: bool = False
    """Whether its input does not feel what hangs on its output."""
    faults: tuple[ElementFault, ...] = ()
    """What can be wrong with it. ``words`` may name the lug of the end that ``edit`` names, as {lug}."""
    misread: tuple[float, ...] = ()
    """By what a wrong part's value may differ: 250k for 500k, a digit of a code misread."""


def positive(*numbers: float) -> None:
    """Raise ``ValueError`` unless every number is above 0 and finite."""
    for number in numbers:
        if not 0 < number < float("inf"):
            raise ValueError("a value of the network is zero, negative or no finite number")
