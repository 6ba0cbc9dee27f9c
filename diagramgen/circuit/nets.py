"""The connection graph: every zero-ohm edge with its kind and origin, and nets as classes over it.

Edges are kept so that a path can be named ("by the lead W07, then the nut on the plate"). A part's metal
is a node of its own beside its lugs; so is each braid. Elements (coils, tracks, capacitors) are no edges.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from diagramgen.circuit.blocks import merged
from diagramgen.circuit.contacts import closed
from diagramgen.kernel.diagnostics import Location
from diagramgen.model.build import Build, End, Part

EDGE_KINDS = ("wire", "shielded", "bare", "leg", "bend", "sleeved", "bridge", "braid", "metal", "nut", "link",
              "contact")


@dataclass(frozen=True)
class Edge:
    """Two nodes joined without resistance.

    ``origin`` says what joins them: a lead's tag, a component's name, a metal or a control. ``sure`` is
    False where only a nut or screw on foil or paint may join them (true, false or not known: metered only).
    """

    a: str
    b: str
    kind: str
    origin: str
    sure: bool
    place: Location

    def other(self, node: str) -> str:
        """The end that is not ``node``."""
        return self.b if node == self.a else self.a


@dataclass(frozen=True)
class Graph:
    """Nodes (``part.lug``, metal, braids) and edges of a build in one state."""

    nodes: tuple[str, ...]
    edges: tuple[Edge, ...]

    def nets(self, perhaps: bool = False) -> tuple[tuple[str, ...], ...]:
        """Classes of joined nodes in the order of the build; ``perhaps`` also counts unsure metal."""
        return self._loose_nets if perhaps else self._sure_nets

    def net_of(self, part: str, lug: str, perhaps: bool = False) -> tuple[str, ...]:
        """The net a lug is on. Raises ``KeyError`` for a lug that is not in the build."""
        return self.net_at(f"{part}.{lug}", perhaps)

    def net_at(self, node: str, perhaps: bool = False) -> tuple[str, ...]:
        """The net any node is on. Raises ``KeyError`` for an unknown node."""
        return self.nets(perhaps)[self._index(perhaps)[node]]

    def joined(self, a: str, b: str, perhaps: bool = False) -> bool:
        """Whether two nodes are on one net. Raises ``KeyError`` for an unknown node."""
        index = self._index(perhaps)
        return index[a] == index[b]

    def path(self, a: str, b: str, perhaps: bool = False) -> tuple[Edge, ...] | None:
        """The shortest run of edges from ``a`` to ``b``: the evidence; None where they are apart."""
        came: dict[str, Edge | None] = {a: None}
        queue = deque([a])
        while queue and b not in came:
            here = queue.popleft()
            for edge in self._touching.get(here, ()):
                there = edge.other(here)
                if there not in came and (perhaps or edge.sure):
                    came[there] = edge
                    queue.append(there)
        if b not in came:
            return None
        steps: list[Edge] = []
        at = b
        while (edge_in := came[at]) is not None:
            steps.append(edge_in)
            at = edge_in.other(at)
        return tuple(reversed(steps))

    def at(self, node: str) -> tuple[Edge, ...]:
        """Every edge that touches a node."""
        return self._touching.get(node, ())

    def _index(self, perhaps: bool) -> Mapping[str, int]:
        return self._loose_index if perhaps else self._sure_index

    @cached_property
    def _touching(self) -> dict[str, tuple[Edge, ...]]:
        found: dict[str, list[Edge]] = {}
        for edge in self.edges:
            found.setdefault(edge.a, []).append(edge)
            found.setdefault(edge.b, []).append(edge)
        return {node: tuple(edges) for node, edges in found.items()}

    @cached_property
    def _sure_nets(self) -> tuple[tuple[str, ...], ...]:
        return classes(self.nodes, ((e.a, e.b) for e in self.edges if e.sure))

    @cached_property
    def _loose_nets(self) -> tuple[tuple[str, ...], ...]:
        return classes(self.nodes, ((e.a, e.b) for e in self.edges))

    @cached_property
    def _sure_index(self) -> dict[str, int]:
        return {node: i for i, net in enumerate(self._sure_nets) for node in net}

    @cached_property
    def _loose_index(self) -> dict[str, int]:
        return {node: i for i, net in enumerate(self._loose_nets) for node in net}


def classes(nodes: Iterable[str], pairs: Iterable[tuple[str, str]]) -> tuple[tuple[str, ...], ...]:
    """Classes of joined nodes (union-find), each in the order of ``nodes``, first come first."""
    kept = tuple(dict.fromkeys(nodes))
    number = {node: i for i, node in enumerate(kept)}
    found: dict[int, list[str]] = {}
    for node, first in zip(kept, merged(len(kept), [(number[a], number[b]) for a, b in pairs]), strict=True):
        found.setdefault(first, []).append(node)
    return tuple(tuple(net) for net in found.values())


def metal_node(part: str, metal: str) -> str:
    """The node of a piece of metal."""
    return f"metal of {part}: {metal}"


def plate_node(cavity: str) -> str:
    """The node of the metal plate over a cavity."""
    return f"plate of {cavity}"


def braid_node(owner: str) -> str:
    """The node of a braid: ``owner`` is a lead's tag or a cable's name."""
    return f"braid of {owner}"


def connect(
    build: Build, state: Mapping[str, str] | None = None, made: Collection[str] | None = None
) -> Graph:
    """The connection graph of a build.

    ``state``: control -> position; a control it does not name closes nothing. ``made``: only these lead tags
    (and components hung by their legs: ``cap``, or one leg: ``cap leg 1``) are made so far. Raises
    ``ValueError`` for a control or position that does not exist.
    """
    edges = [
        *_lead_edges(build, made),
        *_leg_edges(build, made),
        *_metal_edges(build),
        *_nut_edges(build),
        *_link_edges(build),
        *(Edge(a, b, "contact", by, True, build.parts[part].place) for part, by, a, b in closed(build, state)),
    ]
    nodes = dict.fromkeys(_lug_nodes(build))
    for edge in edges:
        nodes.setdefault(edge.a)
        nodes.setdefault(edge.b)
    return Graph(tuple(nodes), tuple(edges))


def _lug_nodes(build: Build) -> Iterator[str]:
    for part in build.parts.values():
        yield from (f"{part.name}.{lug}" for lug in part.symbol.lug_names())


def _lead_edges(build: Build, made: Collection[str] | None) -> Iterator[Edge]:
    for lead in build.leads:
        if made is not None and lead.tag not in made:
            continue
        if lead.start.known and lead.end.known:
            yield Edge(str(lead.start), str(lead.end), lead.kind, lead.tag, True, lead.place)
        yield from _braid(lead.tag, lead.shield_to)
    for cable in build.cables.values():
        tags = [lead.tag for lead in build.leads if lead.cable == cable.name]
        if made is None or any(tag in made for tag in tags):
            yield from _braid(cable.name, cable.shield_to)


def _braid(owner: str, ends: Iterable[End]) -> Iterator[Edge]:
    for end in ends:
        if end.known:
            yield Edge(braid_node(owner), str(end), "braid", owner, True, end.place)


def _leg_edges(build: Build, made: Collection[str] | None) -> Iterator[Edge]:
    written = {frozenset((str(lead.start), str(lead.end))) for lead in build.leads}
    for part in build.parts.values():
        for n, (lug, end) in enumerate(zip(part.symbol.lug_names(), part.between or (), strict=False), start=1):
            if made is not None and not {part.name, f"{part.name} leg {n}"}.intersection(made):
                continue
            # A leg that the file draws as a lead of its own is made when that lead is.
            if end.known and frozenset((f"{part.name}.{lug}", str(end))) not in written:
                yield Edge(f"{part.name}.{lug}", str(end), "leg", part.name, True, part.place)


def _metal_edges(build: Build) -> Iterator[Edge]:
    for part in build.parts.values():
        for metal in part.symbol.metal:
            node = metal_node(part.name, metal.name)
            for lug in metal.lugs:
                yield Edge(f"{part.name}.{lug}", node, "metal", f"{part.name}, {metal.name}", True, part.place)


def _nut_edges(build: Build) -> Iterator[Edge]:
    """Metal joined by nuts and screws: surely to a metal plate, perhaps to foil or paint."""
    for part in build.parts.values():
        for metal in part.symbol.metal:
            if not metal.by_nut:
                continue
            node = metal_node(part.name, metal.name)
            for base, sure in _bases(build, part):
                yield Edge(node, base, "nut", f"nut of {part.name}", sure, part.place)


def _bases(build: Build, part: Part) -> Iterator[tuple[str, bool]]:
    """What a part's nut sits on: the metal of the part it is mounted on, else a metal plate of its cavity."""
    base = build.parts.get(part.mounted_on)
    if base is not None:
        sure = not is_shield(base)
        yield from ((metal_node(base.name, m.name), sure) for m in base.symbol.metal)
        return
    cavity = build.cavities.get(part.mounted_on or part.cavity)
    if cavity and cavity.plate and cavity.plate.metal and part.symbol.mounting.side == "wood":
        yield plate_node(cavity.name), True


def is_shield(part: Part) -> bool:
    """Whether a part is foil or paint, to which a nut may or may not make contact."""
    return any(word in part.symbol.name for word in ("foil", "paint", "shield"))


def _link_edges(build: Build) -> Iterator[Edge]:
    """What is one track inside a part."""
    for part in build.parts.values():
        for element in part.symbol.elements:
            if element.kind == "link":
                a, b = (f"{part.name}.{element.ends[e]}" for e in ("one", "other"))
                yield Edge(a, b, "link", f"{part.name}, {element.name}", True, part.place)
