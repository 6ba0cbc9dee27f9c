"""Which way each coil's string voltage points where nothing is wrong.

Where kick, or winding and magnet, are known, they say it. A pickup of which nobody metered anything is taken to be in
phase with those it first sounds together with: that is what a maker's set and a sound instrument are. A fault that
turns it is then heard as what it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from diagramgen.circuit.dc_supply import supply
from diagramgen.circuit.netlist import Netlist, netlist_of, template_of
from diagramgen.circuit.nodal import sweep
from diagramgen.circuit.sounds import Coils
from diagramgen.circuit.state_table import coils_of
from diagramgen.circuit.states import each_classes, state_space
from diagramgen.model.build import Build

AT = np.array([400.0])
"""Hz at which coils are compared."""
ENOUGH = 0.05
"""Share of the loudest coil's voltage from which a coil counts in a state."""
MOST = 400
"""States looked at."""


def signs_of(build: Build) -> tuple[Mapping[str, int], frozenset[str]]:
    """Coil -> +1 or -1 as its string voltage points from start to finish, and the pickups this is taken of, not known.

    A coil outside every network, and a transducer, count +1.
    """
    coils = coils_of(build)
    signs = {name: sign.string or 1 for name, sign in coils.signs.items()}
    groups = _groups(coils)
    settled = {group for group, names in groups.items() if coils.string_known(coils.pickups[names[0]])}
    taken: set[str] = set()
    of = {name: group for group, names in groups.items() for name in names}
    for net in _networks(build) if len(settled) < len(groups) else ():
        response = sweep(net, AT).transfers[0]
        found: dict[str, complex] = {}
        for name, voltage in zip(net.sources, response, strict=True):
            if name in of:
                found[of[name]] = found.get(of[name], 0j) + signs[name] * complex(voltage)
        loudest = max((abs(v) for v in found.values()), default=0.0)
        found = {group: v for group, v in found.items() if abs(v) > ENOUGH * loudest}
        if len(found) < 2:
            continue
        first = next((g for g in found if g in settled), next(iter(found)))
        for group, voltage in found.items():
            if group not in settled and group != first:
                if (voltage * found[first].conjugate()).real < 0:
                    signs |= {name: -signs[name] for name in groups[group]}
                taken.add(coils.pickups[groups[group][0]])
        settled |= set(found)
    return signs, frozenset(taken)


def _groups(coils: Coils) -> dict[str, list[str]]:
    """Coils known against each other: those of one pickup, or of one winding where not even that is known."""
    found: dict[str, list[str]] = {}
    for name, pickup in coils.pickups.items():
        if name in coils.hums:
            found.setdefault(pickup if coils.signs[name].string is not None else coils.whole(name), []).append(name)
    return found


def _networks(build: Build) -> Iterator[Netlist]:
    """The networks of the states with a mono plug in, each once."""
    here, states = template_of(build), state_space(build)
    seen: set[object] = set()
    for index, classes in zip(range(min(states.count, MOST)), each_classes(here, states.switches), strict=False):
        plug = states.plug(index)
        if plug == "out":
            continue
        net = netlist_of(here, classes, plug, supply(here, classes).powered)
        if net.key not in seen and net.tip != 0:
            seen.add(net.key)
            yield net
