"""Batteries that a plug does not switch as it should: drained, shorted, never on, off with a stereo plug."""

from __future__ import annotations

from collections.abc import Mapping

from diagramgen.circuit.check_wanted import words
from diagramgen.circuit.rules.rule import Rule
from diagramgen.circuit.state_table import StateTable, drawn, state_table
from diagramgen.circuit.states import Switch, state_space
from diagramgen.circuit.values import elements_of
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.units import number
from diagramgen.model.build import Build

CIR_220 = Code(
    "CIR-220", Severity.ERROR, "Current flows from the battery with the plug out (with every plug out, where there "
    "are several jacks)",
    advice="Switch it with the plug: battery minus to the ring of a stereo jack, or a switched jack.", was="C220")
CIR_221 = Code(
    "CIR-221", Severity.NOTE, "A stereo plug leaves the battery off: the usual price of battery minus on the ring",
    advice="Use mono plugs, or a jack with switch contacts of its own.", was="C221")
CIR_222 = Code(
    "CIR-222", Severity.ERROR, "The battery is never on with a mono plug in (a mono plug in every jack)",
    advice="Follow plus to the board and minus to what the plug joins.", was="C222")
CIR_224 = Code(
    "CIR-224", Severity.ERROR, "The battery is shorted in the state named: more than 0.1 A flows, limited only by the "
    "battery itself",
    advice="Battery out at once. Follow plus and minus with the meter: they must not meet.", was="C224")

SHORTED = 0.1
"""Ampere from the battery that no instrument draws: only the battery's own resistance is in the way."""


def check(found: StateTable, say: Diagnostics) -> None:
    """Say what is wrong with the battery, with all plugs out and with each plug in."""
    cells = [part for part, _ in elements_of(found.build, "cell")]
    if not cells:
        return
    place = cells[0].place
    currents = Currents(found.build)
    if max(currents.most.values()) > 0.99 * SHORTED:  # else there is no state to be named
        whole = state_table(found.build, select=currents.select)
        worst = max(whole.results, key=lambda r: r.current)
        if worst.current > SHORTED:
            say.add(CIR_224, place, f"the battery is shorted: {words(whole.space.state(worst.first), whole.space)}")
            return
    several = len(currents.jacks) > 1
    out = currents.of({})
    if out > 0:
        say.add(CIR_220, place, f"the battery is drained with {'every' if several else 'the'} plug out: "
                f"{number(out * 1000, 2)} mA")
    if currents.of(dict.fromkeys(currents.jacks, "mono")) == 0:
        say.add(CIR_222, place, f"the battery is never on with {'mono plugs' if several else 'a mono plug'} in")
        return
    for jack in currents.jacks:
        # A note: nobody promised that a stereo plug works, yet it must be told.
        if currents.of({jack: "mono"}) > 0 and currents.of({jack: "stereo"}) == 0:
            where = f" in {jack}" if several else ""
            say.add(CIR_221, place, f"a stereo plug{where} leaves the battery off: the board is dead with it")


class Currents:
    """The largest current from the battery for every place of the plugs."""

    def __init__(self, build: Build) -> None:
        plugs = [d for d in state_space(build, all_plugs=True).switches if d.kind == "plug"]
        # Only what a plug joins switches direct current: one that joins nothing may as well be in.
        self.select = {d.plug_key: [p[d.keys.index(d.plug_key)] for p in d.positions] if _switches(d) else ["mono"]
                       for d in plugs}
        self.jacks = tuple(d.jack for d in plugs)
        self.most = drawn(build, self.select)
        self._switching = frozenset(d.jack for d in plugs if _switches(d))

    def of(self, plugs: Mapping[str, str]) -> float:
        """A with the plugs like this; a jack that is not named has no plug in."""
        asked = {jack: plugs.get(jack, "out") for jack in self._switching}
        return max((current for where, current in self.most.items() if asked.items() <= dict(where).items()),
                   default=0.0)


def _switches(switch: Switch) -> bool:
    return len(set(switch.closes)) > 1


RULE = Rule(40, check)
