"""The circuit of one state as a netlist for ngspice, written from the build alone.

It shares nothing with the program's own netlists and solver, so that the two can be held against each other:
nets are joined here from leads and metal, and contacts are resistors (0.2 milliohm closed, 10 teraohm open). The lines
of an element are written by its kind from values and nodes, beside its stamp but not from it.
Every node is named after a lug on it; what the plug does not reach is left out and named.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from diagramgen.circuit.contacts import closed, keys_of, position_of
from diagramgen.circuit.elements.registry import KINDS
from diagramgen.circuit.values import law_of, number_of, source_name, tapped, turn_of
from diagramgen.kernel.errors import NotAvailable
from diagramgen.library.model import Element
from diagramgen.model.build import PARKED, UNKNOWN, Build, End, Part
from diagramgen.model.output_names import is_jack

CLOSED, OPEN = 2e-4, 1e13
"""Ohm of a closed and of an open contact: less lets rounding grow in ngspice, more is seen in the answers."""
LEAK = 1e13
"""Ohm that ties to ground what only capacitors reach, so that the operating point exists."""
BUFFER_VOLTS = 9.0
"""Volt at which a buffer draws its stated current."""


@dataclass
class _Deck:
    """Lines of the netlist with the nodes they stand on; True where direct current passes."""

    build: Build
    state: Mapping[str, str]
    knobs: Mapping[str, float]
    contact: str
    """What the node of the output is called: tip | ring."""
    parents: dict[str, str] = field(default_factory=dict)
    lines: list[tuple[str, tuple[str, ...], bool]] = field(default_factory=list)
    contacts: list[tuple[str, str, str]] = field(default_factory=list)
    names: dict[str, str] = field(default_factory=dict)

    def root(self, point: str) -> str:
        while self.parents.setdefault(point, point) != point:
            point = self.parents[point]
        return point

    def join(self, a: str, b: str) -> None:
        self.parents[self.root(b)] = self.root(a)

    def node(self, point: str) -> str:
        """The node of a lug, named after the first lug met on its net."""
        root = self.root(point)
        if root not in self.names:
            name = plain(point)
            while name in self.names.values():
                name += "_"
            self.names[root] = name
        return self.names[root]

    def put(self, line: str, *nodes: str, passes: bool = True) -> None:
        self.lines.append((line, nodes, passes))


def plain(name: str) -> str:
    """A name as ngspice takes it."""
    return re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_") or "n"


def netlist(
    build: Build, state: Mapping[str, str], knobs: Mapping[str, float] | None = None, control: str | None = None,
    output: str = "",
) -> str:
    """The netlist of a state with cable and amplifier on every plug that is in; knobs as given, the rest at rest.

    Every coil is a source ``v_NAME`` of 0 V; ``control`` replaces the commands that let each speak in turn and
    print the level at the output. ``output``: ``part.lug`` of a jack's contact, the tip of the first jack where it is
    not given; its sleeve is node 0, and its own node is called after the contact. Raises ``ValueError`` for a build
    without an output jack and for controls or positions that do not exist.
    """
    jack, _, contact = (output or f"{_jacks(build)[0].name}.tip").partition(".")
    deck = _Deck(build, state, knobs or {}, contact)
    _joints(deck)
    deck.names[deck.root(f"{jack}.sleeve")] = "0"
    if deck.root(f"{jack}.{contact}") != deck.root(f"{jack}.sleeve"):
        deck.names[deck.root(f"{jack}.{contact}")] = contact
    _contacts(deck)
    sources = [s for part in build.parts.values() for element in part.symbol.elements
               for s in _element(deck, part, element)]
    for part in _jacks(build):
        _load(deck, part, "" if part.name == jack else f"{plain(part.name)}_")
    told = f"* output: {output}\n" if output else ""
    return told + _text(deck, sources, control)


def _jacks(build: Build) -> list[Part]:
    found = [part for part in build.parts.values() if is_jack(part)]
    if not found:
        raise NotAvailable("the build has no output jack, so there is no output to solve for")
    return found


def _joints(deck: _Deck) -> None:
    """Leads, legs, braids, metal, links and wipers at an end of their track joined."""
    for lead in deck.build.leads:
        if lead.start.known and lead.end.known:
            deck.join(str(lead.start), str(lead.end))
        _braid(deck, f"braid {lead.tag}", lead.shield_to)
    for cable in deck.build.cables.values():
        _braid(deck, f"braid {cable.name}", cable.shield_to)
    for part in deck.build.parts.values():
        for lug, leg in zip(part.symbol.lug_names(), part.between or (), strict=False):
            if leg.known:
                deck.join(str(leg), f"{part.name}.{lug}")
        for metal in part.symbol.metal:
            own = f"metal {part.name} {metal.name}"
            for lug in metal.lugs:
                deck.join(f"{part.name}.{lug}", own)
            if metal.by_nut:
                _nut(deck, part, own)
        for element in part.symbol.elements:
            if element.kind == "link":
                deck.join(f"{part.name}.{element.ends['one']}", f"{part.name}.{element.ends['other']}")
            elif element.kind == "track":
                fraction = law_of(part, element).fraction(turn_of(part, element, deck.knobs))
                if fraction in (0.0, 1.0):
                    end = element.ends["ten" if fraction else "zero"]
                    deck.join(f"{part.name}.{end}", f"{part.name}.{element.ends['wiper']}")


def _braid(deck: _Deck, name: str, ends: tuple[End, ...]) -> None:
    for end in ends:
        if end.part not in (UNKNOWN, PARKED):
            deck.join(str(end), name)


def _nut(deck: _Deck, part: Part, own: str) -> None:
    """A nut joins metal to a metal plate; on foil or paint it may not, and is taken as open."""
    base = deck.build.parts.get(part.mounted_on)
    if base is not None:
        if not re.search("foil|paint|shield", base.symbol.name):
            for metal in base.symbol.metal:
                deck.join(f"metal {base.name} {metal.name}", own)
        return
    cavity = deck.build.cavities.get(part.mounted_on or part.cavity)
    if cavity and cavity.plate and cavity.plate.metal and part.symbol.mounting.side == "wood":
        deck.join(f"plate {cavity.name}", own)


def _contacts(deck: _Deck) -> None:
    """Each pair of lugs that some position joins: a closed or an open resistor."""
    now = {frozenset((a, b)) for _, _, a, b in closed(deck.build, deck.state)}
    seen: set[frozenset[str]] = set()
    for part in deck.build.parts.values():
        for table in part.symbol.contacts:
            position_of(part, table, deck.state)
            for row in table.rows:
                for group in row.joins if row.between is None else ():
                    for a, b in itertools.pairwise(group):
                        pair = (f"{part.name}.{a}", f"{part.name}.{b}")
                        if frozenset(pair) not in seen and deck.root(pair[0]) != deck.root(pair[1]):
                            seen.add(frozenset(pair))
                            _contact(deck, part.name, pair, frozenset(pair) in now)


def _contact(deck: _Deck, part: str, pair: tuple[str, str], made: bool) -> None:
    a, b = deck.node(pair[0]), deck.node(pair[1])
    name = f"r_{plain(part)}_contact_{len(deck.contacts) + 1}"
    deck.contacts.append((name, a, b))
    line = f"{name} {a} {b} {CLOSED if made else OPEN:g}"
    deck.lines.append((line, (a, b) if made else (a, b, "open"), made))


@dataclass(frozen=True)
class _ElementWriter:
    """What the kind of an element is given to write its lines: names, nodes and values, nothing of the solver."""

    deck: _Deck
    part: Part
    element: Element
    nodes: Mapping[str, str]
    sources: list[str] = field(default_factory=list)

    @property
    def name(self) -> str:
        own = len(self.part.symbol.elements) > 1
        return plain(f"{self.part.name}_{self.element.name}" if own else self.part.name)

    @property
    def source(self) -> str:
        return plain(source_name(self.part, self.element))

    @property
    def enough(self) -> float:
        cells = [number_of(p, e, "voltage").number for p in self.deck.build.parts.values() for e in p.symbol.elements
                 if e.kind == "cell"]
        return max(cells, default=BUFFER_VOLTS) / 2

    def value(self, parameter: str) -> float:
        return number_of(self.part, self.element, parameter).number

    def fraction(self) -> float | None:
        return law_of(self.part, self.element).fraction(turn_of(self.part, self.element, self.deck.knobs))

    def put(self, line: str, *nodes: str, passes: bool = True) -> None:
        self.deck.put(line, *nodes, passes=passes)

    def resistor(self, name: str, a: str, b: str, ohm: float) -> None:
        if a != b:
            self.put(f"{name} {a} {b} {max(ohm, CLOSED):.12g}", a, b)

    def speaks(self, name: str) -> None:
        self.sources.append(name)


def _element(deck: _Deck, part: Part, element: Element) -> Sequence[str]:
    """Write the lines of one element, as its kind says; the names of its sources of signal."""
    nodes = {end: deck.node(f"{part.name}.{lug}") for end, lug in element.ends.items()}
    if element.kind not in KINDS:
        return ()  # a link: its nodes are one
    writer = _ElementWriter(deck, part, element, nodes)
    KINDS[element.kind].spice(writer)
    return writer.sources


def _load(deck: _Deck, jack: Part, before: str) -> None:
    """Cable and amplifier on what the plug of a jack takes off; ``before`` tells the loads of jacks apart."""
    load, sleeve = deck.build.load, deck.root(f"{jack.name}.sleeve")
    own = {p for k in keys_of(jack) if (p := deck.state.get(k)) in ("mono", "stereo", "out")}
    plug = own.pop() if own else "mono"
    for lug in {"mono": ("tip",), "stereo": ("tip", "ring")}.get(plug, ()):
        if lug not in jack.symbol.lug_names() or deck.root(f"{jack.name}.{lug}") == sleeve:
            continue
        node, ground = deck.node(f"{jack.name}.{lug}"), deck.node(f"{jack.name}.sleeve")
        deck.put(f"r_amplifier_{before}{lug} {node} {ground} {load.amplifier:.12g}", node, ground)
        cable = load.cable_length / 1000 * load.cable_capacitance
        if cable > 0:
            deck.put(f"c_cable_{before}{lug} {node} {ground} {cable:.12g}", node, ground, passes=False)


def _spread(lines: list[tuple[str, tuple[str, ...], bool]], start: set[str], direct: bool) -> set[str]:
    """Nodes reached from ``start``; ``direct``: only where direct current passes."""
    found = set(start)
    more = True
    while more:
        more = False
        for _, nodes, passes in lines:
            if "open" in nodes or (direct and not passes):
                continue
            if not found.isdisjoint(nodes) and not found.issuperset(nodes):
                found.update(nodes)
                more = True
    return found


def _text(deck: _Deck, sources: list[str], control: str | None) -> str:
    out = deck.contact
    met = out in deck.names.values()
    inside = _spread(deck.lines, {"0", out} if met else {"0"}, direct=False)
    kept = [line for line in deck.lines if inside.issuperset(n for n in line[1] if n != "open")]
    left = [line for line in deck.lines if line not in kept and "open" not in line[1]]
    words = [f"* {deck.build.title or 'wiring'}: " + ", ".join(f"{k} {v}" for k, v in deck.state.items())]
    words += [f"* knob {k} at {v:g}" for k, v in sorted(deck.knobs.items())]
    if tapped(deck.build):
        words += ["* sections of a tapped winding are taken as not coupled"]
    words += [f"* contacts: {CLOSED:g} ohm closed, {OPEN:g} ohm open; coils are sources of 0 V, ac 1 to let one speak"]
    words += _node_words(deck, inside)
    if not met:
        words += [f"* {out} and sleeve are one net: nothing is heard", f"r_{out} {out} 0 {CLOSED:g}"]
    words += [line for line, _, _ in kept]
    words += _leaks(kept, inside)
    words += [f"* not reached from the plug: {line}" for line, _, _ in left]
    words += [f"i_meter 0 {out} dc 0"]
    here = {line.split()[0] for line, _, _ in kept}
    if control is None:
        loads = [n for line, _, _ in kept if (n := line.split()[0]).startswith("r_amplifier_")]
        control = _control([s for s in sources if s in here], sorted(n for n in here if n.endswith("_loss")), loads,
                           out)
    return "\n".join([*words, control, ".end"]) + "\n"


def _leaks(kept: list[tuple[str, tuple[str, ...], bool]], inside: set[str]) -> list[str]:
    """One tie to ground for each set of nodes that only capacitors and open contacts reach."""
    tied = _spread(kept, {"0"}, direct=True)
    lines: list[str] = []
    for node in sorted(inside - tied):
        if node not in tied:
            lines.append(f"r_leak_{len(lines) + 1} {node} 0 {LEAK:g}")
            tied |= _spread(kept, {node}, direct=True)
    return lines


def _node_words(deck: _Deck, inside: set[str]) -> list[str]:
    lugs: dict[str, list[str]] = {}
    for part in deck.build.parts.values():
        for lug in part.symbol.lug_names():
            name = deck.names.get(deck.root(f"{part.name}.{lug}"))
            if name in inside:
                lugs.setdefault(name or "", []).append(f"{part.name}.{lug}")
    return [f"* node {name}: {', '.join(found)}" for name, found in lugs.items()]


def _control(sources: list[str], losses: list[str], loads: list[str], out: str) -> str:
    """Commands: the level of each coil at the output, then the meter's reading there.

    A meter sees neither cable and amplifier nor core losses, which are no conductors.
    """
    lines = [".control"]
    for source in sources:
        lines += [f"alter @{source}[acmag] = 1", "ac dec 20 20 20k", f"echo level in dB at the {out}, {source} alone",
                  f"print vdb({out})", f"alter @{source}[acmag] = 0"]
    lines += [f"alter @{name}[resistance] = 1e15" for name in losses]
    lines += [f"alter @{name}[resistance] = 1e15" for name in loads or [f"r_amplifier_{out}"]]
    lines += ["alter @i_meter[dc] = 1", "op", f"echo ohms between {out} and sleeve", f"print v({out})", ".endc"]
    return "\n".join(lines)
