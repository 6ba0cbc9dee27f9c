"""From a build to a linear network: its elements between nets, and the network of one state at the output.

A ``Frame`` holds what no switch changes: nets of leads and sure metal, and every element between them, for one
setting of the knobs. ``network`` takes the classes of nets that a state's contacts join and gives what lies
between tip and sleeve with the cable and the amplifier. Switches are merged nets, never small resistors.
Elements are named tuples: a chart makes some of them anew for every network, and compares networks by them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from diagramgen.circuit.blocks import between
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.nets import connect
from diagramgen.circuit.outputs import LOADED, Output, Plugs, outputs
from diagramgen.circuit.values import elements_of, law_of, lug_of, number_of, source_name, turn_of
from diagramgen.model.build import Build, Load, Part

CELL_RESISTANCE = 1.0
"""Ohm inside a cell (typical, from memory)."""
NOMINAL = 9.0
"""Volt at which a buffer draws its stated current."""


class Two(NamedTuple):
    """A resistor or capacitor between two points, in SI units."""

    name: str
    a: int
    b: int
    value: float
    what: str = ""
    """track | resistor | loss | lamp | capacitor | winding | cable | amplifier | input."""


class Winding(NamedTuple):
    """An EMF from start to finish behind resistance (ohm) and inductance (H)."""

    name: str
    start: int
    finish: int
    resistance: float
    inductance: float


class Strip(NamedTuple):
    """A contact transducer: a voltage from ground to hot behind its capacitance (F)."""

    name: str
    ground: int
    hot: int
    capacitance: float


class Stage(NamedTuple):
    """A buffer: the voltage at its input against its ground, times ``gain``, behind ``output`` ohm at its output."""

    name: str
    into: int
    out: int
    ground: int
    plus: int
    input: float
    output: float
    current: float
    gain: float = 1.0


class Cell(NamedTuple):
    """A battery."""

    name: str
    plus: int
    minus: int
    voltage: float


@dataclass(frozen=True)
class Elements:
    """Everything between the points of a circuit."""

    resistors: tuple[Two, ...] = ()
    capacitors: tuple[Two, ...] = ()
    windings: tuple[Winding, ...] = ()
    strips: tuple[Strip, ...] = ()
    stages: tuple[Stage, ...] = ()
    cells: tuple[Cell, ...] = ()

    def mapped(self, to: Sequence[int]) -> Elements:
        """The same elements on other points; two-terminal parts with both ends on one point fall away."""
        return Elements(
            tuple(Two(e.name, to[e.a], to[e.b], e.value, e.what) for e in self.resistors if to[e.a] != to[e.b]),
            tuple(Two(e.name, to[e.a], to[e.b], e.value, e.what) for e in self.capacitors if to[e.a] != to[e.b]),
            tuple(Winding(e.name, to[e.start], to[e.finish], e.resistance, e.inductance)
                  for e in self.windings if to[e.start] != to[e.finish]),
            tuple(Strip(e.name, to[e.ground], to[e.hot], e.capacitance)
                  for e in self.strips if to[e.ground] != to[e.hot]),
            tuple(Stage(e.name, to[e.into], to[e.out], to[e.ground], to[e.plus], e.input, e.output, e.current, e.gain)
                  for e in self.stages),
            tuple(Cell(e.name, to[e.plus], to[e.minus], e.voltage) for e in self.cells if to[e.plus] != to[e.minus]),
        )

    def edges(self) -> list[tuple[int, int]]:
        """Both points of every two-terminal part, then input-ground and output-ground of every stage, in order."""
        found = [(e.a, e.b) for e in (*self.resistors, *self.capacitors)]
        found += [(e.start, e.finish) for e in self.windings]
        found += [(e.ground, e.hot) for e in self.strips]
        for e in self.stages:
            found += [(e.into, e.ground), (e.out, e.ground)]
        return found


@dataclass(frozen=True)
class Network:
    """What lies between the output and ground: point 0 is ground (the sleeve)."""

    size: int
    """Number of points, ground included."""
    tip: int
    """0 where tip and sleeve are one net."""
    elements: Elements
    names: tuple[str, ...] = ()
    """A lug on each point, for words."""
    tied: bool = False
    """Known to hang together, with values that were checked: made by ``network``."""

    @property
    def sources(self) -> tuple[str, ...]:
        """Coils, then transducers, in the order the solver gives their transfers."""
        return tuple(e.name for e in self.elements.windings) + tuple(e.name for e in self.elements.strips)

    @cached_property
    def key(self) -> tuple[object, ...]:
        """Equal for networks that behave alike."""
        return (self.size, self.tip, self.elements)


class Loaded(NamedTuple):
    """Elements with cable and amplifier on the nets of a frame, and their ``edges``."""

    elements: Elements
    edges: list[tuple[int, int]]
    made: dict[tuple[int, int, int], Two]
    """Place among the edges, point, point -> the piece on them: networks share what they have in common."""


@dataclass(frozen=True)
class Frame:
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
        """The outputs that the plugs take off; ``plug`` as in ``network``."""
        return tuple(one for one in self.outputs if one.heard_by(self.plugs(plug)))

    def plugs(self, plug: str | Plugs) -> Mapping[str, str]:
        """Jack -> where its plug is; one word stands for every jack with an output."""
        return dict.fromkeys((one.jack for one in self.outputs), plug) if isinstance(plug, str) else dict(plug)


def frame(build: Build, knobs: Mapping[str, float] | None = None, made: Collection[str] | None = None) -> Frame:
    """The frame of a build with knobs as given (``part.control`` -> 0..10, the rest at rest).

    ``made``: only these leads (tags) and hung components are there. Raises ``ValueError`` for a turn outside
    0 to 10.
    """
    graph = connect(build, None, made)
    nets = graph.nets()
    index = {node: i for i, net in enumerate(nets) for node in net}
    joined: list[tuple[int, int]] = []
    elements = _elements(build, knobs or {}, index, joined)
    found = jacks(build)
    outs = outputs(build, graph if made is None else None)
    return Frame(build, nets, index, elements, tuple(joined), found[0] if found else None, outs)


def _elements(
    build: Build, knobs: Mapping[str, float], index: Mapping[str, int], joined: list[tuple[int, int]]
) -> Elements:
    resistors: list[Two] = []
    capacitors: list[Two] = []
    windings: list[Winding] = []
    strips: list[Strip] = []
    stages: list[Stage] = []
    cells: list[Cell] = []
    for part, element in elements_of(build):
        at = {end: index[lug_of(part, element, end)] for end in element.ends}
        name = f"{part.name}.{element.name}" if len(part.symbol.elements) > 1 else part.name

        def si(parameter: str, part: Part = part, element=element) -> float:  # type: ignore[no-untyped-def]
            return number_of(part, element, parameter).number

        if element.kind == "track":
            fraction = law_of(part, element).fraction(turn_of(part, element, knobs))
            resistors += _track(name, at, si("resistance"), fraction, joined)
        elif element.kind == "resistor":
            resistors.append(Two(name, at["one"], at["other"], si("resistance"), "resistor"))
        elif element.kind == "capacitor":
            capacitors.append(Two(name, at["one"], at["other"], si("capacitance"), "capacitor"))
        elif element.kind == "lamp":
            resistors.append(Two(name, at["plus"], at["minus"], si("resistance"), "lamp"))
        elif element.kind == "coil":
            called = source_name(part, element)
            windings.append(Winding(called, at["start"], at["finish"], si("resistance"), si("inductance")))
            resistors.append(Two(called, at["start"], at["finish"], si("loss"), "loss"))
            if si("capacitance") > 0:
                capacitors.append(Two(called, at["start"], at["finish"], si("capacitance"), "winding"))
        elif element.kind == "transducer":
            strips.append(Strip(source_name(part, element), at["ground"], at["hot"], si("capacitance")))
        elif element.kind == "buffer":
            stages.append(Stage(name, at["in"], at["out"], at["ground"], at["plus"], si("input"), si("output"),
                                si("current")))
        elif element.kind == "cell":
            cells.append(Cell(name, at["plus"], at["minus"], si("voltage")))
    return Elements(tuple(resistors), tuple(capacitors), tuple(windings), tuple(strips), tuple(stages), tuple(cells))


def _track(
    name: str, at: Mapping[str, int], ohm: float, fraction: float | None, joined: list[tuple[int, int]]
) -> Iterator[Two]:
    """The two parts of a track; a part without resistance joins its ends."""
    if fraction is None:
        yield from _part(name, at["zero"], at["ten"], ohm, joined)
        return
    yield from _part(name, at["zero"], at["wiper"], ohm * fraction, joined)
    yield from _part(name, at["wiper"], at["ten"], ohm * (1 - fraction), joined)


def _part(name: str, a: int, b: int, ohm: float, joined: list[tuple[int, int]]) -> Iterator[Two]:
    if ohm > 0:
        yield Two(name, a, b, ohm, "track")
    else:
        joined.append((a, b))


def merged(size: int, pairs: Collection[tuple[int, int]], start: Sequence[int] | None = None) -> list[int]:
    """Class of each of ``size`` points after joining pairs: the smallest point of the class."""
    parent = list(range(size)) if start is None else list(start)

    def find(n: int) -> int:
        while parent[n] != n:
            parent[n] = parent[parent[n]]
            n = parent[n]
        return n

    for a, b in pairs:
        a, b = find(a), find(b)
        if a < b:
            parent[b] = a
        elif b < a:
            parent[a] = b
    return [find(n) for n in range(size)]


def network(
    frame: Frame,
    classes: Sequence[int],
    plug: str | Plugs = "mono",
    powered: Collection[str] = (),
    load: Load | None = None,
    output: Output | None = None,
) -> Network:
    """The network between an output (the main one where none is named) and the sleeve of its jack.

    ``classes``: the class of each net of the frame in the state (``merged``). ``plug``: where the plug of every jack
    is, or of each jack by name. ``powered``: buffers that have their supply; the others pass nothing. ``load``: what
    hangs on every plug that is in; the build's own where not given. Raises ``ValueError`` for a build without an
    output jack.
    """
    if not frame.outputs:
        raise ValueError("the build has no output jack, so nothing can be heard")
    output = output or frame.outputs[0]
    tip, sleeve = frame.lug(output.lug), frame.lug(output.sleeve)
    # A cell is a short to alternating current.
    cells = [(e.plus, e.minus) for e in frame.elements.cells]
    to = merged(frame.size, cells, classes) if cells else classes
    load = load or frame.build.load
    loaded = frame.kept.get((plug, load))
    if loaded is None:
        loaded = frame.kept[plug, load] = _loaded(frame, plug, load)
    edges = [(to[a], to[b]) for a, b in loaded.edges]
    kept = _between(loaded.elements, edges, to, powered, (to[tip], to[sleeve]))
    number = {to[sleeve]: 0}
    number.setdefault(to[tip], len(number))
    for i in kept:
        for point in edges[i]:
            number.setdefault(point, len(number))
    names = tuple(frame.nets[point][0] for point in number)
    return Network(len(number), number[to[tip]], _chosen(loaded, kept, to, number, powered), names,
                   True)


def _loaded(frame: Frame, plug: str | Plugs, load: Load) -> Loaded:
    """The elements with cable and amplifier at every contact a plug takes off; a stereo plug loads the ring as well."""
    e = frame.elements
    resistors, capacitors = list(e.resistors), list(e.capacitors)
    plugs = frame.plugs(plug)
    for jack in dict.fromkeys(one.jack for one in frame.outputs):
        sleeve = frame.lug(f"{jack}.sleeve")
        for contact in LOADED.get(plugs.get(jack, "mono"), ()):
            net = frame.index.get(f"{jack}.{contact}")
            if net is None:
                continue
            at = contact if frame.jack is not None and jack == frame.jack.name else f"{jack}.{contact}"
            if load.amplifier > 0:
                resistors.append(Two(f"amplifier at {at}", net, sleeve, load.amplifier, "amplifier"))
            cable = load.cable_length / 1000 * load.cable_capacitance
            if cable > 0:
                capacitors.append(Two(f"cable at {at}", net, sleeve, cable, "cable"))
    elements = Elements(tuple(resistors), tuple(capacitors), e.windings, e.strips, e.stages)
    return Loaded(elements, elements.edges(), {})


def _between(
    e: Elements, edges: list[tuple[int, int]], to: Sequence[int], powered: Collection[str], ends: tuple[int, int]
) -> list[int]:
    """Indices of the edges that lie between tip and sleeve, or before a buffer that does."""
    first = len(edges) - 2 * len(e.stages)
    kept = set(between(edges, *ends))
    asked: set[int] = set()
    more = bool(e.stages)
    while more:
        more = False
        for i, stage in enumerate(e.stages):
            own = {first + 2 * i, first + 2 * i + 1}
            if i in asked or not kept & own:
                continue
            asked.add(i)
            more = True
            kept |= own
            if stage.name in powered:
                kept |= between(edges, to[stage.into], to[stage.ground])
    return sorted(kept)


def _chosen(
    loaded: Loaded, kept: list[int], to: Sequence[int], number: Mapping[int, int], powered: Collection[str]
) -> Elements:
    """The kept elements on their numbered points."""
    e, made = loaded.elements, loaded.made
    r = len(e.resistors)
    c = r + len(e.capacitors)
    w = c + len(e.windings)
    s = w + len(e.strips)
    pairs: tuple[list[Two], list[Two]] = ([], [])
    windings: list[Winding] = []
    strips: list[Strip] = []
    stages: dict[str, Stage] = {}
    for i in kept:
        if i < c:
            old = e.resistors[i] if i < r else e.capacitors[i - r]
            a, b = number[to[old.a]], number[to[old.b]]
            two = made.get((i, a, b))
            if two is None:
                two = made[i, a, b] = Two(old.name, a, b, old.value, old.what)
            pairs[i >= r].append(two)
        elif i < w:
            coil = e.windings[i - c]
            windings.append(Winding(coil.name, number[to[coil.start]], number[to[coil.finish]], coil.resistance,
                                    coil.inductance))
        elif i < s:
            strip = e.strips[i - w]
            strips.append(Strip(strip.name, number[to[strip.ground]], number[to[strip.hot]], strip.capacitance))
        else:
            x = e.stages[(i - s) // 2]
            # A supply lead is no point of the sound's network; it stands for ground.
            stages[x.name] = Stage(x.name, number[to[x.into]], number[to[x.out]], number[to[x.ground]], 0, x.input,
                                   x.output, x.current, x.gain if x.name in powered else 0.0)
    return Elements(tuple(pairs[0]), tuple(pairs[1]), tuple(windings), tuple(strips), tuple(stages.values()))
