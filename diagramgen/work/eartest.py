"""What to hear and to see at the finished plug: taps and kicks by position, and the battery's current."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagramgen.build.model import Build
from diagramgen.circuit.atoutput import heard_at
from diagramgen.circuit.chart import Chart, Result, chart
from diagramgen.circuit.outputs import Plugs
from diagramgen.circuit.roles import jacks
from diagramgen.circuit.sounds import Heard
from diagramgen.circuit.values import SOUNDING, elements_of, knobs_of, source_name
from diagramgen.circuit.wanted import words
from diagramgen.units import number

MOST = 24
"""Positions listed at most; those that sound alike are one."""


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
    """``plus: neck slug coil``, with ``(usual)`` where nobody metered it; empty where no meter sees a kick at
    the plug."""


@dataclass(frozen=True)
class BatteryTest:
    """What the battery gives with a plug in or out."""

    plug: str
    expected: str


def coil_words(build: Build) -> dict[str, str]:
    """Every coil and transducer -> what the shop calls it: the pickup, and its coil where it has several."""
    found = {}
    for part, element in elements_of(build, *SOUNDING):
        name = source_name(part, element)
        found[name] = part.says if name == part.name else f"{part.says} {element.says or element.name}"
    return found


def tap_tests(found: Chart) -> tuple[TapTest, ...]:
    """Each sound of the first output of a chart once with its plug in and nothing held, knobs at rest; then, for each
    coil or transducer that no such position lets be heard, the first one in which a knob at 0 does.
    """
    said = coil_words(found.build)
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


def _with_a_knob_down(found: Chart, unheard: list[str], said: dict[str, str]) -> Iterator[TapTest]:
    """For each of these coils the position in which one knob at 0 (a blend at its other end) makes it loudest."""
    turned = {knob: heard_at(chart(found.build, {knob: 0.0}), found.outputs[0])
              for knob in knobs_of(found.build)} if unheard else {}
    for name in unheard:
        levels = [(h.level_db, knob, index) for knob, other in turned.items() for index in range(other.count)
                  if other.result(index).plug == "mono" and not other.space.momentary(index)
                  for h in other.result(index).sound.sounding if h.coil == name and not h.weak]
        if levels:
            _, knob, index = max(levels, key=lambda found: round(found[0], 3))
            says = found.build.parts[knob.partition(".")[0]].says
            yield _tapped(turned[knob], index, 0, said, f"; {says} at 0")


def _tapped(found: Chart, index: int, alike: int, said: dict[str, str], knob: str = "") -> TapTest:
    result = found.result(index)
    loud = [h for h in result.sound.sounding if not h.weak]
    names = {h.coil for h in loud}
    return TapTest(words(found.space.state(index), found.space) + knob, alike, tuple(said[h.coil] for h in loud),
                   tuple(says for name, says in said.items() if name not in names), tuple(_kicks(result, loud, said)))


def _kicks(result: Result, loud: list[Heard], said: dict[str, str]) -> Iterator[str]:
    """The swing of a meter at the plug as steel comes near each coil, by its sense."""
    # No swing passes a stage or comes from a crystal: where ohms mean nothing, neither does a kick.
    if result.reading.kind != "value":
        return
    for sign, word in ((1, "plus"), (-1, "minus")):
        known = [said[h.coil] + (" (usual)" if h.usual else "") for h in loud if h.sign == sign]
        if known:
            yield f"{word}: {', '.join(known)}"
    unknown = [said[h.coil] for h in loud if h.sign is None]
    if unknown:
        yield f"not known, write it down: {', '.join(unknown)}"


def battery_tests(found: Chart) -> tuple[BatteryTest, ...]:
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


def _switching(found: Chart, result: Result) -> Plugs:
    """Where the plugs are that a battery can know of: those that join something."""
    joins = {key.partition(".")[0] for d in found.space.digits if d.kind == "plug" and len(set(d.closes)) > 1
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
