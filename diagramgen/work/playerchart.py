"""What each position gives, as a player sees it: controls where they stand, coils that sound, plain words."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagramgen.build.model import Build, Part
from diagramgen.build.network import BadNetwork, Coil, Joined, Network, coils, read_network
from diagramgen.circuit.atoutput import heard_at
from diagramgen.circuit.chart import Chart
from diagramgen.circuit.chart import chart as solved
from diagramgen.circuit.sounds import Sound
from diagramgen.circuit.states import Digit
from diagramgen.circuit.values import SOUNDING, elements_of, knobs_of, source_name
from diagramgen.circuit.wanted import states_of
from diagramgen.library.model import Element
from diagramgen.work.recordwords import plain

ALL = 12
"""Up to so many positions each is shown; beyond, those the build names, else every control one by one."""
MOST = 20
HUM = {"cancels": "quiet: its hum cancels", "full": "hums as a single coil does", "partly": "part of the hum is left"}
PHASE = {"out": "out of phase: thin on purpose", "mixed": "partly out of phase"}


@dataclass(frozen=True)
class Stand:
    """A control where it stands. ``look``: lever | toggle | bat | slide | ring | pull | rotary | button."""

    name: str
    look: str
    at: int
    count: int
    word: str
    inner: tuple[int, ...] = ()
    """Where each slide of a ring stands."""


@dataclass(frozen=True)
class PlayerState:
    """One position: its controls, what sounds, in words."""

    stands: tuple[Stand, ...]
    sounding: tuple[str, ...]
    weak: tuple[str, ...]
    words: str
    hum: str


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
    """The positions shown, the pickups, and what is left to say."""

    states: tuple[PlayerState, ...]
    pickups: tuple[PickupLook, ...]
    not_shown: tuple[str, ...]
    """Controls that stand the same in all that is shown."""
    count: int
    """All positions there are."""
    turned: tuple[str, ...] = ()
    """Sentences on pickups that are heard only with a knob turned."""


def player_chart(chart: Chart) -> PlayerChart:
    """The chart of its first output for a player; momentary buttons at rest, a mono plug in."""
    digits = chart.space.digits
    moving = [i for i, d in enumerate(digits) if d.kind == "switch"]
    rest = tuple(next((k for k, p in enumerate(d.positions) if p[0] == "mono"), 0) if d.kind == "plug" else 0
                 for d in digits)
    count = 1
    for i in moving:
        count *= len(digits[i].positions)
    shown = list(_shown(chart, moving, rest, count))[:MOST]
    states = tuple(_state(chart, numbers, which) for numbers, which in shown)
    seen = {i for _, which in shown for i in which}
    still = tuple(_name(chart.build, digits[i]) for i in moving if i not in seen)
    pickups = tuple(_pickups(chart.build))
    return PlayerChart(states, pickups, still, count, tuple(_turned(chart, pickups, states)))


def _turned(chart: Chart, pickups: Sequence[PickupLook], states: Sequence[PlayerState]) -> Iterator[str]:
    """What is not heard with the knobs at rest: which knob, at 0, brings it in."""
    heard = {name for s in states for name in (*s.sounding, *s.weak)}
    for look in pickups:
        names = {name for name, _ in look.coils}
        if names & heard:
            continue
        levels = {knob: _loudest(heard_at(solved(chart.build, {knob: 0.0}), chart.outputs[0]), names)
                  for knob in knobs_of(chart.build)}
        knob = max(levels, key=lambda k: levels[k], default="")
        if knob and levels[knob] > -math.inf:
            part = chart.build.parts[knob.partition(".")[0]]
            yield (f"{look.says[:1].upper()}{look.says[1:]}: not heard with the knobs at 10; it comes in as "
                   f"{plain(part)} is turned down.")


def _loudest(chart: Chart, names: Collection[str]) -> float:
    """The highest level of these coils in any state, dB."""
    return max((h.level_db for r in chart.results for h in r.sound.sounding if h.coil in names), default=-math.inf)


def _shown(
    chart: Chart, moving: Sequence[int], rest: tuple[int, ...], count: int
) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Positions of all digits, and which of them are drawn."""
    digits = chart.space.digits
    if count <= ALL:
        chosen = [rest]
        # The control with the fewest positions goes fastest: in two columns its two then stand side by side.
        for i in reversed(moving):
            chosen = [(*one[:i], k, *one[i + 1:]) for one in chosen for k in range(len(digits[i].positions))]
        yield from ((one, tuple(moving)) for one in chosen)
        return
    named = [w for w in chart.build.wanted if any(set(w.when) & set(digits[i].names(0)) for i in moving)]
    if named:
        for wanted in named:
            index = next(iter(states_of(chart.space, wanted)), None)
            if index is not None:
                numbers = chart.space.numbers(index)
                yield numbers, tuple(i for i in moving if set(wanted.when) & set(digits[i].names(0))
                                     or _matters(chart, numbers, i))
        return
    yield rest, tuple(moving)
    for i in moving:
        yield from (((*rest[:i], k, *rest[i + 1:]), tuple(moving)) for k in range(1, len(digits[i].positions)))


def _matters(chart: Chart, numbers: Sequence[int], i: int) -> bool:
    """Whether moving one control changes what sounds in a position."""
    told = set()
    for k in range(len(chart.space.digits[i].positions)):
        sound = chart.result(_index(chart, (*numbers[:i], k, *numbers[i + 1:]))).sound
        told.add((sound.network, sound.phase, sound.hum))
    return len(told) > 1


def _index(chart: Chart, numbers: Sequence[int]) -> int:
    index = 0
    for digit, k in zip(chart.space.digits, numbers, strict=True):
        index = index * len(digit.positions) + k
    return index


def _state(chart: Chart, numbers: Sequence[int], which: Sequence[int]) -> PlayerState:
    sound = chart.result(_index(chart, numbers)).sound
    stands = tuple(_stand(chart.build, chart.space.digits[i], numbers[i]) for i in reversed(which))
    return PlayerState(stands, tuple(h.coil for h in sound.sounding if not h.weak),
                       tuple(h.coil for h in sound.sounding if h.weak), sound_words(chart.build, sound),
                       hum_words(sound))


def hum_words(sound: Sound) -> str:
    """Phase and hum as a player hears them; nothing where it is not known."""
    said = [PHASE.get(sound.phase, ""), HUM.get(sound.hum, "")]
    return "; ".join(s for s in said if s)


def _stand(build: Build, digit: Digit, at: int) -> Stand:
    part = _part(build, digit)
    inner = tuple(_inner(part, dict(digit.inner[at]))) if digit.inner and len(digit.keys) == 1 else ()
    # What moves is drawn: away from 1, middle, toward 2.
    word = digit.words[at].removeprefix("bat ").removeprefix("knob ").removeprefix("in the ")
    return Stand(_name(build, digit), _look(part, digit), at, len(digit.positions), word, inner)


def _part(build: Build, digit: Digit) -> Part:
    return build.parts[digit.keys[0].partition(".")[0]]


def _name(build: Build, digit: Digit) -> str:
    """What the control is called; of several that move as one all are named."""
    parts = dict.fromkeys(key.partition(".")[0] for key in digit.keys)
    return " and ".join(plain(build.parts[p]) for p in parts)


def _look(part: Part, digit: Digit) -> str:
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
        found.setdefault(part.name, []).append((source_name(part, element), element.says or element.name))
        if element.kind == "transducer":
            strips.add(part.name)
    names = sorted(found, key=lambda n: (n in strips, next((r for w, r in rank.items() if w in n), 1)))
    for name in names:
        yield PickupLook(name, plain(build.parts[name]), tuple(found[name]), name in strips)


def sound_words(build: Build, sound: Sound) -> str:
    """What sounds, in a player's words: ``neck, both coils in series; together with bridge``."""
    if sound.silent:
        return "silent"
    try:
        network = read_network(sound.network)
    except BadNetwork:
        return sound.network
    if network is None:
        return "silent"
    told = _phrase(build, network)
    named = {f"{c.part}.{c.coil}" if c.coil else c.part for c in coils(network)}
    more = [h.coil for h in sound.sounding if h.coil not in named and not h.weak]
    return told + "".join(f", with {plain(build.parts[c.partition('.')[0]])}" for c in more)


def _phrase(build: Build, network: Network, inner: bool = False) -> str:
    if isinstance(network, Coil):
        return _coil_words(build, network)
    whole = _one_pickup(build, network)
    if whole:
        return whole
    link = " in series with " if network.how == "series" else " together with "
    joined = link.join(_phrase(build, t, True) for t in network.terms)
    return f"({joined})" if inner else joined


def _coil_words(build: Build, coil: Coil) -> str:
    part = build.parts.get(coil.part)
    if part is None:
        return coil.part
    element = next((e for e in part.symbol.elements if e.kind in SOUNDING and e.name == coil.coil), None)
    words = coil_words(part, element)
    return f"{words} alone" if words != plain(part) else words


def coil_words(part: Part, element: Element | None) -> str:
    """A coil as a player knows it: ``neck``, or ``neck, slug coil`` where the pickup has several."""
    own = [e for e in part.symbol.elements if e.kind in SOUNDING]
    return plain(part) if len(own) < 2 or element is None else f"{plain(part)}, {element.says or element.name}"


def _one_pickup(build: Build, network: Joined) -> str:
    """The words for coils of one pickup joined plainly; '' for anything else."""
    terms = [t for t in network.terms if isinstance(t, Coil)]
    parts = {t.part for t in terms}
    if len(terms) != len(network.terms) or len(parts) != 1 or terms[0].part not in build.parts:
        return ""
    part = build.parts[terms[0].part]
    own = [e for e in part.symbol.elements if e.kind in SOUNDING]
    how = "in series" if network.how == "series" else "in parallel"
    which = {2: "both coils", 3: "all three coils"}.get(len(own), "all coils")
    if len(terms) < len(own):
        says = {e.name: e.says or e.name for e in own}
        which = " and ".join(says.get(t.coil, t.coil) for t in terms)
    return f"{plain(part)}, {which} {how}"
