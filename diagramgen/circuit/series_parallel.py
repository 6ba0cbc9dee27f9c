"""How coils are connected, in words: ``a + b`` (series), ``(a + b) || c`` (parallel), found from the netlist itself.

Parts below 100 ohm are taken as wire, shunts from the output to ground and loads far above the coils they lie
across are left out, what hangs on by one end is pruned, and the rest is reduced by series and parallel steps.
Tracks of pots, and what is in series or parallel with them only, are no part of a connection: a knob that is
turned does not change the words. What is neither series nor parallel is said to be so.
"""

from __future__ import annotations

import cmath
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from diagramgen.circuit.blocks import merged
from diagramgen.circuit.elements.element import Branch, Element
from diagramgen.circuit.netlist import Netlist

WIRE = 100.0
"""Ohm below which a resistor counts as wire."""
LOAD = 5.0
"""A part this many times the impedance of the coils it lies across is a load, not part of the connection."""
OMEGA = 2 * cmath.pi * 1000.0
"""Impedances are compared at 1 kHz."""
SILENT = "silent"


@dataclass(frozen=True)
class Leaf:
    """A coil or another part."""

    name: str
    sounds: bool
    impedance: complex = 0j
    track: bool = False


@dataclass(frozen=True)
class Joined:
    """Trees in series or parallel."""

    how: str
    """series | parallel."""
    terms: tuple[Tree, ...]


Tree = Leaf | Joined


@dataclass(frozen=True)
class Connection:
    """How the coils are connected; ``tree`` is None for silence and for what is neither series nor parallel."""

    tree: Tree | None
    coils: tuple[str, ...]

    def text(self, signs: Mapping[str, int | None], windings: Mapping[str, str] | None = None) -> str:
        """In words; a coil whose string sign is opposite to that of the first one carries a minus.

        ``windings``: section of a tapped winding -> the whole; all of them in series are called by it.
        """
        if not self.coils:
            return SILENT
        known = [c for c in self.coils if signs.get(c)]
        first = next((signs[c] for c in known), None)
        minus = {c for c in known if signs[c] != first}
        if self.tree is None:
            return ", ".join(("-" if c in minus else "") + c for c in self.coils) + ": neither series nor parallel"
        whole = _whole(self.tree, windings or {}, minus)
        return _render(whole, minus | {w for section, w in (windings or {}).items() if section in minus}, outer=True)


def leaves(tree: Tree) -> Iterator[Leaf]:
    """Every leaf, left to right."""
    if isinstance(tree, Leaf):
        yield tree
    else:
        for term in tree.terms:
            yield from leaves(term)


def connection(net: Netlist, order: Mapping[str, int], heard: Collection[str]) -> Connection:
    """Reduce a netlist to series and parallel joints of the coils that are heard.

    Parameters: order - coil -> its place in the text; heard - names of the sources that count.
    Returns: a connection without a tree where nothing is heard or the circuit is neither series nor parallel.
    """
    if net.tip == 0 or not heard:
        return Connection(None, ())
    graph = _Graph(net, order, heard)
    tree = _without_tracks(graph.tree(net.tip, 0, frozenset()))
    if tree is not None:
        named = tuple(leaf.name for leaf in leaves(tree) if leaf.sounds)
        if set(named) == set(heard):
            return Connection(tree, named)
    return Connection(None, tuple(sorted(heard, key=lambda n: order.get(n, 0))))


Edge = tuple[int, int, Tree]


class _Graph:
    """The network as edges between points, wire contracted."""

    def __init__(self, net: Netlist, order: Mapping[str, int], heard: Collection[str]):
        pieces = [(e, branch) for e in net.elements for branch in e.branches()]
        self.at = merged(net.size, [(branch.a, branch.b) for e, branch in pieces if _is_wire(e, branch)])
        self.order = order
        self.fixed: list[Edge] = []
        self.repeaters: list[tuple[Element, Branch]] = []
        for e, branch in pieces:
            if e.active or e.hears() is not None:
                self.repeaters += [(e, branch)] if branch.worded else []
            elif branch.worded and not _is_wire(e, branch):
                leaf = Leaf(e.name, e.sounds and e.name in heard, branch.impedance(OMEGA), branch.what == "track")
                self.fixed.append((self.at[branch.a], self.at[branch.b], leaf))

    def tree(self, s: int, t: int, inside: frozenset[str]) -> Tree | None:
        """The reduced tree between two points; None where it is neither series nor parallel, or nothing is there."""
        s, t = self.at[s], self.at[t]
        edges = list(self.fixed)
        for element, output in self.repeaters:
            if element.name not in inside:
                edges.append((self.at[output.a], self.at[output.b], self._repeated(element, output, inside)))
        return _reduce(edges, s, t, self.order)

    def _repeated(self, element: Element, output: Branch, inside: frozenset[str]) -> Tree:
        """The output of what repeats a voltage stands for what its input hears."""
        at = element.hears()
        heard = self.tree(*at, inside | {element.name}) if at is not None else None
        return heard or Leaf(element.name, False, output.impedance(OMEGA))


def _is_wire(element: Element, branch: Branch) -> bool:
    """Whether a piece is so small a resistance that it is taken as wire: no winding, and no output of a board."""
    return 0 < branch.ohm < WIRE and not (branch.copper or element.active)


def _sounds(tree: Tree) -> bool:
    return any(leaf.sounds for leaf in leaves(tree))


def _without_tracks(tree: Tree | None) -> Tree | None:
    """The tree without what holds no coil but a track."""
    if tree is None or (not _sounds(tree) and any(leaf.track for leaf in leaves(tree))):
        return None
    if isinstance(tree, Leaf):
        return tree
    kept: list[Tree] = []
    for term in (t for whole in tree.terms if (t := _without_tracks(whole)) is not None):
        kept += term.terms if isinstance(term, Joined) and term.how == tree.how else (term,)
    return kept[0] if len(kept) == 1 else Joined(tree.how, tuple(kept)) if kept else None


def _impedance(tree: Tree) -> complex:
    if isinstance(tree, Leaf):
        return tree.impedance
    if tree.how == "series":
        return sum((_impedance(t) for t in tree.terms), 0j)
    return 1 / sum(1 / _impedance(t) for t in tree.terms)


def _reduce(edges: list[Edge], s: int, t: int, order: Mapping[str, int]) -> Tree | None:
    before = -1
    while len(edges) != before:
        before = len(edges)
        edges = _parallel([e for e in edges if e[0] != e[1]], {s, t}, order)
        edges = _series(edges, (s, t), order)
    return edges[0][2] if len(edges) == 1 and {edges[0][0], edges[0][1]} == {s, t} else None


def _parallel(edges: list[Edge], ends: set[int], order: Mapping[str, int]) -> list[Edge]:
    """Edges between the same two points made one; shunts and loads left out."""
    groups: dict[tuple[int, int], list[Tree]] = {}
    for a, b, tree in edges:
        groups.setdefault((min(a, b), max(a, b)), []).append(tree)
    found: list[Edge] = []
    for (a, b), trees in groups.items():
        kept = trees
        coils = [tree for tree in trees if _sounds(tree)]
        if {a, b} == ends:
            kept = coils
        elif coils:
            limit = LOAD * abs(_impedance(_joined("parallel", coils, order)))
            kept = [tree for tree in trees if _sounds(tree) or abs(_impedance(tree)) < limit]
        if kept:
            found.append((a, b, _joined("parallel", kept, order)))
    return found


def _series(edges: list[Edge], ends: tuple[int, int], order: Mapping[str, int]) -> list[Edge]:
    """One step: a point with one edge loses it, a point with two makes them one."""
    touching: dict[int, list[int]] = {}
    for i, (a, b, _) in enumerate(edges):
        touching.setdefault(a, []).append(i)
        touching.setdefault(b, []).append(i)
    for point, members in touching.items():
        if point in ends or len(members) > 2:
            continue
        rest = [e for i, e in enumerate(edges) if i not in members]
        if len(members) == 2:
            one, other = edges[members[0]], edges[members[1]]
            a, b = (e[1] if e[0] == point else e[0] for e in (one, other))
            rest.append((a, b, _joined("series", [one[2], other[2]], order)))
        return rest
    return edges


def _joined(how: str, trees: list[Tree], order: Mapping[str, int]) -> Tree:
    """Trees joined, nested joins of the same kind flattened, in the order of the build; other parts come last."""
    if len(trees) == 1:
        return trees[0]
    flat: list[Tree] = []
    for tree in trees:
        flat += tree.terms if isinstance(tree, Joined) and tree.how == how else (tree,)
    return Joined(how, tuple(sorted(flat, key=lambda tree: _rank(tree, order))))


def _rank(tree: Tree, order: Mapping[str, int]) -> tuple[int, int, str]:
    coils = [order.get(leaf.name, 0) for leaf in leaves(tree) if leaf.sounds]
    return (0, min(coils), "") if coils else (1, 0, next(leaves(tree)).name)


def _whole(tree: Tree, windings: Mapping[str, str], minus: Collection[str]) -> Tree:
    """The tree with the sections of one winding, where they lie in series, as one leaf."""
    if isinstance(tree, Leaf):
        return tree
    terms = [_whole(term, windings, minus) for term in tree.terms]
    if tree.how == "series":
        for winding in dict.fromkeys(windings.values()):
            own = [t for t in terms if isinstance(t, Leaf) and windings.get(t.name) == winding]
            if len(own) == sum(w == winding for w in windings.values()) and len({t.name in minus for t in own}) == 1:
                at = terms.index(own[0])
                terms = [t for t in terms if t not in own]
                terms.insert(at, Leaf(winding, True))
    return terms[0] if len(terms) == 1 else Joined(tree.how, tuple(terms))


def _render(tree: Tree, minus: set[str], outer: bool = False) -> str:
    if isinstance(tree, Leaf):
        return ("-" if tree.name in minus else "") + tree.name
    parts = [_render(term, minus) for term in tree.terms]
    if tree.how == "parallel":
        text = " || ".join(parts)
    else:
        text = parts[0] + "".join(f" - {p[1:]}" if p.startswith("-") else f" + {p}" for p in parts[1:])
    return text if outer else f"({text})"
