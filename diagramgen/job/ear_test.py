"""What to hear and to see at the finished plug: taps and kicks by position, and the battery's current."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagramgen.circuit.check_wanted import words
from diagramgen.circuit.coil_words import called, coil_names
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.one_output import heard_at
from diagramgen.circuit.outputs import Plugs
from diagramgen.circuit.sounds import Coils, Heard
from diagramgen.circuit.state_table import StateResult, StateTable, coils_of, state_table
from diagramgen.circuit.values import SOUNDING, elements_of, knobs_of, source_name
from diagramgen.kernel.units import number
from diagramgen.model.build import Build

MOST = 24
"""Positions listed at most; those that sound alike are one."""
TOUCH = (
    "Touch the strings: hum falls or stays as it is.",
    "Hum falls only when the jack or a knob is touched: the string ground is missing.",
    "Hum rises when the strings are touched: hot and ground are swapped, or the outlet's earth is at fault. Unplug; "
    "meter the joints; have the outlet tested.",
)
"""Common practice, no source."""


@dataclass(frozen=True)
class TapTest:
    """One sound: where the controls stand, who answers a tap, and which way the meter swings."""

    state: str
    alike: int
    """Positions that sound the same and are not listed."""
    loud: tuple[str, ...]
    weaker: tuple[str, ...]
    """Coils that answer much more weakly or not at all."""
    kicks: tuple[str, ...]
    """``plus: neck slug coil``, with ``(usual)`` where only another coil of its pickup was metered; empty where no
    meter sees a kick at the plug."""


@dataclass(frozen=True)
class BatteryTest:
    """What the battery gives with a plug in or out."""

    plug: str
    expected: str


def _answers(build: Build) -> dict[str, str]:
    """Every coil and transducer -> what answers a tap: of a tapped winding the pickup, whose poles are all its own."""
    said = coil_names(build)
    return {source_name(part, e): called(part) if part.symbol.sections() else said[source_name(part, e)]
            for part, e in elements_of(build, *SOUNDING)}


def tap_tests(found: StateTable) -> tuple[TapTest, ...]:
    """Each sound of the first output of a chart once with its plug in and nothing held, knobs at rest; then, for each
    coil or transducer that no such position lets be heard, the first one in which a knob at 0 does.
    """
    said = _answers(found.build)
    first: dict[int, int] = {}
    alike: dict[int, int] = {}
    for index in range(found.count):
        result = found.result(index)
        if result.plug == "mono" and not found.space.momentary(index):
            alike[result.like] = alike.get(result.like, -1) + 1
            first.setdefault(result.like, index)
    tests = tuple(_tapped(found, index, alike[like], said) for like, index in first.items())
    unheard = [name for name, says in said.items() if not any(says in test.loud for test in tests)]
    return (*tests, *_with_a_knob_down(found, unheard, said))


def _with_a_knob_down(found: StateTable, unheard: list[str], said: dict[str, str]) -> Iterator[TapTest]:
    """For each of these coils the position in which one knob at 0 (a blend at its other end) makes it loudest."""
    turned = {knob: heard_at(state_table(found.build, {knob: 0.0}), found.outputs[0])
              for knob in knobs_of(found.build)} if unheard else {}
    for name in unheard:
        levels = [(h.level_db, knob, index) for knob, other in turned.items() for index in range(other.count)
                  if other.result(index).plug == "mono" and not other.space.momentary(index)
                  for h in other.result(index).sound.sounding if h.coil == name and not h.weak]
        if levels:
            _, knob, index = max(levels, key=lambda found: round(found[0], 3))
            says = found.build.parts[knob.partition(".")[0]].says
            yield _tapped(turned[knob], index, 0, said, f"; {says} at 0")


def _tapped(found: StateTable, index: int, alike: int, said: dict[str, str], knob: str = "") -> TapTest:
    result = found.result(index)
    loud = [h for h in result.sound.sounding if not h.weak]
    answers = tuple(dict.fromkeys(said[h.coil] for h in loud))
    silent = tuple(dict.fromkeys(says for says in said.values() if says not in answers))
    return TapTest(words(found.space.state(index), found.space) + knob, alike, answers, silent,
                   tuple(_kicks(result, loud, said, coils_of(found.build))))


def _kicks(result: StateResult, loud: list[Heard], said: dict[str, str], coils: Coils) -> Iterator[str]:
    """The swing of a meter at the plug as steel comes near each coil, by its sense.

    Where nobody metered any coil of a pickup it is only known how its coils usually swing against each other.
    """
    # No swing passes a stage or comes from a crystal: where ohms mean nothing, neither does a kick.
    if result.reading.kind != "value":
        return
    told = [h for h in loud if h.sign is not None and coils.string_known(coils.pickups[h.coil])]
    for sign, word in ((1, "plus"), (-1, "minus")):
        known = dict.fromkeys(said[h.coil] + (" (usual)" if h.usual else "") for h in told if h.sign == sign)
        if known:
            yield f"{word}: {', '.join(known)}"
    unknown: dict[str, list[Heard]] = {}
    for h in loud:
        if h not in told:
            unknown.setdefault(coils.pickups[h.coil], []).append(h)
    if unknown:
        asked = (", ".join(said[h.coil] for h in own) + _usual_way(own) for own in unknown.values())
        yield f"not known, write it down: {', '.join(asked)}"


def _usual_way(own: list[Heard]) -> str:
    """How the coils of one pickup that nobody metered usually swing against each other."""
    signs = {h.sign for h in own}
    if len(own) == 1 or None in signs:
        return ""
    return f" (usually {'the same way' if len(signs) == 1 else 'opposite ways'})"


def battery_tests(found: StateTable) -> tuple[BatteryTest, ...]:
    """What a meter in the battery's line must show; none without a battery."""
    if not any(True for _ in elements_of(found.build, "cell")):
        return ()
    currents: dict[Plugs, list[float]] = {}
    for result in found.results:
        currents.setdefault(_switching(found, result), []).append(result.current * 1000)
    if set(currents) == {()}:
        return (BatteryTest("plug in or out", f"{_milliampere(currents[()])}: the plug does not switch it"),)
    order = sorted(currents, key=lambda plugs: [PLUGS.index(word) for _, word in plugs])
    return tuple(BatteryTest(_plug_words(found.build, plugs), _milliampere(currents[plugs])) for plugs in order)


PLUGS = ("out", "mono", "stereo")


def _switching(found: StateTable, result: StateResult) -> Plugs:
    """Where the plugs are that a battery can know of: those that join something."""
    joins = {key.partition(".")[0] for d in found.space.switches if d.kind == "plug" and len(set(d.closes)) > 1
             for key in d.keys}
    return tuple(one for one in found.space.plugs(result.first) if one[0] in joins)


def _plug_words(build: Build, plugs: Plugs) -> str:
    """``plug out``; of several jacks each is named."""
    says = {"out": "plug out", "mono": "mono plug in", "stereo": "stereo plug in"}
    if len(plugs) == 1 and len(jacks(build)) == 1:
        return says[plugs[0][1]]
    return ", ".join(f"{build.parts[jack].says}: {says[word]}" for jack, word in plugs)


def _milliampere(currents: list[float]) -> str:
    low, high = (number(c, 2) for c in (min(currents), max(currents)))
    if high == "0":
        return "0 mA"
    return f"about {high} mA" if low == high else f"{low} to {high} mA, by position"
