"""From a build to a linear circuit: its elements between nets, and the netlist of one state at the output.

A ``NetlistTemplate`` holds what no switch changes: nets of leads and sure metal, and every element between them, for
one setting of the knobs. ``netlist_of`` takes the classes of nets that a state's contacts join and gives what lies
between tip and sleeve with the cable and the amplifier. Switches are merged nets, never small resistors.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from diagramgen.circuit.blocks import block_between, merged
from diagramgen.circuit.elements.element import Branch, Element, ElementContext, Pair, Supplying
from diagramgen.circuit.elements.registry import KINDS
from diagramgen.circuit.elements.two_terminal import Capacitor, Resistor
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.nets import connect
from diagramgen.circuit.outputs import LOADED, Output, Plugs, outputs
from diagramgen.circuit.values import elements_of, law_of, lug_of, number_of, source_name, turn_of
from diagramgen.library.model import Element as SymbolElement
from diagramgen.model.build import Build, Load, Part


@dataclass(frozen=True)
class Elements:
    """Everything between the nets of a circuit, in order of rank: points are numbered, and sums run, in this order."""

    all: tuple[Element, ...] = ()

    @staticmethod
    def of(elements: Iterable[Element]) -> Elements:
        """Put elements in order of their ranks."""
        return Elements(tuple(sorted(elements, key=lambda e: e.rank)))

    def __iter__(self) -> Iterator[Element]:
        return iter(self.all)

    def mapped(self, to: Sequence[int]) -> Elements:
        """The same elements on other nets; two-terminal parts with both ends on one net fall away."""
        return Elements(tuple(moved for e in self.all if (moved := e.mapped(to)) is not None))

    def only(self, keep: Callable[[Element], bool]) -> Elements:
        """Those elements that ``keep`` is true of."""
        return Elements(tuple(e for e in self.all if keep(e)))

    @cached_property
    def edges(self) -> tuple[Pair, ...]:
        """Pairs of nets between which elements let a signal pass, in order."""
        return tuple(pair for e in self.all for pair in e.paths())

    @cached_property
    def owners(self) -> tuple[int, ...]:
        """Edge -> number of the element it is of."""
        return tuple(i for i, e in enumerate(self.all) for _ in e.paths())

    @cached_property
    def metered(self) -> tuple[Branch, ...]:
        """The pieces that an ohmmeter's current passes."""
        return tuple(piece for e in self.all for piece in e.branches() if piece.metered and piece.ohm)

    @cached_property
    def unmetered(self) -> bool:
        """Whether there is a board, a battery or a source that no direct current passes."""
        return any(e.active or (e.sounds and not e.conducts_dc()) for e in self.all)

    @cached_property
    def fed(self) -> tuple[tuple[int, int, float], ...]:
        """(net, net, siemens) of all that a battery's current passes."""
        return tuple(edge for e in self.all for edge in e.fed())

    @cached_property
    def batteries(self) -> tuple[Supplying, ...]:
        """What supplies."""
        return tuple(one for e in self.all if (one := e.battery()) is not None)


@dataclass(frozen=True)
class Netlist:
    """What lies between the output and ground in one state; point 0 is ground (the sleeve)."""

    size: int
    """Number of points, ground included."""
    tip: int
    """0 where tip and sleeve are one net."""
    elements: Elements
    names: tuple[str, ...] = ()
    """A lug on each point, for words."""
    tied: bool = False
    """Known to hang together, with values that were checked: made by ``netlist_of``."""

    @property
    def sources(self) -> tuple[str, ...]:
        """Coils, then transducers, in the order the solver gives their transfers."""
        return tuple(e.name for e in self.elements if e.sounds)

    @cached_property
    def key(self) -> tuple[object, ...]:
        """Equal for networks that behave alike."""
        return (self.size, self.tip, self.elements)


class Loaded(NamedTuple):
    """Elements with cable and amplifier on the nets of a template."""

    elements: Elements
    made: dict[tuple[object, ...], Element]
    """Number of the element, its points, whether it is powered -> the element on them: netlists share what is alike."""


@dataclass(frozen=True)
class NetlistTemplate:
    """A build with its knobs set: nets without any contact, and the elements between them."""

    build: Build
    nets: tuple[tuple[str, ...], ...]
    index: Mapping[str, int]
    """Lug or metal node -> its net."""
    elements: Elements
    joined: tuple[tuple[int, int], ...]
    """Nets that a wiper at the end of its track joins."""
    jack: Part | None
    """The first jack: its tip is the main output."""
    outputs: tuple[Output, ...] = ()
    """The main output first; none without a jack."""
    kept: dict[tuple[str | Plugs, Load], Loaded] = field(default_factory=dict, compare=False, repr=False)
    """Elements with their load, worked out once."""

    @property
    def size(self) -> int:
        """Number of nets."""
        return len(self.nets)

    def lug(self, name: str) -> int:
        """The net of ``part.lug``. Raises ``KeyError`` where there is none."""
        return self.index[name]

    def jack_net(self, lug: str) -> int | None:
        """The net of a lug of the first jack; None without a jack or such a lug."""
        return self.index.get(f"{self.jack.name}.{lug}") if self.jack is not None else None

    def heard(self, plug: str | Plugs) -> tuple[Output, ...]:
        """The outputs that the plugs take off; ``plug`` as in ``netlist_of``."""
        return tuple(one for one in self.outputs if one.heard_by(self.plugs(plug)))

    def plugs(self, plug: str | Plugs) -> Mapping[str, str]:
        """Jack -> where its plug is; one word stands for every jack with an output."""
        return dict.fromkeys((one.jack for one in self.outputs), plug) if isinstance(plug, str) else dict(plug)


def template_of(
    build: Build, knobs: Mapping[str, float] | None = None, made: Collection[str] | None = None
) -> NetlistTemplate:
    """Lay out a build with its knobs set: nets with every contact open, and the elements between them.

    Parameters: knobs - ``part.control`` -> 0 to 10, the rest at rest; made - tags of leads and names of hung
    components that are there, all where not given.
    Raises: ``ValueError`` for a turn outside 0 to 10.
    """
    graph = connect(build, None, made)
    nets = graph.nets()
    index = {node: i for i, net in enumerate(nets) for node in net}
    joined: list[tuple[int, int]] = []
    elements = _elements(build, knobs or {}, index, joined)
    found = jacks(build)
    outs = outputs(build, graph if made is None else None)
    return NetlistTemplate(build, nets, index, elements, tuple(joined), found[0] if found else None, outs)


def _elements(
    build: Build, knobs: Mapping[str, float], index: Mapping[str, int], joined: list[tuple[int, int]]
) -> Elements:
    found: list[Element] = []
    for part, element in elements_of(build):
        kind = KINDS.get(element.kind)
        if kind is not None:
            found += kind.place(_placing(part, element, knobs, index, joined))
    return Elements.of(found)


def _placing(
    part: Part, element: SymbolElement, knobs: Mapping[str, float], index: Mapping[str, int],
    joined: list[tuple[int, int]],
) -> ElementContext:
    return ElementContext(
        f"{part.name}.{element.name}" if len(part.symbol.elements) > 1 else part.name, source_name(part, element),
        {end: index[lug_of(part, element, end)] for end in element.ends},
        lambda parameter: number_of(part, element, parameter).number,
        lambda: law_of(part, element).fraction(turn_of(part, element, knobs)),
        lambda a, b: joined.append((a, b)))


def netlist_of(
    template: NetlistTemplate,
    classes: Sequence[int],
    plug: str | Plugs = "mono",
    powered: Collection[str] = (),
    load: Load | None = None,
    output: Output | None = None,
) -> Netlist:
    """Make the netlist between an output and the sleeve of its jack in one state.

    What lies on no way between the two that visits no point twice is left out, but for what a kept buffer hears.

    Parameters: classes - the class of each net of the template (``blocks.merged``); plug - where the plug of every jack
    is, or of each jack by name; powered - names of the elements that have their supply, the others pass nothing;
    load - what hangs on every plug that is in, the build's own where not given; output - the main one where not given.
    Returns: a netlist with ground as point 0 and the output's contact as ``tip`` (0 where they are one net).
    Raises: ``ValueError`` for a build without an output jack.
    """
    if not template.outputs:
        raise ValueError("the build has no output jack, so nothing can be heard")
    output = output or template.outputs[0]
    tip, sleeve = template.lug(output.lug), template.lug(output.sleeve)
    # A battery is a short to alternating current.
    shorts = [(one.plus, one.minus) for one in template.elements.batteries]
    to = merged(template.size, shorts, classes) if shorts else classes
    load = load or template.build.load
    loaded = template.kept.get((plug, load))
    if loaded is None:
        loaded = template.kept[plug, load] = _loaded(template, plug, load)
    edges = [(to[a], to[b]) for a, b in loaded.elements.edges]
    kept = _between(loaded.elements, edges, to, powered, (to[tip], to[sleeve]))
    number = {to[sleeve]: 0}
    number.setdefault(to[tip], len(number))
    for i in kept:
        for point in edges[i]:
            number.setdefault(point, len(number))
    names = tuple(template.nets[point][0] for point in number)
    at = [number.get(point, 0) for point in to]
    return Netlist(len(number), number[to[tip]], _chosen(loaded, kept, at, powered), names, True)


def _loaded(template: NetlistTemplate, plug: str | Plugs, load: Load) -> Loaded:
    """The elements with cable and amplifier at every contact a plug takes off; a stereo plug loads the ring as well."""
    found = [e for e in template.elements if e.battery() is None]
    plugs = template.plugs(plug)
    for jack in dict.fromkeys(one.jack for one in template.outputs):
        sleeve = template.lug(f"{jack}.sleeve")
        for contact in LOADED.get(plugs.get(jack, "mono"), ()):
            net = template.index.get(f"{jack}.{contact}")
            if net is None:
                continue
            at = contact if template.jack is not None and jack == template.jack.name else f"{jack}.{contact}"
            if load.amplifier > 0:
                found.append(Resistor(f"amplifier at {at}", net, sleeve, load.amplifier, "amplifier"))
            cable = load.cable_length / 1000 * load.cable_capacitance
            if cable > 0:
                found.append(Capacitor(f"cable at {at}", net, sleeve, cable, "cable"))
    return Loaded(Elements.of(found), {})


def _between(
    elements: Elements, edges: list[tuple[int, int]], to: Sequence[int], powered: Collection[str],
    ends: tuple[int, int],
) -> list[int]:
    """Indices of the edges that lie between tip and sleeve, or before a buffer that does."""
    kept = set(block_between(edges, *ends))
    repeaters = {i: heard for i, e in enumerate(elements) if (heard := e.hears()) is not None}
    if not repeaters:
        return sorted(kept)
    asked: set[int] = set()
    more = True
    while more:
        more = False
        for i, (into, ground) in repeaters.items():
            own = {n for n, owner in enumerate(elements.owners) if owner == i}
            if i in asked or not kept & own:
                continue
            asked.add(i)
            more = True
            kept |= own
            if elements.all[i].fed_at() is None or elements.all[i].name in powered:
                kept |= block_between(edges, to[into], to[ground])
    return sorted(kept)


def _chosen(loaded: Loaded, kept: list[int], at: Sequence[int], powered: Collection[str]) -> Elements:
    """The kept elements on their numbered points; ``at``: net -> point."""
    elements, made = loaded.elements, loaded.made
    found: list[Element] = []
    for i in dict.fromkeys(elements.owners[n] for n in kept):
        old = elements.all[i]
        key = (i, old.name in powered, *[at[node] for node in old.nodes()])
        new = made.get(key)
        if new is None:
            new = made[key] = old.in_signal(at, powered)
        found.append(new)
    return Elements(tuple(found))
