"""What a player finds out by turning knobs and switches: every position solved, at named settings of the knobs.

States lead to rows, rows hold an outcome and the lit path for each setting; equal ones are held once. Nothing is
left to be worked out by whoever shows it.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagramgen.circuit.check_wanted import chosen_states, words
from diagramgen.circuit.coil_words import NO_PLUG, called, heard_words
from diagramgen.circuit.hum_words import NOT_KNOWN, hum_words
from diagramgen.circuit.outputs import Output, outputs
from diagramgen.circuit.signal_path import ActivePath, active_path
from diagramgen.circuit.sounds import GRID
from diagramgen.circuit.state_table import UNPLUGGED, AtOutput, StateResult, StateTable, response_of, state_table
from diagramgen.circuit.states import Switch
from diagramgen.circuit.values import knobs_of
from diagramgen.job.output_words import output_words
from diagramgen.job.sound_words import NO_TEST, battery_words, peak_words, phase_words, reading_words
from diagramgen.model.build import Build, Lead

TURNS, CENTRED = (10.0, 7.0, 4.0, 0.0), (10.0, 7.0, 5.0, 3.0, 0.0)
"""Where a knob is solved; the second for knobs with a detent in the middle."""
MOST_NETWORKS, MOST_STATES = 64, 400
"""With more different networks, or more positions, only chosen positions are shown."""
MOST_SOLVED = 2_000
"""Positions times settings up to which knobs are turned together; beyond, one at a time."""
FREQUENCIES = GRID[::5]
FLOOR_DB = -120.0


@dataclass(frozen=True)
class Choice:
    """A control and what it may be set to."""

    keys: tuple[str, ...]
    """As a state or the knobs name it."""
    part: str
    says: str
    kind: str
    """switch | momentary | plug | knob."""
    words: tuple[str, ...]
    rest: int
    turns: tuple[float, ...] = ()
    """Of a knob."""
    digit: Switch | None = None
    """Of a switch: what each position closes."""


@dataclass(frozen=True)
class Other:
    """What another output than the main one gives."""

    at: str
    """Its name."""
    says: str
    phase: str
    hum: str
    reads: str
    peak: str

    @property
    def sentence(self) -> str:
        """All of it in one line."""
        phase = f"phase {self.phase}" if self.phase == NOT_KNOWN else self.phase
        told = [self.says, phase, _hum(self.hum), _meter(self.reads),
                f"resonance {self.peak}" if self.peak else ""]
        return f"{self.at}: " + "; ".join(t for t in told if t)


@dataclass(frozen=True)
class Outcome:
    """What is heard and metered at the main output, and at the others."""

    network: str
    says: str
    """What sounds, in a player's words."""
    coils: tuple[tuple[str, str], ...]
    """Winding that sounds -> ``sounds`` or ``weak``."""
    phase: str
    hum: str
    reads: str
    why: str
    """Why no ohm test is of use."""
    peak: str
    battery: str
    others: tuple[Other, ...]
    curve: tuple[int, ...]
    """Tenths of a dB at ``FREQUENCIES``, at the main output or the first other that is heard; empty in silence."""

    @property
    def meter(self) -> str:
        """The reading as a sentence has it."""
        return _meter(self.reads)

    @property
    def elsewhere(self) -> str:
        """What the other outputs give."""
        return ". ".join(one.sentence[:1].upper() + one.sentence[1:] for one in self.others)

    @property
    def sentence(self) -> str:
        """All of it, for a reader who hears it."""
        told = [self.says, f"phase {self.phase}" if self.phase == NOT_KNOWN else self.phase,
                _hum(self.hum), self.meter, self.why,
                f"Resonance {self.peak}" if self.peak else "", f"Battery {self.battery}" if self.battery else "",
                self.elsewhere]
        return ". ".join(t[:1].upper() + t[1:] for t in told if t) + "."


@dataclass(frozen=True)
class Light:
    """What is lit."""

    leads: tuple[str, ...]
    carrying: tuple[str, ...]
    """Closed contacts that carry the signal, as ``lug|lug``."""
    idle: tuple[str, ...]
    """Closed contacts that carry none."""


@dataclass(frozen=True)
class Played:
    """Every position at every setting."""

    controls: tuple[Choice, ...]
    """Slowest first: the numbers of their positions are the digits of a state."""
    knobs: tuple[Choice, ...]
    settings: tuple[tuple[int, ...], ...]
    """Where each knob stands, by number; at rest comes first."""
    alone: bool
    """Whether knobs are solved one at a time, the others at rest."""
    chosen: bool
    """Whether only some positions are here: those ``titles`` names."""
    titles: tuple[str, ...]
    """Each position in words."""
    numbers: tuple[tuple[int, ...], ...]
    """Each position by its digits."""
    of_state: tuple[int, ...]
    """Position -> row."""
    rows: tuple[tuple[tuple[int, int], ...], ...]
    """For each setting, the number of an outcome and of a light."""
    outcomes: tuple[Outcome, ...]
    lights: tuple[Light, ...]
    states: int
    """All there are."""
    networks: int


def played(
    build: Build, found: StateTable, leads: Sequence[Lead], asked: Sequence[Mapping[str, str]] = ()
) -> Played:
    """Solve what the page shows: ``asked`` positions, or all, or (where there are too many) chosen ones.

    ``leads``: all that are drawn, legs of components among them.
    """
    knobs = knob_choices(build)
    held = {} if asked or found.several else _mono(found)
    whole = state_table(build, select=held) if held else found
    few = bool(asked) or whole.networks > MOST_NETWORKS or whole.count > MOST_STATES
    indices = chosen_states(whole, asked) if few else tuple(range(whole.count))
    states = [whole.space.state(i) for i in indices]
    settings = tuple(_settings(knobs, len(states)))
    together = len(settings) == _product(knobs)
    at: dict[tuple[tuple[int, int], ...], int] = {}
    outcomes: dict[Outcome, int] = {}
    lights: dict[Light, int] = {}
    columns = []
    for setting in settings:
        turned = turns_of(knobs, setting)
        results = _results(build, states, turned, held, few)
        columns.append(_column(build, leads, states, results, turned, outcomes, lights))
    of_state = tuple(at.setdefault(row, len(at)) for row in zip(*columns, strict=True))
    return Played(_controls(whole), knobs, settings, not together, few,
                  tuple(words(s, whole.space) for s in states), tuple(_moving(whole, i) for i in indices),
                  of_state, tuple(at), tuple(outcomes), tuple(lights), whole.count, whole.networks)


def _mono(found: StateTable) -> dict[str, str]:
    return {key: "mono" for d in found.space.switches if d.kind == "plug" for i, key in enumerate(d.keys)
            if any(p[i] == "mono" for p in d.positions)}


def _controls(whole: StateTable) -> tuple[Choice, ...]:
    return tuple(_choice(whole.build, d) for d in whole.space.switches if len(d.positions) > 1)


def _moving(whole: StateTable, index: int) -> tuple[int, ...]:
    """The digits of a state that may stand in more than one position."""
    return tuple(at for d, at in zip(whole.space.switches, whole.space.numbers(index), strict=True)
                 if len(d.positions) > 1)


def _choice(build: Build, digit: Switch) -> Choice:
    names = [_called(build, key) for key in digit.keys]
    return Choice(digit.keys, digit.keys[0].partition(".")[0], " and ".join(dict.fromkeys(names)), digit.kind,
                  digit.words, 0, digit=digit)


def _called(build: Build, key: str) -> str:
    """A control as the player calls it: its part, and what of the part where that has more than one control."""
    name, _, control = key.partition(".")
    part = build.parts[name]
    says = called(part)
    switches = [table.control for table in part.symbol.contacts]
    others = [c for c in part.symbol.controls if c.kind in ("knob", "switch", "plug")]
    if len(others) < 2 or (not control and part.symbol.modes):
        return says
    return f"{says} {control or switches[0]}".replace("-", " ") if control or switches else says


def knob_choices(build: Build) -> tuple[Choice, ...]:
    """The knobs a player turns; those that move as one are one."""
    rests = {key: rest for key, rest in knobs_of(build).items() if _is_knob(build, key)}
    groups = {key: tuple(k for k in group if k in rests) for group in build.together for key in group}
    found: dict[tuple[str, ...], Choice] = {}
    for key, rest in rests.items():
        keys = groups.get(key) or (key,)
        turns = TURNS if rest in TURNS else CENTRED
        part = key.partition(".")[0]
        says = " and ".join(dict.fromkeys(_knob_called(build, k) for k in keys))
        found.setdefault(keys, Choice(keys, part, says, "knob", tuple(f"{t:g}" for t in turns), turns.index(rest),
                                      turns))
    return tuple(found.values())


def _is_knob(build: Build, key: str) -> bool:
    part, _, control = key.partition(".")
    known = build.parts[part].symbol.control(control)
    return known is not None and known.kind == "knob"


def _knob_called(build: Build, key: str) -> str:
    name, _, control = key.partition(".")
    part = build.parts[name]
    knobs = [c for c in part.symbol.controls if c.kind == "knob"]
    says = called(part)
    return says if len(knobs) < 2 else f"{says} {control}".replace("-", " ")


def _product(knobs: Sequence[Choice]) -> int:
    total = 1
    for knob in knobs:
        total *= len(knob.turns)
    return total


def _settings(knobs: Sequence[Choice], states: int) -> Iterator[tuple[int, ...]]:
    """Every setting, at rest first: all together where that is not too much, else one knob at a time."""
    rest = tuple(knob.rest for knob in knobs)
    yield rest
    if _product(knobs) * states <= MOST_SOLVED:
        for setting in itertools.product(*(range(len(knob.turns)) for knob in knobs)):
            if setting != rest:
                yield setting
        return
    for i, knob in enumerate(knobs):
        for at in range(len(knob.turns)):
            if at != knob.rest:
                yield (*rest[:i], at, *rest[i + 1:])


def turns_of(knobs: Sequence[Choice], setting: Sequence[int]) -> dict[str, float]:
    """Translate a setting for the solver.

    Parameters: setting - for each knob the number of its position among ``turns``.
    Returns: the knob's name in the build -> 0 to 10.
    """
    return {key: knob.turns[at] for knob, at in zip(knobs, setting, strict=True) for key in knob.keys}


def _results(
    build: Build, states: Sequence[Mapping[str, str]], turned: Mapping[str, float], held: Mapping[str, str], few: bool
) -> list[tuple[object, StateResult]]:
    """The result of each state and what it is known by among them."""
    if few:
        return [(i, state_table(build, turned, state).result(0)) for i, state in enumerate(states)]
    whole = state_table(build, turned, held)
    return [(int(whole.of_state[i]), whole.result(i)) for i in range(len(states))]


def _column(
    build: Build, leads: Sequence[Lead], states: Sequence[Mapping[str, str]],
    results: Sequence[tuple[object, StateResult]], turned: Mapping[str, float],
    outcomes: dict[Outcome, int], lights: dict[Light, int],
) -> list[tuple[int, int]]:
    """Outcome and light of every state at one setting."""
    known: dict[object, int] = {}
    column = []
    for state, (key, result) in zip(states, results, strict=True):
        if key not in known:
            made = outcome(build, state, result, turned)
            known[key] = outcomes.setdefault(made, len(outcomes))
        lit = light(build, leads, state, result, turned)
        column.append((known[key], lights.setdefault(lit, len(lights))))
    return column


def outcome(build: Build, state: Mapping[str, str], result: StateResult, turned: Mapping[str, float]) -> Outcome:
    """What one state gives, in words and as a curve."""
    every = outputs(build)
    main, sound = every[0], result.sound
    says = heard_words(result.at(main), build) if result.at(main) in result.heard else NO_PLUG
    if len(every) > 1:
        says = f"{output_words(build, main, every)}: {says}"
    sounding = next((one.output for one in result.heard if not one.sound.silent), None)
    return Outcome(
        sound.network, says, _lit(result), phase_words(sound), hum_words(sound),
        reading_words(result.reading), result.reading.why if result.reading != UNPLUGGED else "", peak_words(sound),
        battery_words(result), tuple(_other(build, one, every) for one in result.heard if one.output != main),
        () if sounding is None else _curve(build, state, turned, sounding),
    )


def _other(build: Build, one: AtOutput, every: Sequence[Output]) -> Other:
    sound = one.sound
    return Other(output_words(build, one.output, every), heard_words(one, build), phase_words(sound),
                 hum_words(sound), reading_words(one.reading), peak_words(sound))


def _lit(result: StateResult) -> tuple[tuple[str, str], ...]:
    """Each winding that is heard at some output, with its loudest section."""
    found: dict[str, str] = {}
    for h in (h for one in result.heard for h in one.sound.sounding):
        if found.get(h.called) != "sounds":
            found[h.called] = "weak" if h.weak else "sounds"
    return tuple(found.items())


def _hum(words: str) -> str:
    """What is left of the hum as a sentence has it."""
    return words if not words or "hum" in words else f"hum {words}"


def _meter(reads: str) -> str:
    """A reading as a sentence has it."""
    return reads if reads == NO_TEST else f"plug reads {reads}"


def _curve(build: Build, state: Mapping[str, str], turned: Mapping[str, float], output: Output) -> tuple[int, ...]:
    """Power sum of all coils, 1 V of EMF in each."""
    _, response = response_of(build, state, turned, FREQUENCIES, output)
    power = (np.abs(response.transfers) ** 2).sum(axis=1)
    levels = 100 * np.log10(np.maximum(power, 10 ** (FLOOR_DB / 10)))
    return tuple(round(float(level)) for level in levels)


def light(
    build: Build, leads: Sequence[Lead], state: Mapping[str, str], result: StateResult, turned: Mapping[str, float]
) -> Light:
    """What carries the signal of one state; nothing where it is silent."""
    live = active_path(build, state, turned, result.coils)
    if result.silent:
        live = ActivePath(frozenset(), (), (*live.contacts, *live.idle))
    lit = tuple(lead.tag for lead in leads if frozenset((str(lead.start), str(lead.end))) in live.joins)
    return Light(lit, *(tuple(dict.fromkeys(contact(a, b) for a, b in pairs))
                          for pairs in (live.contacts, live.idle)))


def contact(a: str, b: str) -> str:
    """One name for a contact between two lugs."""
    return "|".join(sorted((a, b)))
