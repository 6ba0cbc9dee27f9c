"""What each position gives, as a player sees it: controls where they stand, coils that sound, plain words.

Every sound that is different is shown once, wherever it comes from; a control that makes no difference to it is not
shown beside it.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagramgen.circuit.check_wanted import states_of
from diagramgen.circuit.coil_words import called, capital, heard_words
from diagramgen.circuit.hum_words import hum_for_player
from diagramgen.circuit.one_output import heard_at
from diagramgen.circuit.sounds import Sound
from diagramgen.circuit.state_table import StateTable
from diagramgen.circuit.state_table import state_table as solved
from diagramgen.circuit.states import Switch
from diagramgen.circuit.switch_effects import Effects, Grid, difference, effect_words, index_of, knob_called
from diagramgen.circuit.values import SOUNDING, elements_of, knobs_of, winding_name
from diagramgen.model.build import Build, Part

MOST = 24
"""Different sounds shown; of more, first those the build names, then those one control away from rest."""
MOST_NAMED, MOST_NEEDS = 2, 3
"""Other ways to a sound that are named, and controls one of them may need for that."""
WAYS = 4
"""Ways to one sound that are looked for: the simplest is drawn, the others are named."""
PHASE = {"out": "out of phase: thin", "mixed": "partly out of phase", "unknown": "phase not known"}


@dataclass(frozen=True)
class Stand:
    """A control where it stands. ``look``: lever | toggle | bat | slide | ring | pull | rotary | button."""

    name: str
    look: str
    at: int
    """Number of its position, from 0."""
    count: int
    """How many positions it has."""
    word: str
    """The position as the player is told it."""
    inner: tuple[int, ...] = ()
    """Where each slide of a ring stands."""


@dataclass(frozen=True)
class PlayerState:
    """One sound: the controls it needs, what sounds, in words."""

    stands: tuple[Stand, ...]
    sounding: tuple[str, ...]
    weak: tuple[str, ...]
    words: str
    hum: str
    also: str = ""
    """Other positions with the same sound."""


@dataclass(frozen=True)
class PickupLook:
    """A pickup as it is pictured: its coils in the order of the symbol."""

    part: str
    says: str
    coils: tuple[tuple[str, str], ...]
    """Name of a coil, and what it is (slug coil)."""
    strip: bool
    """A contact transducer."""


@dataclass(frozen=True)
class PlayerChart:
    """The sounds shown, the pickups, and what is left to say."""

    states: tuple[PlayerState, ...]
    pickups: tuple[PickupLook, ...]
    sounds: int
    """All different sounds there are, with the knobs at rest."""
    changes: tuple[str, ...] = ()
    """What pulls, pushes and buttons change, and what the pictures cannot show of other controls."""
    turned: tuple[str, ...] = ()
    """Sentences on pickups that are heard only with a knob turned."""


Numbers = tuple[int, ...]
"""A state by the positions of its controls."""


@dataclass(frozen=True)
class Way:
    """One way to a sound: a state, and the controls that must stand as in it; the others may stand anywhere."""

    numbers: Numbers
    needs: tuple[int, ...]
    """Indices of the controls that must stand as ``numbers`` has them."""


def player_chart(chart: StateTable) -> PlayerChart:
    """The chart of its first output for a player; momentary buttons at rest, a mono plug in."""
    effects = Effects(chart)
    moving = tuple(i for i, d in enumerate(chart.space.switches) if d.kind == "switch")
    groups: dict[int, list[Numbers]] = {}
    for numbers in _in_order(effects, moving):
        groups.setdefault(int(effects.grid[numbers]), []).append(numbers)
    wanted = _wanted(chart)
    ways = {number: _ways(effects.grid, own, moving, wanted) for number, own in groups.items()}
    shown = _sorted([ways[number] for number in _chosen(effects, moving, ways, wanted)])
    pickups = tuple(_pickups(chart.build))
    return PlayerChart(tuple(_states(chart, shown)), pickups, len(ways), tuple(control_changes(effects)),
                       tuple(_turned(chart, pickups)))


def _in_order(effects: Effects, moving: Numbers) -> Iterator[Numbers]:
    """All positions of the switches, from rest on; the control with the fewest goes fastest, so that in two columns
    its two stand side by side."""
    digits = effects.chart.space.switches
    chosen = [effects.rest]
    for i in reversed(moving):
        chosen = [(*one[:i], k, *one[i + 1:]) for one in chosen for k in range(len(digits[i].positions))]
    yield from chosen


def _wanted(chart: StateTable) -> dict[Numbers, None]:
    """The first state of each promise of the build."""
    found = (next(iter(states_of(chart.space, wanted)), None) for wanted in chart.build.wanted)
    return {chart.space.numbers(index): None for index in found if index is not None}


def _chosen(
    effects: Effects, moving: Numbers, ways: Mapping[int, Sequence[Way]], wanted: Collection[Numbers]
) -> list[int]:
    """The sounds that are shown, where there are too many: those the build names, those nearest to rest, then those
    that need the fewest controls."""
    rest, digits = effects.rest, effects.chart.space.switches
    near = [rest, *((*rest[:i], k, *rest[i + 1:]) for i in moving for k in range(1, len(digits[i].positions)))]
    first = [number for n in (*wanted, *near) if (number := int(effects.grid[n])) in ways]
    simple = sorted(ways, key=lambda number: len(ways[number][0].needs))
    return list(dict.fromkeys([*first, *simple]))[:MOST]


def _ways(grid: Grid, own: Sequence[Numbers], moving: Numbers, wanted: Collection[Numbers]) -> list[Way]:
    """The ways to a sound, which all these states give: the one that needs the fewest controls first, of these what
    the build names first."""
    left = list(own)
    found: list[Way] = []
    while left and len(found) < WAYS:
        way = _way(grid, left[0], moving)
        found.append(way)
        left = [n for n in left if any(n[i] != way.numbers[i] for i in way.needs)]
    return sorted(found, key=lambda way: (len(way.needs), way.numbers not in wanted))


def _way(grid: Grid, numbers: Numbers, moving: Numbers) -> Way:
    """A state without the controls that make no difference to its sound, wherever the others of these stand."""
    free: set[int] = set()
    for i in moving:
        cut = tuple(slice(None) if j in free or j == i else slice(at, at + 1) for j, at in enumerate(numbers))
        if bool((grid[cut] == grid[numbers]).all()):
            free.add(i)
    return Way(numbers, tuple(i for i in moving if i not in free))


def _sorted(shown: Sequence[Sequence[Way]]) -> list[Sequence[Way]]:
    """The sounds, the control that most of them need turning slowest."""
    needed = Counter(i for ways in shown for i in ways[0].needs)
    axes = sorted(needed, key=lambda i: (-needed[i], -i))
    return sorted(shown, key=lambda ways: [ways[0].numbers[i] for i in axes])


def _states(chart: StateTable, shown: Sequence[Sequence[Way]]) -> Iterator[PlayerState]:
    """The sounds; one that has the words of another says how it differs from it."""
    first: dict[str, Way] = {}
    for ways in shown:
        way = ways[0]
        result = chart.result(index_of(chart, way.numbers))
        sound, words = result.sound, heard_words(result.at(chart.outputs[0]), chart.build)
        like = first.setdefault(words, way)
        if like is not way:
            differ = [i for i in way.needs if way.numbers[i] != like.numbers[i]]
            place = _named(chart, like, differ)
            words = f"{words}; against {place}: {difference(chart, like.numbers, way.numbers)}"
        stands = tuple(_stand(chart.build, chart.space.switches[i], way.numbers[i]) for i in reversed(way.needs))
        loud = tuple(dict.fromkeys(h.called for h in sound.sounding if not h.weak))
        weak = tuple(dict.fromkeys(h.called for h in sound.sounding if h.weak and h.called not in loud))
        yield PlayerState(stands, loud, weak, words, hum_words(sound), _also(chart, ways[1:]))


def _also(chart: StateTable, ways: Sequence[Way]) -> str:
    """The other ways to a sound: named where that is short, else only said to be there."""
    if not ways:
        return ""
    if len(ways) > MOST_NAMED or any(len(way.needs) > MOST_NEEDS for way in ways):
        return "also in other positions"
    return f"also with {'; or '.join(_named(chart, way, way.needs) for way in ways)}"


def _named(chart: StateTable, way: Way, which: Sequence[int]) -> str:
    """These controls with where they stand in a way."""
    stands = (_stand(chart.build, chart.space.switches[i], way.numbers[i]) for i in reversed(which))
    return ", ".join(f"{s.name} {s.word}" for s in stands)


def control_changes(effects: Effects) -> Iterator[str]:
    """What each control changes that the pictures do not show; of a pull or a button all it changes."""
    build = effects.chart.build
    for i, digit in enumerate(effects.chart.space.switches):
        if digit.kind == "plug" or len(digit.positions) < 2:
            continue
        pulled = digit.kind == "momentary" or _look(_part(build, digit), digit) == "pull"
        words = effect_words(effects.of(i), build, coils=pulled)
        if words:
            yield f"{capital(_name(build, digit))}. {words}"


def _turned(chart: StateTable, pickups: Sequence[PickupLook]) -> Iterator[str]:
    """What no position lets sound with the knobs at rest: which knob, turned to its end, brings it in."""
    heard = {h.called for r in chart.results for one in r.heard for h in one.sound.sounding}
    for look in pickups:
        names = {name for name, _ in look.coils}
        if names & heard:
            continue
        ends = [(knob, end) for knob in knobs_of(chart.build) for end in (0.0, 10.0)]
        levels = {one: _loudest(heard_at(solved(chart.build, dict([one])), chart.outputs[0]), names) for one in ends}
        knob, end = max(levels, key=lambda k: levels[k], default=("", 0.0))
        if knob and levels[knob, end] > -math.inf:
            yield (f"{capital(look.says)}: not heard with the knobs as they stand here; it comes in as "
                   f"{knob_called(chart.build, knob)} is turned {'down' if not end else 'up'}.")


def _loudest(chart: StateTable, names: Collection[str]) -> float:
    """The highest level of these coils in any state, dB."""
    return max((h.level_db for r in chart.results for h in r.sound.sounding if h.called in names), default=-math.inf)


def hum_words(sound: Sound) -> str:
    """Phase and hum as a player hears them, or that they are not known."""
    said = [PHASE.get(sound.phase, ""), hum_for_player(sound)]
    return "; ".join(s for s in said if s)


def _stand(build: Build, digit: Switch, at: int) -> Stand:
    part = _part(build, digit)
    inner = tuple(_inner(part, dict(digit.inner[at]))) if digit.inner and len(digit.keys) == 1 else ()
    # What moves is drawn: away from 1, middle, toward 2.
    word = digit.words[at].removeprefix("bat ").removeprefix("knob ").removeprefix("in the ")
    return Stand(_name(build, digit), _look(part, digit), at, len(digit.positions), word, inner)


def _part(build: Build, digit: Switch) -> Part:
    return build.parts[digit.keys[0].partition(".")[0]]


def _name(build: Build, digit: Switch) -> str:
    """What the control is called; of several that move as one all are named."""
    parts = dict.fromkeys(key.partition(".")[0] for key in digit.keys)
    return " and ".join(called(build.parts[p]) for p in parts)


def _look(part: Part, digit: Switch) -> str:
    kind, family = part.symbol.kind, part.symbol.family
    if digit.inner:
        return "ring"
    if "push-pull" in kind or "push-push" in kind:
        return "pull"
    looks = {"lever switches": "lever", "rotaries": "rotary", "slides": "slide"}
    if family in looks:
        return looks[family]
    if family == "toggles":
        return "bat" if kind.startswith("mini") else "button" if "button" in kind else "toggle"
    return "slide"


def _inner(part: Part, stands: Mapping[str, str]) -> Iterator[int]:
    for key, position in stands.items():
        control = part.symbol.control(key.rpartition(".")[2])
        if control is not None and position in control.positions:
            yield control.positions.index(position)


def _pickups(build: Build) -> Iterator[PickupLook]:
    """Pickups from neck to bridge where their names tell, else in the order of the file; transducers last."""
    rank = {"neck": 0, "middle": 1, "bridge": 2}
    found: dict[str, list[tuple[str, str]]] = {}
    strips = set()
    for part, element in elements_of(build, *SOUNDING):
        coil = (winding_name(part, element), element.says or element.name)
        if coil[0] not in dict(found.setdefault(part.name, [])):
            found[part.name].append(coil)
        if element.kind == "transducer":
            strips.add(part.name)
    names = sorted(found, key=lambda n: (n in strips, next((r for w, r in rank.items() if w in n), 1)))
    for name in names:
        yield PickupLook(name, called(build.parts[name]), tuple(found[name]), name in strips)
