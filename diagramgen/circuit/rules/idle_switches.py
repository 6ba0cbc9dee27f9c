"""Switches and buttons that change nothing, and positions of one switch that give the same, whatever else is set.

Compared are the transfers of every source to every output in all states of the other switches: with the knobs at
rest first, and what is alike there with all knobs at 5 and with each alone at 0, since a bleed, or the capacitor of a
tone, is heard only there. What turns the whole signal round, and nothing against it, is not heard.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from diagramgen.circuit.knob_sweep import net_of
from diagramgen.circuit.netlist import Netlist, NetlistTemplate, template_of
from diagramgen.circuit.nodal import Response, sweep_many
from diagramgen.circuit.rules.connections import touched
from diagramgen.circuit.rules.rule import Rule
from diagramgen.circuit.state_table import StateTable
from diagramgen.circuit.states import StateSpace, Switch
from diagramgen.circuit.values import knobs_of
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.model.build import Build, Part

CIR_256 = Code(
    "CIR-256", Severity.WARNING, "A switch, button or pull changes nothing",
    text="Nothing that is heard (0.2 dB) or drawn from the battery changes, at any output, in any state of the "
         "others, with the knobs at rest, all at 5, or any one at 0. One without any lead is not judged, nor are "
         "builds of more than 2000 states.", was="C256")
CIR_257 = Code(
    "CIR-257", Severity.WARNING, "Two or more positions of a switch give the same",
    text="Judged as CIR-256: a lead is missing, or it is meant. Positions of which promises under `wanted` speak, "
         "each of them, may be alike; all that are silent are CIR-210.",
    advice="Is a lead missing on one of them? Where they are meant alike, promise each under 'wanted'.", was="C257")

MANY = 2000
"""States above which switches are not judged."""
MOST = 400
"""Pairs of networks solved for two positions, at most; where there are more, the rest is taken to be alike."""
POINTS = 80.0 * 100.0 ** (np.arange(9) / 8)
"""Hz at which transfers are compared."""
ALIKE = 0.02
"""Difference against the larger transfer up to which two are alike (0.2 dB)."""
HEARD = 1e-4
"""Transfer under which nothing is heard."""


def check(found: StateTable, say: Diagnostics) -> None:
    """Warn of switches that change nothing (CIR-256), and of positions that give the same (CIR-257)."""
    if found.count > MANY or all(r.silent for r in found.results):
        return
    alike = _labels(found)
    used = touched(found.build)
    for axis, switch in enumerate(found.space.switches):
        part = found.build.parts[switch.keys[0].partition(".")[0]]
        if switch.kind == "plug" or part.meant or not _wired(switch, used):
            continue
        rows = np.moveaxis(alike, axis, 0).reshape(len(switch.positions), -1)
        groups = _groups(found, axis, rows)
        if len(groups) == 1:
            _say_idle(part, switch, say)
            continue
        for group in groups:
            if len(group) > 1 and not _all_silent(found, axis, group) and not _promised(found.build, switch, group):
                _say_alike(part, switch, group, say)


def _labels(found: StateTable) -> NDArray[np.int64]:
    """A number for what each state gives, equal where it sounds and draws the same; one axis a switch."""
    known: dict[object, int] = {}
    of_result = np.array([known.setdefault((r.like, r.plug, round(r.current, 9), r.powered), len(known))
                          for r in found.results])
    return of_result[found.of_state].reshape([len(d.positions) for d in found.space.switches])


def _wired(switch: Switch, used: frozenset[str]) -> bool:
    return any(lug in used for pairs in switch.closes for pair in pairs for lug in pair)


def _groups(found: StateTable, axis: int, rows: NDArray[np.int64]) -> list[list[int]]:
    """Positions of a switch, those together that give the same."""
    groups: list[list[int]] = []
    for at in range(len(rows)):
        for group in groups:
            if (rows[group[0]] == rows[at]).all() and not _differ(found, axis, group[0], at):
                group.append(at)
                break
        else:
            groups.append([at])
    return groups


def _differ(found: StateTable, axis: int, one: int, other: int) -> bool:
    """Whether two positions of a switch differ with any setting of the knobs that is looked at."""
    build, states = found.build, found.space
    knobs = knobs_of(build)
    settings: list[Mapping[str, float]] = [{}, dict.fromkeys(knobs, 5.0), *({knob: 0.0} for knob in knobs)]
    stride = int(np.prod([len(d.positions) for d in states.switches[axis + 1 :]], dtype=int))
    pairs = [(i, i + (other - one) * stride) for i in range(states.count)
             if states.numbers(i)[axis] == one and states.plug(i) != "out"]
    return any(_audible(list(_networks(template_of(build, setting), states, pairs))) for setting in settings)


def _networks(
    here: NetlistTemplate, states: StateSpace, pairs: Sequence[tuple[int, int]]
) -> Iterator[tuple[Netlist, Netlist]]:
    """For each pair of states the networks at every output, where they are not one."""
    seen: set[tuple[object, object]] = set()
    for pair in pairs:
        for output in here.heard(states.plugs(pair[0])):
            one, other = (net_of(here, states, state, output) for state in pair)
            key = (one.key, other.key)
            if one.key != other.key and key not in seen and len(seen) < MOST:
                seen.add(key)
                yield one, other


def _audible(pairs: Sequence[tuple[Netlist, Netlist]]) -> bool:
    answers = iter(sweep_many([net for pair in pairs for net in pair], POINTS))
    return any(_unlike(one, other) for one, other in zip(answers, answers, strict=True))


def _unlike(one: Response, other: Response) -> bool:
    sources = tuple(dict.fromkeys((*one.sources, *other.sources)))
    a, b = (_transfers(r, sources) for r in (one, other))
    size = max(float(np.abs(a).max(initial=0.0)), float(np.abs(b).max(initial=0.0)))
    apart = min(float(np.abs(a - b).max(initial=0.0)), float(np.abs(a + b).max(initial=0.0)))
    return size > HEARD and apart > ALIKE * size


def _transfers(response: Response, sources: Sequence[str]) -> NDArray[np.complex128]:
    found = np.zeros((len(POINTS), len(sources)), dtype=complex)
    for i, name in enumerate(response.sources):
        found[:, sources.index(name)] = response.transfers[:, i]
    return found


def _all_silent(found: StateTable, axis: int, group: Sequence[int]) -> bool:
    """Whether nothing is heard in any state with the switch at one of these positions: said elsewhere."""
    return all(found.result(i).silent for i in range(found.count) if found.space.numbers(i)[axis] in group)


def _promised(build: Build, switch: Switch, group: Sequence[int]) -> bool:
    """Whether promises speak of each of these positions: then their being alike is meant."""
    return all(any(wanted.when.get(key) == word for wanted in build.wanted for key, word in switch.names(at).items())
               for at in group)


def _say_idle(part: Part, switch: Switch, say: Diagnostics) -> None:
    what = {"momentary": f"pressing {part.name}"}.get(switch.kind, f"switching {switch.keys[0]}")
    say.add(CIR_256, part.place, f"{what} changes nothing, whatever else is set",
            f"A lead to its contacts is missing, or ends on the wrong lug. {_meant(part)}")


def _say_alike(part: Part, switch: Switch, group: Sequence[int], say: Diagnostics) -> None:
    spoken = [switch.words[at] for at in group]
    which = f"{', '.join(spoken[:-1])} and {spoken[-1]}"
    say.add(CIR_257, part.place, f"{switch.keys[0]}: {which} give the same, whatever else is set")


def _meant(part: Part) -> str:
    return f"If it is meant, say so at {part.name}: meant, and in what way."


RULE = Rule(110, check, idle=(CIR_256, CIR_257))
