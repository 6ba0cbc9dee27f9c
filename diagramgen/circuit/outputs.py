"""The outputs of a build: the contacts of its jacks on which a signal can arrive, and the plugs that take it off.

A contact (tip or ring) of a jack is an output where some way leads to it from a coil or transducer through leads,
parts and contacts in any position, not by ground. The tip of the first jack is the main output, whatever arrives.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from diagramgen.circuit.blocks import reached
from diagramgen.circuit.elements.registry import KINDS
from diagramgen.circuit.nets import Graph, connect
from diagramgen.circuit.values import SOUNDING, elements_of, lug_of
from diagramgen.model.build import Build
from diagramgen.model.output_names import CONTACTS, contacts_of, is_jack

LOADED = {"mono": ("tip",), "stereo": CONTACTS}
"""Where the plug is -> the contacts from which cable and amplifier then hang."""

Plugs = tuple[tuple[str, str], ...]
"""Jack -> where its plug is (out | mono | stereo), for the jacks whose plug changes something."""


@dataclass(frozen=True, order=True)
class Output:
    """A contact of a jack."""

    jack: str
    contact: str = "tip"

    @property
    def lug(self) -> str:
        """``part.lug`` of the contact."""
        return f"{self.jack}.{self.contact}"

    @property
    def sleeve(self) -> str:
        """``part.lug`` of its ground."""
        return f"{self.jack}.sleeve"

    @property
    def says(self) -> str:
        """As a sentence names it: ``output``, ``the ring of output``."""
        return self.jack if self.contact == "tip" else f"the {self.contact} of {self.jack}"

    @property
    def named(self) -> str:
        """As a file or a command names it: ``output``, ``output.ring``."""
        return self.jack if self.contact == "tip" else self.lug

    @property
    def plug(self) -> str:
        """The plug that hears it: a mono plug shorts a ring."""
        return "stereo" if self.contact == "ring" else "mono"

    def heard_by(self, plugs: Mapping[str, str]) -> bool:
        """Whether some plug takes it off; a jack that is not named has a mono plug in it."""
        return self.contact in LOADED.get(plugs.get(self.jack, "mono"), ())

    def own(self, plugs: Mapping[str, str]) -> bool:
        """Whether its own plug is in its jack, and a mono plug in every other."""
        return all(word == (self.plug if jack == self.jack else "mono") for jack, word in plugs.items())


def contacts(build: Build) -> tuple[Output, ...]:
    """Every contact of a jack that might carry a signal, in the order of the file."""
    return tuple(Output(jack.name, lug) for jack in build.parts.values() if is_jack(jack) for lug in contacts_of(jack))


def named(build: Build, lug: str) -> Output | None:
    """The contact ``part.lug`` of a jack, the main output for ''; None where there is none."""
    return next((one for one in contacts(build) if lug in ("", one.lug)), None)


def outputs(build: Build, graph: Graph | None = None) -> tuple[Output, ...]:
    """The outputs in the order of the file, the main one first; none without a jack. ``graph``: that of the build,
    where it is at hand."""
    every = contacts(build)
    if len(every) < 2:
        return every
    at, ways = _ways(build, graph or connect(build))
    sources = [at[lug_of(part, element, end)] for part, element in elements_of(build, *SOUNDING)
               for end in element.ends]
    signal = reached(ways, [point for point in sources if point >= 0])
    return tuple(one for one in every if one == every[0] or at[one.lug] in signal)


def loading(build: Build) -> frozenset[str]:
    """Jacks whose plug changes something though it closes no contact: it hears a ring, or loads another jack's output.

    It loads one where some way leads from contact to contact, not by ground or a buffer (what hangs on the output of
    a buffer is not felt at its input).
    """
    every = outputs(build)
    if len(every) < 2:
        return frozenset()
    at, ways = _ways(build, connect(build), buffers=False)
    near = {one: reached(ways, [at[one.lug]]) if at[one.lug] >= 0 else set() for one in every}
    found = {one.jack for one in every for other in every if one.jack != other.jack and at[other.lug] in near[one]}
    return frozenset(found | {one.jack for one in every if one.contact == "ring"})


def _ways(build: Build, graph: Graph, buffers: bool = True) -> tuple[Mapping[str, int], list[tuple[int, int]]]:
    """Lug -> its net (-1: ground), and the pairs of nets between which a signal may pass in some state."""
    ground = {one.sleeve for one in contacts(build)}
    at = {node: i if ground.isdisjoint(net) else -1 for i, net in enumerate(graph.nets()) for node in net}
    pairs = [(at[a], at[b]) for group in _groups(build, buffers) for a, b in itertools.combinations(group, 2)]
    return at, [(a, b) for a, b in pairs if a >= 0 and b >= 0]


def _groups(build: Build, buffers: bool) -> Iterator[list[str]]:
    """Lugs between which a part or a contact of it may pass a signal; a battery and what it feeds pass none."""
    for part, element in elements_of(build):
        kind = KINDS.get(element.kind)
        if kind is not None and kind.one_way and not buffers:
            continue
        ends = element.ends if kind is None or kind.passes is None else kind.passes
        yield [lug_of(part, element, end) for end in ends]
    for part in build.parts.values():
        for table in part.symbol.contacts:
            yield from ([f"{part.name}.{lug}" for lug in group] for row in table.rows for group in row.joins)
