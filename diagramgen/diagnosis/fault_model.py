"""What faults work on: the points, zero-ohm joints, contacts, states and elements of a build, numbered."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from diagramgen.circuit.netlist import Elements, template_of
from diagramgen.circuit.nets import Edge, classes, connect
from diagramgen.circuit.outputs import Output, outputs
from diagramgen.circuit.state_table import state_table
from diagramgen.circuit.states import LIMIT, StateSpace, Switch, state_space
from diagramgen.circuit.values import SOUNDING, elements_of, knobs_of, lug_of, source_name
from diagramgen.diagnosis.polarity import signs_of
from diagramgen.job.output_words import plug_of
from diagramgen.kernel.errors import NotAvailable
from diagramgen.model.build import Build

MOST_STATES = 600
"""States simulated at most; of more, the first of each network that the sounds chart tells apart."""

REST = "rest"
ALL_ZERO = "all at 0"


class Setting(NamedTuple):
    """Where the knobs stand."""

    name: str
    """``rest`` (10; blends and trimmers 5), ``all at 0``, or the knob that alone stands at 0."""
    knobs: Mapping[str, float]
    heard: bool = True
    """Whether the sound is worked out as well as the reading."""


@dataclass(frozen=True, eq=False)
class FaultModel:
    """A build laid out for the simulation of faults: what they cut, join and change, by number."""

    build: Build
    points: tuple[str, ...]
    at: Mapping[str, int]
    edges: tuple[Edge, ...]
    """Every sure zero-ohm joint but contacts."""
    contacts: tuple[tuple[str, str], ...]
    """Pairs of lugs that some position joins."""
    closed: NDArray[np.bool_]
    """States x contacts."""
    states: tuple[Mapping[str, str], ...]
    space: StateSpace
    settings: tuple[Setting, ...]
    elements: tuple[Elements, ...]
    """For each setting, elements on points."""
    wipers: tuple[tuple[tuple[int, int], ...], ...]
    """For each setting, points that a wiper at the end of its track joins."""
    tip: int
    sleeve: int
    names: Mapping[str, str]
    """``part.element`` -> its name among ``elements`` (coils as they are called)."""
    strings: Mapping[str, int]
    """Coil -> which way its string voltage points from start to finish where nothing is wrong, +1 or -1."""
    taken: frozenset[str]
    """Pickups that are taken to be in phase with the rest, since nobody metered them."""
    output: Output
    """Where it is metered and heard; ``tip`` is the point of its contact."""

    @property
    def reads(self) -> str:
        """``the plug, tip to sleeve``, or with several outputs ``a stereo plug in output, ring to sleeve``."""
        return f"{plug_of(self.build, self.output)}, {self.output.contact} to sleeve"


def fault_model(build: Build, output: Output | None = None) -> FaultModel:
    """Number the points, joints, contacts, states and elements of a build for the simulation of faults.

    Raises ``NotAvailable`` for a build without an output jack and ``TooMany`` above the limit of states.
    """
    output = output or next(iter(outputs(build)), None)
    if output is None:
        raise NotAvailable("the build has no output jack, so nothing can be metered there")
    graph = connect(build)
    edges = tuple(e for e in graph.edges if e.sure)
    at = {node: i for i, node in enumerate(graph.nodes)}
    states = state_space(build, all_plugs=True)
    numbers = _numbers(build, states, output)
    joins = [[_stars(switch, i) for i in range(len(switch.positions))] for switch in states.switches]
    pairs = tuple(dict.fromkeys(pair for switch in joins for star in switch for pair in star))
    column = {pair: i for i, pair in enumerate(pairs)}
    closed = np.zeros((len(numbers), len(pairs)), dtype=bool)
    for row, index in enumerate(numbers):
        for star, where in zip(joins, states.numbers(index), strict=True):
            closed[row, [column[pair] for pair in star[where]]] = True
    settings = _settings(build)
    laid = [_elements(build, at, s.knobs) for s in settings]
    return FaultModel(build, graph.nodes, at, edges, pairs, closed, tuple(states.state(i) for i in numbers), states,
                  settings, tuple(e for e, _ in laid), tuple(w for _, w in laid), at[output.lug],
                  at[output.sleeve], _names(build), *signs_of(build), output)


def _stars(switch: Switch, position: int) -> tuple[tuple[str, str], ...]:
    """The contacts a position closes, each from its common: the lug that most positions join to something.

    Where a position joins three lugs, two contacts close on the common; a chain would say that the second hangs on
    the first.
    """
    uses: dict[str, int] = {}
    for closes in switch.closes:
        for lug in {lug for pair in closes for lug in pair}:
            uses[lug] = uses.get(lug, 0) + 1
    lugs = dict.fromkeys(lug for pair in switch.closes[position] for lug in pair)
    found = []
    for group in classes(lugs, switch.closes[position]):
        common = max(group, key=lambda lug: uses[lug])
        found += [(common, lug) for lug in group if lug != common]
    return tuple(found)


def _numbers(build: Build, states: StateSpace, output: Output) -> list[int]:
    """The states to simulate: those with the plug of the output, each network once where there are very many."""
    states.limit(LIMIT)
    own = [i for i in range(states.count) if output.own(dict(states.plugs(i)))]
    if len(own) <= MOST_STATES:
        return own
    found = state_table(build)
    firsts = (found.space.state(r.first) for r in found.results if output.own(dict(found.space.plugs(r.first))))
    return [_number(states, state, output) for state in itertools.islice(firsts, MOST_STATES)]


def _number(states: StateSpace, state: Mapping[str, str], output: Output) -> int:
    """The state that stands as another says, with the plug of the output in; that other knows of fewer plugs."""
    stands = [next((i for i, p in enumerate(d.positions) if p[0] == state.get(d.keys[0])), 0) for d in states.switches]
    return states.index(states.for_output(stands, output))


def _settings(build: Build) -> tuple[Setting, ...]:
    knobs = knobs_of(build)
    found = [Setting(REST, {})]
    found += [Setting(knob, {knob: 0.0}) for knob in knobs]
    if len(knobs) > 1:
        found.append(Setting(ALL_ZERO, dict.fromkeys(knobs, 0.0), False))
    return tuple(found)


def _elements(
    build: Build, at: Mapping[str, int], knobs: Mapping[str, float]
) -> tuple[Elements, tuple[tuple[int, int], ...]]:
    """Elements on points, with what a wiper at an end of its track joins.

    A template without leads has a net for each lug or piece of metal; metal is joined again by the edges.
    """
    own = template_of(replace(build, leads=(), cables={}), knobs, made=())
    to = [at[net[0]] for net in own.nets]
    mapped = own.elements.mapped(to)
    return mapped, tuple((to[a], to[b]) for a, b in own.joined)


def _names(build: Build) -> dict[str, str]:
    found = {}
    for part, element in elements_of(build):
        plain = f"{part.name}.{element.name}" if len(part.symbol.elements) > 1 else part.name
        found[f"{part.name}.{element.name}"] = (source_name(part, element) if element.kind in SOUNDING
                                                else plain)
    return found


def ends_of(build: Build, element: str) -> dict[str, str]:
    """Tell the lugs of an element.

    Parameters: element - ``part.element``.
    Returns: end, as in the symbol file -> ``part.lug``.
    Raises: ``KeyError`` where there is no such element.
    """
    for part, own in elements_of(build):
        if f"{part.name}.{own.name}" == element:
            return {end: lug_of(part, own, end) for end in own.ends}
    raise KeyError(element)
