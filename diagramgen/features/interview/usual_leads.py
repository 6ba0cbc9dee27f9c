"""The leads of a usual wiring, from what an interview gave: signal first, then the grounds, spread over the cases."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from diagramgen.features.interview.answers import EACH, PICKUPS, TWO, UPRIGHT, Answers, both_poles, throws_of

_CASE, _SPLICE = 6, 4
"""Wires the symbols of pot and sleeved joint take."""
_COLOURS = ("white", "yellow", "green")


def usual_leads(given: Answers) -> list[str]:
    """One line a lead, and remarks that begin with a hash."""
    lines = ["# the signal", *_pickups(given), *_selector(given), *_volumes(given), *_tones(given)]
    return [*lines, "# the grounds", *_Grounds(given).lines()]


def joints_of(given: Answers) -> list[str]:
    """Names of the sleeved joints the grounds need beyond the cases of pots."""
    return _Grounds(given).joints


def _pickups(given: Answers) -> Iterator[str]:
    for i, (name, symbol) in enumerate(zip(given.names, given.pickups, strict=True)):
        kind = PICKUPS[symbol]
        yield f"{name}.{kind.hot} -> {_first(given, i)}"
        for joint in kind.joints:
            yield joint.format(name)


def _first(given: Answers, i: int) -> str:
    """The lug a pickup's hot lead goes to."""
    if given.volumes == EACH:
        return f"{given.volume_names()[i]}.ten"
    return _gathered(given, i)


def _gathered(given: Answers, i: int) -> str:
    """Where the signals of all pickups come together: the selector's throw of one, or the way on."""
    if given.selector:
        return f"selector.{throws_of(given)[given.names[i]]}"
    return _onward(given)


def _onward(given: Answers) -> str:
    """What follows where the signals came together: the one volume, or the jack."""
    if given.volumes != EACH and given.volume_names():
        return f"{given.volume_names()[0]}.ten"
    return "output.tip"


def _way_on(given: Answers) -> str:
    """White inside, red to the tip: two leads of one colour on one pot would be taken for each other."""
    return "red" if _onward(given) == "output.tip" else "white"


def _selector(given: Answers) -> Iterator[str]:
    if not given.selector:
        return
    if given.selector == UPRIGHT:
        yield "selector.up centre -> selector.down centre, bare"
        yield f"selector.up centre -> {_onward(given)}, {_way_on(given)}"
    else:
        if both_poles(given):
            yield "selector.a 1 -> selector.a 2, bare"
            yield "selector.b 3 -> selector.b 2, bare"
        if given.tones == TWO or both_poles(given):
            yield "selector.a common -> selector.b common, bare, note sleeve it where it passes the wafer"
        yield f"{_common(given)} -> {_onward(given)}, {_way_on(given)}"


def _common(given: Answers) -> str:
    return {UPRIGHT: "selector.up centre", "toggle-short": "selector.common"}.get(given.selector, "selector.a common")


def _volumes(given: Answers) -> Iterator[str]:
    for i, name in enumerate(given.volume_names()):
        yield f"{name}.zero -> {name}.case, bend"
        if given.volumes == EACH:
            yield f"{name}.wiper -> {_gathered(given, i)}, {_COLOURS[i] if given.selector else 'red'}"
        else:
            yield f"{name}.wiper -> output.tip, red"


def _tones(given: Answers) -> Iterator[str]:
    tones = given.tone_names()
    if given.tones == TWO:
        yield f"selector.b 3 -> {tones[0]}.wiper, green"
        yield f"selector.b 2 -> {tones[1]}.wiper, yellow"
        yield f"{tones[0]}.zero -> {tones[1]}.zero, blue"
        return
    for i, name in enumerate(tones):
        yield f"{_branch(given, i)} -> {name}.wiper, blue"


def _branch(given: Answers, i: int) -> str:
    """Where a tone hangs: at its own volume, at the one volume, at the selector, or at the jack."""
    volumes = given.volume_names()
    if volumes and (given.volumes != EACH or given.tones == EACH):
        return f"{volumes[min(i, len(volumes) - 1)]}.ten"
    return _common(given) if given.selector else "output.tip"


class _Grounds:
    """Gives every ground a case with room, nearest first; cases are joined in a chain, then joints in the air."""

    def __init__(self, given: Answers):
        self.given = given
        pots = [*given.volume_names(), *given.tone_names()]
        self.points = [f"{name}.case" for name in pots]
        # Of what a case or joint takes, one or two are links of the chain and one is a capacitor's leg.
        self.free = dict.fromkeys(self.points, _CASE - 2)
        for tone in given.tone_names():
            self.free[f"{tone}.case"] -= 1
        self.joints: list[str] = []
        self.wires: list[str] = []
        self._place()

    def lines(self) -> list[str]:
        """Pickups, selector, jack, strings, and the chain that joins where they end."""
        return [*self.wires, *(f"{one} -> {other}, black" for one, other in itertools.pairwise(self.points))]

    def _place(self) -> None:
        given = self.given
        for i, (name, symbol) in enumerate(zip(given.names, given.pickups, strict=True)):
            begin = i if given.volumes == EACH else 0
            self.wires += [f"{name}.{lug} -> {self._next(begin)}" for lug in PICKUPS[symbol].grounds]
        if given.selector:
            self.wires.append(f"selector.frame -> {self._next(0)}, black")
        self.wires.append(f"{self._next(0)} -> output.sleeve, black")
        if given.strings:
            self.wires.append(f"strings.ground -> {self._next(0)}, black")

    def _next(self, begin: int) -> str:
        order = [*self.points[begin:], *self.points[:begin]]
        point = next((p for p in order if self.free[p] > 0), "")
        if not point:
            self.joints.append("grounds" if not self.joints else f"grounds-{len(self.joints) + 1}")
            point = f"{self.joints[-1]}.joint"
            self.points.append(point)
            self.free[point] = _SPLICE - 2
        self.free[point] -= 1
        return point
