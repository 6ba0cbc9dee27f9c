"""The state table of a build: every state, its netlist, its sound, its reading; equal netlists solved once."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import PurePath

import numpy as np
from numpy.typing import NDArray

from diagramgen.circuit.dc_readings import MeterConditions, Reading, read
from diagramgen.circuit.dc_supply import Supply, supply
from diagramgen.circuit.hum import Wound
from diagramgen.circuit.netlist import Elements, Netlist, NetlistTemplate, netlist_of, template_of
from diagramgen.circuit.nodal import Response, sweep_many
from diagramgen.circuit.outputs import Output, Plugs
from diagramgen.circuit.polarity import Sign, coil_signs
from diagramgen.circuit.sounds import FREQUENCIES, SAME_DB, SILENCE, Coils, Sound, curves_db, heard, listen, same
from diagramgen.circuit.states import LIMIT, StateSpace, Switch, classes_of, each_classes, state_space
from diagramgen.circuit.tolerances import tolerances
from diagramgen.circuit.values import SOUNDING, UNHEARD, elements_of, faults, number_of, source_name
from diagramgen.circuit.windings import wound
from diagramgen.kernel.brief import brief, counted
from diagramgen.model.build import Build, Load
from diagramgen.model.output_names import CONTACTS

UNPLUGGED = Reading("not meaningful", why="the plug is out")
KEPT = 4000
"""Responses kept at most; beyond, what sounds the same is not looked for."""
REMEMBERED = 12
"""Circuits whose results are kept, so that a build drawn again after a change no current notices is not solved anew."""
FEW = 2000
"""States of a circuit up to which its results are kept."""


@dataclass(frozen=True)
class AtOutput:
    """What is heard and metered at an output whose plug is in."""

    output: Output
    sound: Sound
    reading: Reading
    like: int = -1
    """One number for all that sounds the same."""

    @property
    def floating(self) -> bool:
        """Whether it is silent because its contact hangs open, which a cable turns into buzz, and not muted."""
        return self.sound.silent and self.reading.kind == "open"


@dataclass(frozen=True)
class StateResult:
    """What one set of netlists gives: at the main output, and at every other."""

    sound: Sound
    """At the main output; silence with its plug out."""
    reading: Reading
    """At the main output."""
    current: float
    """A from the battery."""
    powered: frozenset[str]
    first: int
    """The first state with it."""
    like: int
    """The first result that sounds the same (its own number where none does)."""
    plug: str
    """As ``StateSpace.plug`` says."""
    heard: tuple[AtOutput, ...] = ()
    """Every output whose plug is in, in order."""

    @property
    def silent(self) -> bool:
        """Whether nothing is heard at any output."""
        return all(one.sound.silent for one in self.heard)

    @property
    def coils(self) -> frozenset[str]:
        """The coils that are heard at some output."""
        return frozenset(h.coil for one in self.heard for h in one.sound.sounding)

    def at(self, output: Output) -> AtOutput:
        """What an output gives; silence and no reading where its plug is out."""
        return next((one for one in self.heard if one.output == output), AtOutput(output, SILENCE, UNPLUGGED))


@dataclass(frozen=True, eq=False, repr=False)
class StateTable:
    """Every state of a build, or of a selection of them, with knobs as stated."""

    build: Build
    space: StateSpace
    knobs: Mapping[str, float]
    """Knobs that do not stand at rest."""
    of_state: NDArray[np.int32]
    """State -> number of its result."""
    results: tuple[StateResult, ...]
    networks: int
    """Distinct netlists that were solved."""
    assumed: tuple[str, ...]
    """Values nobody gave, as ``part.value``."""
    outputs: tuple[Output, ...] = ()
    """All there are, the main one first."""

    def __repr__(self) -> str:
        """One line: the file, how many states and networks."""
        return brief("StateTable", f"{PurePath(self.build.file).stem}: {counted(self.count, 'state')}",
                     counted(self.networks, "network"))

    @property
    def several(self) -> bool:
        """Whether there is more than one output, so that each is named."""
        return len(self.outputs) > 1

    def played(self, output: Output) -> Iterator[tuple[int, AtOutput]]:
        """Every state in which an output is met as it is played, and what it gives."""
        return ((i, self.result(i).at(output)) for i in range(self.count) if self.space.plays(i, output))

    @property
    def count(self) -> int:
        """Number of states."""
        return len(self.of_state)

    def result(self, index: int) -> StateResult:
        """The result of state ``index``."""
        return self.results[int(self.of_state[index])]

    def each(self) -> Iterator[tuple[dict[str, str], StateResult]]:
        """Every state with its result."""
        for index in range(self.count):
            yield self.space.state(index), self.result(index)


def state_table(
    build: Build,
    knobs: Mapping[str, float] | None = None,
    select: Mapping[str, str | Sequence[str]] | None = None,
    meter: MeterConditions | None = None,
    limit: int = LIMIT,
) -> StateTable:
    """Solve every state of a build: netlist, sound, reading, current; equal netlists once.

    Parameters: knobs - ``part.control`` -> 0 to 10, the rest at rest; select - control -> the position or positions to
    look at, all where not given; meter - temperature for the readings; limit - states allowed.
    Raises: ``TooMany`` above ``limit`` states; ``ValueError`` for a build without an output jack, for a control or
    position that does not exist, or for a value no circuit can have.
    """
    for _, sentence in faults(build):
        raise ValueError(sentence)
    states = state_space(build, all_plugs=bool(select) and _names_plug(build, select or {}))
    if select:
        states = states.select(select)
    states.limit(limit)
    solve = _solved if states.count <= FEW else _solved.__wrapped__
    here = template_of(build, knobs)
    solved = solve(circuit_of(here, states), meter)
    return StateTable(build, states, dict(knobs or {}), solved.of_state, solved.results, solved.networks,
                      assumed(build), here.outputs)


@dataclass(frozen=True)
class Circuit:
    """All that currents in a build depend on, with its knobs set: equal where nothing of that differs.

    Colours, tags and ways of leads, places of parts and lines of the file are not in it.
    """

    nets: tuple[tuple[str, ...], ...]
    elements: Elements
    joined: tuple[tuple[int, int], ...]
    outputs: tuple[Output, ...]
    load: Load
    switches: tuple[Switch, ...]
    tolerances: tuple[tuple[str, float], ...]
    signs: tuple[tuple[str, Sign], ...]
    pickups: tuple[tuple[str, str], ...]
    """Coil -> the part it is in, in the order of coils."""
    wound: tuple[tuple[str, Wound], ...]
    """Coil that picks up magnetic hum -> what is known of its winding."""
    template: NetlistTemplate = field(compare=False, repr=False)
    """The template itself; of its build only what stands above is asked for."""


def circuit_of(here: NetlistTemplate, states: StateSpace) -> Circuit:
    """Collect what the results of a template in these states depend on."""
    coils = coils_of(here.build)
    return Circuit(here.nets, here.elements, here.joined, here.outputs, here.build.load, states.switches,
                   tuple(tolerances(here.build).items()),
                   tuple(coils.signs.items()), tuple(coils.pickups.items()),
                   tuple(coils.wound.items()), here)


@dataclass(frozen=True, eq=False)
class Solved:
    """What a state table says of a circuit."""

    of_state: NDArray[np.int32]
    results: tuple[StateResult, ...]
    networks: int


@lru_cache(maxsize=REMEMBERED)
def _solved(circuit: Circuit, meter: MeterConditions | None) -> Solved:
    here = circuit.template
    of_state, seen = _partitions(here, StateSpace(circuit.switches))
    found, of_partition = _distinct(here, seen)
    results = _results(here, found, meter)
    numbers = np.array(of_partition, dtype=np.int32)[of_state]
    numbers.setflags(write=False)
    return Solved(numbers, results, len({net.key for one in found for net in one.nets}))


def sounding(build: Build, knobs: Mapping[str, float], wanted: Collection[str]) -> frozenset[str]:
    """Those of the ``wanted`` coils that are heard in some state, as the results of a state table would say."""
    return _sounding(circuit_of(template_of(build, knobs), state_space(build)), frozenset(wanted))


@lru_cache(maxsize=REMEMBERED)
def _sounding(circuit: Circuit, wanted: frozenset[str]) -> frozenset[str]:
    here = circuit.template
    nets: dict[object, Netlist] = {}
    for one in _partitions(here, StateSpace(circuit.switches))[1]:
        powered = supply(here, one.classes).powered
        for output in here.heard(one.plugs):
            net = netlist_of(here, one.classes, one.plugs, powered, output=output)
            if not wanted.isdisjoint(net.sources):
                nets.setdefault(net.key, net)
    distinct = list(nets.values())
    answers = (answer for first in range(0, len(distinct), 256)
               for answer in sweep_many(distinct[first : first + 256], FREQUENCIES))
    return wanted & {name for net, response in zip(distinct, answers, strict=True) for name in heard(net, response)}


def drawn(build: Build, select: Mapping[str, str | Sequence[str]]) -> dict[Plugs, float]:
    """Where the plug of each jack is -> the largest current from the battery in a selection of states, A."""
    states = state_space(build, all_plugs=True).select(select)
    states.limit()
    return dict(_drawn(circuit_of(template_of(build), states)))


@lru_cache(maxsize=REMEMBERED)
def _drawn(circuit: Circuit) -> tuple[tuple[Plugs, float], ...]:
    # Currents that differ by rounding only are one result of a chart: the first of them counts.
    firsts: dict[tuple[object, ...], tuple[Plugs, float]] = {}
    for one in _partitions(circuit.template, StateSpace(circuit.switches))[1]:
        given = supply(circuit.template, one.classes)
        firsts.setdefault((one.plugs, round(given.current, 12), given.powered), (one.plugs, given.current))
    most: dict[Plugs, float] = {}
    for plugs, current in firsts.values():
        most[plugs] = max(most.get(plugs, 0.0), current)
    return tuple(most.items())


def _names_plug(build: Build, select: Mapping[str, object]) -> bool:
    return any(k in d.keys for d in state_space(build, all_plugs=True).switches if d.kind == "plug" for k in select)


def assumed(build: Build) -> tuple[str, ...]:
    """Electrical values nobody gave."""
    found: dict[str, None] = {}
    for part, element in elements_of(build):
        for parameter in element.values:
            if parameter in ("law", "winding", "magnet", "kick", *UNHEARD):
                continue
            value = number_of(part, element, parameter)
            if not value.given:
                found.setdefault(value.key)
    return tuple(found)


@dataclass(frozen=True)
class ContactSetting:
    """One way the contacts join the nets that elements are on."""

    classes: tuple[int, ...]
    plug: str
    plugs: Plugs
    first: int


def _partitions(here: NetlistTemplate, states: StateSpace) -> tuple[NDArray[np.int32], list[ContactSetting]]:
    """State -> number of its partition of the nets with elements, and each partition once."""
    matter = _terminals(here)
    known: dict[tuple[object, ...], int] = {}
    seen: list[ContactSetting] = []
    of_state = np.zeros(states.count, dtype=np.int32)
    for index, classes in enumerate(each_classes(here, states.switches)):
        numbers = states.numbers(index)
        plugs = states.plugs_at(numbers)
        label: dict[int, int] = {}
        key = (plugs, *(label.setdefault(classes[net], len(label)) for net in matter))
        number = known.setdefault(key, len(seen))
        if number == len(seen):
            seen.append(ContactSetting(classes, states.plug_at(numbers), plugs, index))
        of_state[index] = number
    return of_state, seen


def _terminals(here: NetlistTemplate) -> tuple[int, ...]:
    """The nets that elements or a jack with an output stand on."""
    found: dict[int, None] = {}
    for element in here.elements:
        found |= dict.fromkeys(element.nodes())
    for jack in dict.fromkeys(one.jack for one in here.outputs):
        for lug in (*CONTACTS, "sleeve"):
            net = here.index.get(f"{jack}.{lug}")
            if net is not None:
                found.setdefault(net)
    return tuple(found)


@dataclass(frozen=True)
class ResultParts:
    """What one result is made of."""

    seen: ContactSetting
    supply: Supply
    heard: tuple[Output, ...]
    """The outputs whose plug is in; each has its network and its reading."""
    nets: tuple[Netlist, ...]
    readings: tuple[Reading, ...]

    @property
    def key(self) -> tuple[object, ...]:
        """Equal for results that are one."""
        nets = tuple(net.key for net in self.nets)
        return (nets, self.readings, round(self.supply.current, 12), self.supply.powered, self.seen.plugs)


def _distinct(here: NetlistTemplate, seen: Sequence[ContactSetting]) -> tuple[list[ResultParts], list[int]]:
    """Results by what they are made of: networks, readings, current; partition -> number of its result."""
    if not here.outputs:
        raise ValueError("the build has no output jack, so nothing can be heard")
    shares = tolerances(here.build)
    numbers: dict[object, int] = {}
    found: list[ResultParts] = []
    of_partition = []
    for one in seen:
        given, outs = supply(here, one.classes), here.heard(one.plugs)
        nets = tuple(netlist_of(here, one.classes, one.plugs, given.powered, output=out) for out in outs)
        readings = tuple(read(here, one.classes, out.lug, out.sleeve, None, shares) for out in outs)
        made = ResultParts(one, given, outs, nets, readings)
        number = numbers.setdefault(made.key, len(found))
        if number == len(found):
            found.append(made)
        of_partition.append(number)
    return found, of_partition


def _results(
    here: NetlistTemplate, found: Sequence[ResultParts], meter: MeterConditions | None
) -> tuple[StateResult, ...]:
    number: dict[object, int] = {}
    distinct: list[Netlist] = []
    for net in (net for one in found for net in one.nets):
        if net.key not in number:
            number[net.key] = len(distinct)
            distinct.append(net)
    sounds, like = _sounds(distinct, coils_of(here.build))
    firsts: dict[tuple[tuple[Output, int], ...], int] = {}
    results = []
    for i, one in enumerate(found):
        at = [number[net.key] for net in one.nets]
        group = tuple((out, like[n]) for out, n in zip(one.heard, at, strict=True))
        readings = one.readings if meter is None else [
            read(here, one.seen.classes, out.lug, out.sleeve, meter) for out in one.heard]
        heard = tuple(AtOutput(out, sounds[n], reading, like[n])
                      for out, n, reading in zip(one.heard, at, readings, strict=True))
        main = next((x for x in heard if x.output == here.outputs[0]), AtOutput(here.outputs[0], SILENCE, UNPLUGGED))
        results.append(StateResult(main.sound, main.reading, one.supply.current, one.supply.powered, one.seen.first,
                              firsts.setdefault(group, i) if heard else i, one.seen.plug, heard))
    return tuple(results)


def _sounds(distinct: Sequence[Netlist], coils: Coils) -> tuple[list[Sound], list[int]]:
    """The sound of each network, and for each the first that sounds the same."""
    sounds: list[Sound] = []
    curves: list[NDArray[np.float64]] = []
    for first in range(0, len(distinct), 256):
        chunk = distinct[first : first + 256]
        for net, response in zip(chunk, sweep_many(chunk, FREQUENCIES), strict=True):
            sounds.append(listen(net, response, coils))
            if len(curves) < KEPT:
                curves.append(curves_db(response, sounds[-1]))
    return sounds, _alike(sounds, curves)


def _alike(sounds: Sequence[Sound], curves: Sequence[NDArray[np.float64]]) -> list[int]:
    """For each sound the first that sounds the same; silence is like silence.

    The first of each kind stands for its kind, so that a chain of small steps is not called one sound. Every
    twelfth point is compared first, against all kinds at once; what is left is compared in full.
    """
    groups: dict[tuple[object, ...], tuple[list[int], NDArray[np.float64]]] = {}
    like = list(range(len(sounds)))
    for i, sound in enumerate(sounds[: len(curves)]):
        coarse = curves[i][::12].ravel()
        key = tuple((h.coil, h.weak) for h in sound.sounding)
        members, rows = groups.setdefault(key, ([], np.empty((16, len(coarse)))))
        near = np.flatnonzero((np.abs(rows[: len(members)] - coarse) < SAME_DB).all(axis=1))
        twin = next((m for j in near if same(sounds[m := members[j]], sound, curves[m], curves[i])), None)
        if twin is not None:
            like[i] = twin
            continue
        if len(members) == len(rows):
            rows = np.concatenate([rows, np.empty_like(rows)])
            groups[key] = (members, rows)
        rows[len(members)] = coarse
        members.append(i)
    return like


def coils_of(build: Build) -> Coils:
    """Signs, order and pickups of a build's coils."""
    order: dict[str, int] = {}
    pickups: dict[str, str] = {}
    hums = set()
    for part, element in elements_of(build, *SOUNDING):
        name = source_name(part, element)
        order[name] = len(order)
        pickups[name] = part.name
        if element.kind == "coil":
            hums.add(name)
    return Coils(coil_signs(build), order, pickups, frozenset(hums), wound(build))


def response_of(build: Build, state: Mapping[str, str], knobs: Mapping[str, float] | None = None,
                frequencies: NDArray[np.float64] | None = None, output: Output | None = None
                ) -> tuple[Netlist, Response]:
    """Solve one state over frequency.

    Parameters: state - control -> position, the first position where it is not named; knobs - as in ``state_table``;
    frequencies - Hz, those of the state table where not given; output - the main one where not given.
    Raises: ``ValueError`` as ``state_table`` does.
    """
    states = state_space(build, all_plugs=True)
    held = states.select(dict(state))
    here = template_of(build, knobs)
    classes = classes_of(here, held.switches, [0] * len(held.switches))
    net = netlist_of(here, classes, held.plugs(0), supply(here, classes).powered, output=output)
    return net, sweep_many([net], FREQUENCIES if frequencies is None else frequencies)[0]
