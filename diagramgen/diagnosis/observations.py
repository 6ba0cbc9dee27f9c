"""What the technician saw: a reading at the plug, a sound, metal against the sleeve, a knob, two lugs."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from diagramgen.circuit.check_wanted import ONLY, words
from diagramgen.circuit.dc_supply import supply
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.netlist import netlist_of, template_of
from diagramgen.circuit.nets import metal_node
from diagramgen.circuit.states import StateSpace, classes_of
from diagramgen.circuit.values import SOUNDING
from diagramgen.diagnosis.fault_model import ALL_ZERO, REST, FaultModel
from diagramgen.diagnosis.observation_words import (
    OF_A_CONTROL,
    OF_A_SOUND,
    STUCK,
    WORKS,
    control_words_in,
    near,
    sounds_in,
)
from diagramgen.kernel.diagnostics import nearest
from diagramgen.kernel.errors import WrongValue
from diagramgen.kernel.units import RESISTANCE, BadValue, quantity, read_quantity
from diagramgen.model.build import Part
from diagramgen.model.results import Results

OPEN_WORDS = ("open", "ol", "infinite")
METAL_WORDS = ("joined", "beeps", *OPEN_WORDS)
"""What may be said of metal against the sleeve besides ohms."""
GROUNDED = 5.0
"""ohm to the sleeve up to which metal counts as joined, meter leads taken off (common practice, no source)."""
NOT_JOINED = 1e5
"""ohm to the sleeve from which metal counts as not joined: a safety network leaves so much (common practice, no
source). Between the two a reading says neither, and was most likely taken at the plug.
"""
OPEN_OHM = 2e7
"""A meter that shows this much or more is read as open (common range of a hand meter, common practice, no source)."""


class BadObservation(WrongValue):  # something typed that cannot be read, in the technician's words
    """What was typed cannot be read."""

    def __init__(self, message: str, remedy: str = ""):
        self.message, self.remedy = message, remedy
        super().__init__(f"{message}. {remedy}".strip())


@dataclass(frozen=True)
class Reading:
    """ohm at the plug in a state with the knobs at a setting; inf for open."""

    state: int
    setting: int
    ohms: float


@dataclass(frozen=True)
class Heard:
    """What a state sounds like: one of ``SOUNDS``, or ``crackles``."""

    state: int
    setting: int
    word: str


@dataclass(frozen=True)
class Knob:
    """Whether a knob does anything: ``stuck`` or ``works``, in the first state in which it should."""

    setting: int
    word: str


@dataclass(frozen=True)
class Worn:
    """What moving a knob, switch or jack does: ``crackles``, ``loose``, or ``stuck`` for a switch that is dead."""

    part: str
    word: str


@dataclass(frozen=True)
class Ground:
    """Whether a piece of metal is joined to the plug's sleeve."""

    metal: int
    joined: bool


@dataclass(frozen=True)
class Between:
    """Whether two lugs are joined (under 1 ohm), switches and plug out of it."""

    one: str
    other: str
    joined: bool


Observation = Reading | Heard | Knob | Worn | Ground | Between


def read_observation(text: str, wiring: FaultModel) -> Observation:
    """The first thing a line says. Raises ``BadObservation``."""
    return read_observations(text, wiring)[0]


def read_observations(text: str, wiring: FaultModel) -> tuple[Observation, ...]:
    """Read one line: ``selector=up, volume=0: 7.9k``, ``middle: thin, weak``, ``neck: no sound``, ``strings: open``,
    ``volume: scratchy``, ``neck.finish to selector.up: open``. Raises ``BadObservation``.
    """
    where, colon, what = text.partition(":")
    if not colon or not what.strip():
        raise BadObservation(f"'{text.strip()}' does not say where",
                             f"Write it like {where_words(wiring)}: 7.9k, or {where_words(wiring)}: silent")
    typed = " ".join(what.split())
    where, what = " ".join(where.lower().split()), typed.lower()
    if " to " in where and "=" not in where:
        return (_between(where, what, wiring),)
    where = _position_alone(where, wiring) or where
    if where and "=" not in where and where not in ("plug", "all"):
        return _named(where, typed, wiring)
    state, setting = _where(where, wiring)
    heard = sounds_in(what)
    if heard:
        return tuple(Heard(state, setting, word) for word in heard)
    return (Reading(state, setting, read_ohms(typed, OF_A_SOUND)),)


def where_words(wiring: FaultModel) -> str:
    """How a position of this build is written: the first switch at its first position, or ``plug`` without one."""
    for switch in wiring.space.switches:
        if switch.kind != "plug":
            return f"{switch.keys[0]}={switch.positions[0][0]}"
    return "plug"


def _position_alone(text: str, wiring: FaultModel) -> str:
    """``selector=middle`` for ``middle``, ``position 2`` or ``pos 2`` where one control alone has such a position."""
    word = re.sub(r"^(?:position|pos\.?|in the|in)\s+|\s+position$", "", text)
    if not word or word in _keys(wiring.space) or any(word == p.name for p in wiring.build.parts.values()):
        return ""
    found = [switch.keys[column] for switch in wiring.space.switches if switch.kind != "plug"
             for column in range(len(switch.keys)) if word in {p[column].lower() for p in switch.positions}]
    return f"{found[0].lower()}={word}" if len(found) == 1 else ""


def read_ohms(text: str, words_too: Iterable[str] = ()) -> float:
    """ohm of a typed reading; inf for open. M and m are not the same. Raises ``BadObservation``."""
    if text.lower() in OPEN_WORDS:
        return math.inf
    try:
        ohms = read_quantity(text, RESISTANCE, allow_zero=True)
    except BadValue as fault:
        if text and text[0].isdigit():
            raise BadObservation(f"'{text}' is no reading", "Write it like 7.9k, 230, 0 or open") from fault
        raise BadObservation(f"'{text}' is neither a reading nor a word known here",
                             f"A reading like 7.9k, 0 or open, or one of: {', '.join(words_too)}. "
                             f"{nearest(text, [*words_too, *OPEN_WORDS])}") from fault
    return math.inf if ohms >= OPEN_OHM else ohms


def _where(text: str, wiring: FaultModel) -> tuple[int, int]:
    """State and setting of ``selector=up, volume=0``; controls that are not named stand at their first position."""
    wanted: dict[str, str] = {}
    zero: list[str] = []
    knobs = {k: k for s in wiring.settings for k in s.knobs}
    knobs |= {k.partition(".")[0]: k for k in reversed(list(knobs.values()))}
    keys = _keys(wiring.space)
    for piece in text.split(","):
        if not piece.strip() or piece.strip() in ("plug", "all"):
            continue
        key, equals, value = (x.strip() for x in piece.partition("="))
        if not equals or not value:
            raise BadObservation(f"'{piece.strip()}' names no position", "Write it like selector=up, or volume=0")
        if key in keys:
            wanted[keys[key]] = _position(wiring.space, keys[key], value)
        elif key in knobs and value in ("0", "10"):
            zero += [knobs[key]] if value == "0" else []
        elif key in knobs:
            raise BadObservation(f"'{key}={value}': readings are known with a knob at 0 or at 10",
                                 "Turn it to 0 or to 10")
        elif key == "knobs" and value in ("0", "10"):
            zero += list(dict.fromkeys(knobs.values())) if value == "0" else []
        else:
            raise BadObservation(f"there is no control '{key}'", nearest(key, [*keys, *knobs, "knobs", "plug"]))
    return _state(wiring, wanted), _setting(wiring, dict.fromkeys(zero))


def _keys(space: StateSpace) -> dict[str, str]:
    """Names a control may be called by -> its key in a state."""
    found: dict[str, str] = {}
    for switch in space.switches:
        for key in switch.keys:
            found[key.lower()] = key
    for switch in space.switches:
        for key in switch.keys:
            found.setdefault(key.partition(".")[0].lower(), key)
    return found


def _position(space: StateSpace, key: str, value: str) -> str:
    switch = next(d for d in space.switches if key in d.keys)
    column = switch.keys.index(key)
    known = {p[column].lower(): p[column] for p in switch.positions}
    known = {w.lower(): p[column] for w, p in zip(switch.words, switch.positions, strict=True)} | known
    if value not in known:
        raise BadObservation(f"'{key}' has no position '{value}'", nearest(value, known))
    return known[value]


def _state(wiring: FaultModel, wanted: Mapping[str, str]) -> int:
    plug = {k for d in wiring.space.switches if d.kind == "plug" for k in d.keys}
    first = {k: p for d in wiring.space.switches for k, p in zip(d.keys, d.positions[0], strict=True) if k not in plug}
    for i, state in enumerate(wiring.states):
        if all(state[k] == wanted.get(k, p) for k, p in first.items()):
            return i
    for i, state in enumerate(wiring.states):
        if all(state[k] == v for k, v in wanted.items()):
            return i
    raise BadObservation("these positions are not among the states that were worked out", "Name fewer controls")


def _setting(wiring: FaultModel, zero: Mapping[str, None]) -> int:
    names = [s.name for s in wiring.settings]
    if not zero:
        return names.index(REST)
    if len(zero) == 1:
        return names.index(next(iter(zero)))
    if ALL_ZERO in names and set(zero) == set(wiring.settings[names.index(ALL_ZERO)].knobs):
        return names.index(ALL_ZERO)
    raise BadObservation("readings are known with one knob at 0, or with all of them",
                         "Turn one knob to 0, or all (knobs=0)")


def _named(where: str, typed: str, wiring: FaultModel) -> tuple[Observation, ...]:
    """What is said of a part: a knob or switch that is moved, a pickup that is heard, metal against the sleeve."""
    what, parts = typed.lower(), wiring.build.parts
    part = parts.get(where) or next((p for p in parts.values() if p.says.lower() == where), None)
    if where == "jack" and part is None:
        part = jacks(wiring.build)[0]
    if part is not None and any(e.kind in SOUNDING for e in part.symbol.elements) and sounds_in(what):
        state = _alone(part.name, wiring)
        return tuple(Heard(state, 0, word) for word in sounds_in(what))
    if part is not None and what[:1].isdigit() and any(e.kind in SOUNDING for e in part.symbol.elements):
        return (Reading(_alone(part.name, wiring), _setting(wiring, {}), read_ohms(what)),)
    if part is not None and part in jacks(wiring.build) and (what[:1].isdigit() or what in METAL_WORDS):
        ohms = 0.0 if what in METAL_WORDS[:2] else read_ohms(what)
        return (Reading(_state(wiring, {}), _setting(wiring, {}), ohms),)
    moved = control_words_in(what)
    if moved and (part is None or not part.symbol.metal or part.symbol.controls):
        return tuple(_moved(where, part, word, wiring) for word in moved)
    if part is not None and not what[:1].isdigit() and what not in METAL_WORDS:
        known = dict.fromkeys(METAL_WORDS, "") if part.symbol.metal else {}
        known |= OF_A_SOUND if any(e.kind in SOUNDING for e in part.symbol.elements) else {}
        known |= OF_A_CONTROL if part.symbol.controls else {}
        raise BadObservation(f"'{what}' is no word known here for {where}", near(what, known or OF_A_SOUND))
    return (_metal(part.name if part is not None else where, what, wiring),)


def _moved(where: str, part: Part | None, word: str, wiring: FaultModel) -> Observation:
    """What moving a control does."""
    settings = {s.name: i for i, s in enumerate(wiring.settings)}
    names = {k.partition(".")[0]: i for k, i in reversed(settings.items()) if k not in (REST, ALL_ZERO)}
    names |= {k: i for k, i in settings.items() if k not in (REST, ALL_ZERO)}
    knob = names.get(where, names.get(part.name) if part is not None else None)
    if word in (STUCK, WORKS) and knob is not None:
        return Knob(knob, word)
    name = where.partition(".")[0] if part is None else part.name
    if name not in wiring.build.parts:
        raise BadObservation(f"there is no knob '{where}'", nearest(where, [*names, *wiring.build.parts]))
    if word == WORKS:
        raise BadObservation(f"'{where}' is no knob, so '{word}' says nothing of a fault",
                             "Say what a position sounds like")
    return Worn(name, word)


def _alone(pickup: str, wiring: FaultModel) -> int:
    """The first state in which a pickup sounds with the fewest others beside it; the first state where none does."""
    found: list[tuple[int, int]] = []
    here, states = template_of(wiring.build), wiring.space
    for i, state in enumerate(wiring.states):
        numbers = [next(n for n, p in enumerate(d.positions) if p == tuple(state[k] for k in d.keys))
                   for d in states.switches]
        classes = classes_of(here, states.switches, numbers)
        sources = netlist_of(here, classes, "mono", supply(here, classes).powered).sources
        if any(name.partition(".")[0] == pickup for name in sources):
            found.append((len(sources), i))
    return min(found, key=lambda one: (one[0], one[1]))[1] if found else 0


def _metal(where: str, what: str, wiring: FaultModel) -> Observation:
    """A piece of metal against the sleeve."""
    parts = wiring.build.parts
    metals = [metal_node(p.name, x.name) for p in parts.values() for x in p.symbol.metal]
    metals = [m for m in metals if m in wiring.at]
    own = [i for i, m in enumerate(metals) if m.startswith(f"metal of {where}:")]
    if not own:
        keys = [*_keys(wiring.space), *parts]
        if where in parts:
            raise BadObservation(f"{where} has no metal that is metered against the sleeve",
                                 f"A reading at the plug is written {where_words(wiring)}: {what}")
        raise BadObservation(f"'{where}' is no position, knob, pickup or part", nearest(where, keys))
    if what not in METAL_WORDS and GROUNDED <= read_ohms(what, ("open", "joined")) < NOT_JOINED:
        raise BadObservation(f"'{what}' between {where} and the sleeve is neither joined nor open",
                             f"Up to {GROUNDED:g} ohm is joined, from 100k on open; a reading at the plug is written "
                             f"{where_words(wiring)}: {what}")
    return Ground(own[0], _joined(what))


def _joined(what: str) -> bool:
    return what in METAL_WORDS[:2] or (what not in OPEN_WORDS and read_ohms(what, ("open", "joined")) < GROUNDED)


def _between(where: str, what: str, wiring: FaultModel) -> Between:
    one, _, other = (x.strip() for x in where.partition(" to "))
    lugs = [p for p in wiring.points if not p.startswith(("metal of", "plate of", "braid of"))]
    for lug in (one, other):
        if lug not in lugs:
            raise BadObservation(f"there is no lug '{lug}'", nearest(lug, lugs))
    return Between(one, other, _joined(what))


def observation_text(observation: Observation, wiring: FaultModel) -> str:
    """Write an observation as the technician would say it."""
    if isinstance(observation, Reading):
        ohms = "open" if math.isinf(observation.ohms) else quantity(observation.ohms, RESISTANCE)
        return f"{state_words(wiring, observation.state, observation.setting)}: plug reads {ohms}"
    if isinstance(observation, Heard):
        return f"{state_words(wiring, observation.state, observation.setting)}: {observation.word}"
    if isinstance(observation, Knob):
        return f"{wiring.settings[observation.setting].name.partition('.')[0]}: {observation.word}"
    if isinstance(observation, Worn):
        word = "dead" if observation.word == STUCK else observation.word
        return f"{wiring.build.parts[observation.part].says}: {word}"
    if isinstance(observation, Ground):
        return f"{metals_of(wiring)[observation.metal]} to sleeve: {'joined' if observation.joined else 'open'}"
    return f"{observation.one} to {observation.other}: {'joined' if observation.joined else 'open'}"


def metals_of(wiring: FaultModel) -> tuple[str, ...]:
    """Every piece of metal in words, in the order of ``FaultRun.metals``."""
    return tuple(f"{x.name} of {p.says}" for p in wiring.build.parts.values() for x in p.symbol.metal
                 if metal_node(p.name, x.name) in wiring.at)


def state_words(wiring: FaultModel, state: int, setting: int) -> str:
    """A state and where the knobs stand."""
    said = words(wiring.states[state], wiring.space)
    name = wiring.settings[setting].name
    knob = {REST: "", ALL_ZERO: "all knobs at 0"}.get(name, f"{name.partition('.')[0]} at 0")
    said = "" if said == ONLY else said
    return ", ".join(x for x in (said, knob) if x) or "knobs at 10"


def answered(text: str, like: Observation) -> Observation:
    """A typed answer to the question that ``like`` is one answer of. Raises ``BadObservation``."""
    what = " ".join(text.lower().split())
    if isinstance(like, Reading):
        return Reading(like.state, like.setting, read_ohms(" ".join(text.split()), ("open",)))
    if isinstance(like, Heard):
        return Heard(like.state, like.setting, _one_of(what, OF_A_SOUND))
    if isinstance(like, Knob):
        return Knob(like.setting, _one_of(what, {w: m for w, m in OF_A_CONTROL.items() if m in (STUCK, WORKS)}))
    if isinstance(like, Worn):
        return Worn(like.part, _one_of(what, OF_A_CONTROL))
    joined = _joined(what)
    return Ground(like.metal, joined) if isinstance(like, Ground) else Between(like.one, like.other, joined)


def _one_of(what: str, known: Mapping[str, str]) -> str:
    if what not in known:
        words_ = ", ".join(dict.fromkeys(known.values()))
        raise BadObservation(f"'{what}' is no word known here", f"One of: {words_}. {near(what, known)}")
    return known[what]


def observations_in(results: Results, wiring: FaultModel) -> Iterator[Observation]:
    """What a results file says of the plug and the strings.

    Raises: BadObservation - a position of it does not exist.
    """
    for one in results.plug:
        where = ", ".join(f"{key}={given.value}".lower() for key, given in one.when.items())
        for given, knobs in ((one.ten, ""), (one.zero, "knobs=0")):
            if given is not None and (knobs == "" or len(wiring.settings) > 1):
                state, setting = _where(", ".join(x for x in (where, knobs) if x), wiring)
                yield Reading(state, setting, math.inf if given.value >= OPEN_OHM else float(given.value))
        for word in sounds_in(one.heard):
            yield Heard(*_where(where, wiring), word)
    strings = next((p.name for p in wiring.build.parts.values() if p.symbol.name == "bridge-ground"), "")
    if results.strings is not None and strings:
        yield read_observation(f"{strings}: {'joined' if results.strings.value < GROUNDED else 'open'}", wiring)
