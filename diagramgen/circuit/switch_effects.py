"""What the positions of one switch change, from all states: coils, level, curve, a treble bleed, or nothing.

A pull that takes a bleed away changes nothing with the knobs at 10: so states that sound the same there are held
against each other with each knob turned as well.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from diagramgen.circuit.bleeds import bleeds
from diagramgen.circuit.coil_words import OPEN_CONTACT, SILENT, called, capital, sound_words
from diagramgen.circuit.one_output import heard_at
from diagramgen.circuit.sounds import BAND_TOP, GRID
from diagramgen.circuit.state_table import StateTable, response_of
from diagramgen.circuit.state_table import state_table as solved
from diagramgen.circuit.states import Switch
from diagramgen.circuit.values import knobs_of
from diagramgen.model.build import Build

Grid = NDArray[np.int32]
"""For every state, by the positions of its controls, the number of what it sounds like."""
TURNED, CENTRED = (5.0, 0.0), (0.0, 10.0)
"""Where a knob is solved beside its rest; the second for knobs that rest in the middle."""
MOST_SOLVED = 4000
"""States times turns of knobs up to which knobs are turned; beyond, nothing is said of them."""
MOST_TOLD = 3
BASS, MIDDLE, TREBLE = (80.0, 250.0), (500.0, 1500.0), (2500.0, 5000.0)
"""Hz: what is gained or lost in treble is said against bass, in the middle against both."""
LEAST_DB = 1.0
OCTAVES = (80.0, 160.0, 315.0, 630.0, 1250.0, 2500.0, 5000.0, 10000.0)
"""Hz: the edges of the octaves in which curves are compared, so that less in one and more in the next do not cancel."""
LEAST_OCTAVE_DB = 2.0
"""From how far an octave lies off the change of level it is told by itself."""
HARDLY = "hardly another sound"


@dataclass(frozen=True)
class Change:
    """What one position gives against another of the same control, the others alike."""

    at: int
    against: int
    says: str
    coils: bool = False
    """Other coils, or joined otherwise; ``says`` is what sounds then."""
    before: str = ""
    """What sounds in the position it is held against."""
    knob: str = ""
    """The knob that brings it out, '' for one that is there with the knobs at rest."""
    turn: float = 0.0
    bleed: str = ""
    """on | off: a treble bleed over that knob is in this position alone, or in the other alone."""


@dataclass(frozen=True)
class Effect:
    """All that a control changes. ``examined``: all states, with each knob turned too."""

    switch: Switch
    changes: tuple[Change, ...]
    silent: tuple[int, ...]
    """Positions that are silent wherever the other controls stand."""
    hanging: tuple[int, ...]
    """Those of them in which the contact hangs open somewhere, which a cable turns into buzz."""
    examined: bool
    powers: bool
    """It switches a battery."""

    @property
    def same_coils(self) -> bool:
        """Whether all positions sound the same coils, joined in the same way."""
        return not self.silent and not any(c.coils and not c.knob for c in self.changes)


@dataclass(frozen=True)
class Effects:
    """What the controls change with the knobs at rest; state tables with knobs turned are solved once."""

    chart: StateTable
    rest: tuple[int, ...] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "rest", rest_of(self.chart))

    @cached_property
    def grid(self) -> Grid:
        """What each state sounds like with the knobs at rest."""
        return grid(self.chart)

    @cached_property
    def turned(self) -> tuple[tuple[str, float, StateTable], ...]:
        """The state table with each knob turned alone; none where that is too much."""
        knobs = knobs_of(self.chart.build)
        ways = [(k, turn) for k, rest in knobs.items() for turn in (CENTRED if rest == 5.0 else TURNED)]
        if len(ways) * self.chart.count > MOST_SOLVED:
            return ()
        return tuple((k, turn, self._as_here(solved(self.chart.build, {**self.chart.knobs, k: turn})))
                     for k, turn in ways)

    def _as_here(self, other: StateTable) -> StateTable:
        """A state table of the whole build as heard at the output of this one."""
        return other if other.outputs == self.chart.outputs else heard_at(other, self.chart.outputs[0])

    def of(self, i: int) -> Effect:
        """What control ``i`` changes."""
        switch = self.chart.space.switches[i]
        plain = self._still(self.grid, i)
        changes = [*self._at_rest(i, plain), *self._with_knobs(i, plain)]
        silent = tuple(k for k in range(len(switch.positions)) if all(self._silent(n) for n in np.unique(plain[k])))
        if len(silent) == len(switch.positions):
            silent = ()
        hanging = tuple(k for k in silent if any(self._hangs(n) for n in np.unique(plain[k])))
        currents = np.array([r.current for r in self.chart.results])[self.chart.of_state].reshape(self.grid.shape)
        powers = bool(np.ptp(currents, axis=i).max() > 0)
        examined = bool(self.turned) or not knobs_of(self.chart.build)
        return Effect(switch, tuple(changes), silent, hanging, examined, powers)

    def _still(self, whole: Grid, i: int) -> Grid:
        """The states of a grid with a mono plug in and no other button held, the positions of a control first."""
        cut = tuple(slice(None) if d.kind == "switch" or j == i else slice(self.rest[j], self.rest[j] + 1)
                    for j, d in enumerate(self.chart.space.switches))
        return np.moveaxis(whole[cut], i, 0)

    def _silent(self, number: int) -> bool:
        return self.chart.results[int(number)].sound.silent

    def _hangs(self, number: int) -> bool:
        return self.chart.results[int(number)].at(self.chart.outputs[0]).floating

    def _at_rest(self, i: int, plain: Grid) -> Iterator[Change]:
        """Each difference once; where the words are the same, how level and curve differ."""
        for k in range(1, len(plain)):
            pairs = np.stack([plain[0].ravel(), plain[k].ravel()], axis=1)
            _, firsts = np.unique(pairs, axis=0, return_index=True)
            for first in sorted(int(f) for f in firsts):
                if pairs[first][0] != pairs[first][1]:
                    where = tuple(int(n) for n in np.unravel_index(first, plain[0].shape))
                    yield self._change(i, k, 0, self._numbers(i, where), self.chart)

    def _with_knobs(self, i: int, plain: Grid) -> Iterator[Change]:
        """What only a turned knob brings out, for each position and knob once: at the turn where it is plain."""
        told: dict[tuple[int, str], Change] = {}
        for knob, turn, other in self.turned:
            turned = self._still(grid(other), i)
            for j, k in itertools.combinations(range(len(plain)), 2):
                known = told.get((k, knob))
                if known is not None and known.says != HARDLY:
                    continue
                found = np.argwhere((plain[j] == plain[k]) & (turned[j] != turned[k]))
                if len(found):
                    where = tuple(int(n) for n in found[0])
                    told[k, knob] = self._change(i, k, j, self._numbers(i, where), other, knob, turn)
        yield from told.values()

    def _numbers(self, i: int, where: Sequence[int]) -> tuple[int, ...]:
        """A state by its switches from a place in what ``_still`` gives; control ``i`` stands anywhere."""
        others = iter(where)
        found = []
        for j, switch in enumerate(self.chart.space.switches):
            at = 0 if j == i else int(next(others))
            found.append(at if switch.kind == "switch" or j == i else self.rest[j])
        return tuple(found)

    def _change(self, i: int, k: int, j: int, numbers: tuple[int, ...], chart: StateTable, knob: str = "",
                turn: float = 0.0) -> Change:
        one, other = ((*numbers[:i], at, *numbers[i + 1:]) for at in (j, k))
        before, after = (chart.result(index_of(chart, n)).sound for n in (one, other))
        words, given = (sound_words(s, chart.build, False) for s in (before, after))
        bleed = _bleed(chart, one, other, knob)
        if words != given:
            return Change(k, j, given, True, words, knob, turn, bleed)
        return Change(k, j, difference(chart, one, other), False, words, knob, turn, bleed)


def rest_of(chart: StateTable) -> tuple[int, ...]:
    """Every control at its first position, a mono plug in."""
    return tuple(next((k for k, p in enumerate(d.positions) if p[0] == "mono"), 0) if d.kind == "plug" else 0
                 for d in chart.space.switches)


def grid(chart: StateTable) -> Grid:
    """What each state sounds like, by the positions of its controls."""
    like = np.array([r.like for r in chart.results], dtype=np.int32)
    return like[chart.of_state].reshape([len(d.positions) for d in chart.space.switches])


def index_of(chart: StateTable, numbers: Sequence[int]) -> int:
    """The number of a state given by its switches."""
    index = 0
    for switch, at in zip(chart.space.switches, numbers, strict=True):
        index = index * len(switch.positions) + at
    return index


def difference(chart: StateTable, one: Sequence[int], other: Sequence[int]) -> str:
    """How the second of two states, of the same coils joined in the same way, sounds against the first."""
    before, after = (chart.result(index_of(chart, n)).sound for n in (one, other))
    ways = {h.coil: h.way for h in before.sounding if not h.weak}
    curves = [_curve(chart, numbers) for numbers in (one, other)]
    bass, middle, treble = (float((curves[1] - curves[0])[(low <= GRID) & (high >= GRID)].mean())
                            for low, high in (BASS, MIDDLE, TREBLE))
    before_db, after_db = (10 * np.log10((10 ** (curve[GRID <= BAND_TOP] / 10)).mean()) for curve in curves)
    said = [f"{abs(gain):.0f} dB {more if gain > 0 else less}" for gain, more, less in (
        (float(after_db - before_db), "louder", "quieter"),
        (treble - bass, "more treble against bass", "less treble against bass"),
        (middle - (bass + treble) / 2, "more middle", "less middle")) if abs(gain) >= LEAST_DB]
    if abs(treble - bass) < LEAST_DB and abs(middle - (bass + treble) / 2) < LEAST_DB:
        said.extend(_octaves(curves[1] - curves[0], float(after_db - before_db)))
    figures = [f"about {', '.join(said)}"] if said else []
    turned = len({ways[h.coil] * h.way for h in after.sounding if h.coil in ways and not h.weak}) > 1
    return "; ".join([*(["one turned round against the other"] if turned else []), *figures]) or HARDLY


def _octaves(gains: NDArray[np.float64], level: float) -> Iterator[str]:
    """The octaves a change over ``GRID``, in dB, raises or lowers otherwise than the level; neighbours as one."""
    means = [float(gains[(low <= GRID) & (high >= GRID)].mean()) for low, high in itertools.pairwise(OCTAVES)]
    off = [0 if abs(m - level) < LEAST_OCTAVE_DB or abs(m) < LEAST_DB else 1 if m > 0 else -1 for m in means]
    for way, run in itertools.groupby(range(len(off)), key=off.__getitem__):
        if not way:
            continue
        found = list(run)
        low, high = OCTAVES[found[0]], OCTAVES[found[-1] + 1]
        most = max(abs(means[n]) for n in found)
        where = (f"above {_hertz(low)}" if high == OCTAVES[-1] else f"below {_hertz(high)}" if low == OCTAVES[0]
                 else f"from {_hertz(low)} to {_hertz(high)}")
        yield f"{'up to ' if len(found) > 1 else ''}{most:.0f} dB {'more' if way > 0 else 'less'} {where}"


def _hertz(value: float) -> str:
    return f"{value / 1000:g} kHz" if value >= 1000 else f"{value:g} Hz"


def _curve(chart: StateTable, numbers: Sequence[int]) -> NDArray[np.float64]:
    """Power sum of all coils over ``GRID``, dB."""
    _, response = response_of(chart.build, chart.space.state(index_of(chart, numbers)), chart.knobs, GRID,
                              chart.outputs[0])
    power = (np.abs(response.transfers) ** 2).sum(axis=1)
    return np.asarray(10 * np.log10(np.maximum(power, 1e-12)), dtype=np.float64)


def _bleed(chart: StateTable, one: Sequence[int], other: Sequence[int], knob: str) -> str:
    """Whether a treble bleed over a knob is in the second state alone (on) or in the first alone (off)."""
    if not knob:
        return ""
    there = [any(b.knob == knob for b in bleeds(chart.build, chart.space.state(index_of(chart, n))))
             for n in (one, other)]
    return "" if there[0] == there[1] else "on" if there[1] else "off"


def effect_words(effect: Effect, build: Build, coils: bool = True, measured: bool = True) -> str:
    """What a control changes, in short sentences; '' where there is nothing to say for sure.

    ``coils``: say other coils too (a picture may show them already). ``measured``: say how much.
    """
    told = list(_told(effect, build, coils, measured))
    if effect.same_coils and told:
        told.append("Same coils.")
    if not effect.changes and not effect.silent:
        if effect.powers or not effect.examined:
            return ""
        words = " or ".join(_word(effect.switch, k) for k in range(len(effect.switch.positions)))
        with_knobs = ", each knob at 10, 5 and 0" if measured and knobs_of(build) else ""
        return f"{capital(words)}: no difference in sound{with_knobs}."
    return " ".join(told)


def _told(effect: Effect, build: Build, coils: bool, measured: bool) -> Iterator[str]:
    switch = effect.switch
    for k in effect.silent:
        yield f"{capital(_word(switch, k))}: {OPEN_CONTACT if k in effect.hanging else SILENT}."
    plain = [c for c in effect.changes if not c.knob and c.at not in effect.silent and (coils or not c.coils)]
    yield from _plainly(switch, plain)
    for change in (c for c in effect.changes if c.knob):
        at, against = _word(switch, change.at), _word(switch, change.against)
        where = f"with {knob_called(build, change.knob)} at {change.turn:g}"
        more = f"{change.says} instead of {change.before}" if change.coils else change.says
        if change.bleed:
            on, off = (against, at) if change.bleed == "off" else (at, against)
            much = f"; {where}: {more}" if measured else ""
            yield (f"{capital(on)}: treble bleed on{much if change.bleed == 'on' else ''}. "
                   f"{capital(off)}: off{much if change.bleed == 'off' else ''}.")
        else:
            yield f"{capital(at)}, {where}: {more}{_than(switch, change)}."


def _plainly(switch: Switch, changes: Sequence[Change]) -> Iterator[str]:
    """The changes that are there with the knobs at rest, equal ones once."""
    for k in dict.fromkeys(c.at for c in changes):
        told = list(dict.fromkeys(f"{c.says} instead of {c.before}" if c.coils else f"{c.says}{_than(switch, c)}"
                                  for c in changes if c.at == k))
        more = [f"and {len(told) - MOST_TOLD} more"] if len(told) > MOST_TOLD else []
        yield f"{capital(_word(switch, k))}: {'; '.join([*told[:MOST_TOLD], *more])}."


def _than(switch: Switch, change: Change) -> str:
    """What a position is held against, where that goes without saying only for two."""
    return f" than {_word(switch, change.against)}" if len(switch.positions) > 2 else ""


def _word(switch: Switch, k: int) -> str:
    """A position as people say it."""
    return switch.words[k].removeprefix("bat ").removeprefix("knob ").removeprefix("in the ")


def knob_called(build: Build, key: str) -> str:
    """A knob by its part, and by its own name where the part has several."""
    name, _, control = key.partition(".")
    part = build.parts[name]
    several = sum(c.kind == "knob" for c in part.symbol.controls) > 1
    return f"{called(part)} {control}".replace("-", " ") if several else called(part)
