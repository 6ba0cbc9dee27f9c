"""What turning a knob shows to be wrong: the wrong way, a law used backwards, nothing at all, muted neighbours.

Each knob is turned alone, all others at rest, in one state of every network. Knobs with a detent (blends) and
trimmers have no right way round: of them only what does nothing, or shorts the output, is said. Treble is the rms of
a coil's transfer from 2 to 8 kHz: it falls with volume and tone alike.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from diagramgen.build.model import Build, Part
from diagramgen.circuit.chart import Chart, Circuit, circuit_of
from diagramgen.circuit.network import Frame, Network, frame, network
from diagramgen.circuit.outputs import Output
from diagramgen.circuit.rules import touched
from diagramgen.circuit.solve import Response, sweep_many
from diagramgen.circuit.states import Space, classes_of
from diagramgen.circuit.supply import supply
from diagramgen.circuit.values import elements_of, knobs_of, law_of, lug_of
from diagramgen.circuit.wanted import words
from diagramgen.library.model import Element
from diagramgen.problems import Collector

GRID = 80.0 * (8_000.0 / 80.0) ** (np.arange(41) / 40)
"""Hz."""
TURNS = (0.0, 5.0, 10.0)
TREBLE = GRID >= 2_000.0
MOST = 100
"""Networks of a build that are looked at."""
NOTHING_DB = 0.1
"""A knob that changes every curve by less does nothing."""
CLEAR_DB, SLIGHT_DB = 3.0, 0.5
"""What a knob must change to have a sense, and what may go the other way."""
SILENT_DB = -60.0
"""A coil's treble against its EMF below which it is not heard."""
HALF_DB = 2.5
"""A volume that loses less than this on its first half turn down (linear tracks lose 6 dB) has its law backwards."""
TONE_SHARE = 0.025
"""A tone that loses less of all its treble on the first half has its law backwards: log tracks with usual parts lose
7 to 36 %, linear ones 2 to 7 %, reverse log ones at most 1.3 % (computed over the samples)."""
LOW_DB = 1.0
"""What a tone may change at 80 Hz."""


@dataclass(frozen=True)
class Turned:
    """What a knob at 0, 5 and 10 gives in one state: curves in dB (frequencies x coils) by turn."""

    state: int
    sources: tuple[str, ...]
    curves: Mapping[float, NDArray[np.float64]]
    output: Output
    """Where it is heard."""

    def treble(self, turn: float) -> NDArray[np.float64]:
        """Treble of each coil in dB."""
        band = 10 ** (self.curves[turn][TREBLE] / 10)
        return np.asarray(np.maximum(10 * np.log10(band.mean(axis=0)), -200.0), dtype=np.float64)


def check_knobs(found: Chart, say: Collector) -> None:
    """Every knob of a build, turned alone."""
    build = found.build
    states = [(r.first, output) for r in found.results for output in found.outputs
              if found.space.plays(r.first, output)][:MOST]
    for knob, gangs in _knobs(build).items():
        turned = list(_turned(found, knob, states))
        if not any(t.treble(turn).max() > SILENT_DB for t in turned if t.sources for turn in (0.0, 10.0)):
            continue
        if _idle(turned):
            # What trims another knob is only heard when that one is turned down.
            if _idle(list(_turned(found, knob, states, dict.fromkeys(knobs_of(build), 5.0)))):
                _say_idle(build, knob, gangs, say)
        elif _has_a_way(gangs) and not _wrong_way(found, knob, gangs, turned, say):
            _law(found, knob, gangs, turned, say)
            _mutes_others(found, knob, gangs[0][0], turned, say)
        _shorts(build, knob, gangs, say)


def _knobs(build: Build) -> dict[str, list[tuple[Part, Element]]]:
    """Knobs and trimmers with their gangs."""
    found: dict[str, list[tuple[Part, Element]]] = {}
    for part, element in elements_of(build, "track"):
        if element.by:
            found.setdefault(f"{part.name}.{element.by}", []).append((part, element))
    return {knob: found[knob] for knob in knobs_of(build) if knob in found}


def _has_a_way(gangs: Sequence[tuple[Part, Element]]) -> bool:
    """Whether 10 should be louder or brighter than 0: not so for trimmers and for knobs with a detent."""
    control = gangs[0][0].symbol.control(gangs[0][1].by)
    return control is not None and control.kind == "knob" and not control.detent


def _turned(
    found: Chart, knob: str, states: Sequence[tuple[int, Output]], others: Mapping[str, float] | None = None
) -> Iterator[Turned]:
    """A knob at 0, 5 and 10 in every state and at its output; the others as said, else at rest."""
    frames = [frame(found.build, {**(others or {}), knob: turn}) for turn in TURNS]
    return iter(_curves_of(tuple(circuit_of(here, found.space) for here in frames), tuple(states)))


@lru_cache(maxsize=32)
def _curves_of(circuits: Sequence[Circuit], states: Sequence[tuple[int, Output]]) -> tuple[Turned, ...]:
    """The circuits of ``TURNS`` in every state; kept for the next drawing of a build."""
    nets = [_net(circuit.frame, Space(circuit.digits), *at) for at in states for circuit in circuits]
    answers = iter(sweep_many(nets, GRID))
    found = []
    for state, output in states:
        three = [next(answers) for _ in TURNS]
        sources = tuple(dict.fromkeys(name for r in three for name in r.sources))
        found.append(Turned(state, sources, {t: _curves(r, sources) for t, r in zip(TURNS, three, strict=True)},
                            output))
    return tuple(found)


def _net(here: Frame, states: Space, state: int, output: Output) -> Network:
    classes = classes_of(here, states.digits, states.numbers(state))
    return network(here, classes, states.plugs(state), supply(here, classes).powered, output=output)


def _curves(response: Response, sources: Sequence[str]) -> NDArray[np.float64]:
    """dB of each source; one the network does not hold is silent."""
    curves = np.full((len(GRID), len(sources)), -200.0)
    for i, name in enumerate(response.sources):
        size = np.abs(response.transfers[:, i])
        curves[:, sources.index(name)] = 20 * np.log10(np.maximum(size, 1e-10))
    curves.setflags(write=False)
    return curves


def _idle(turned: Sequence[Turned]) -> bool:
    """Whether a knob changes nothing that is heard in any state."""
    for t in turned:
        curves = np.stack([t.curves[turn] for turn in (0.0, 5.0, 10.0)])
        if not curves.size:
            continue
        loud = curves.max(axis=0)
        heard = loud > loud.max() - 60.0
        if (np.ptp(curves, axis=0)[heard] >= NOTHING_DB).any():
            return False
    return True


def _say_idle(build: Build, knob: str, gangs: Sequence[tuple[Part, Element]], say: Collector) -> None:
    """A knob whose track has at least two lugs wired does nothing; one that is not wired is said elsewhere."""
    used = touched(build)
    if not any(sum(lug_of(p, e, end) in used for end in e.ends) >= 2 for p, e in gangs):
        return
    say.warning("C245", gangs[0][0].place, f"turning {_word(knob)} changes nothing: under {NOTHING_DB} dB from 0 to 10",
                "Its branch leads nowhere: look for the capacitor, and for the other end at hot or ground.")


def _wrong_way(
    found: Chart, knob: str, gangs: Sequence[tuple[Part, Element]], turned: Sequence[Turned], say: Collector
) -> bool:
    """A knob that makes it louder or brighter toward 0, in some state, and in none the other way."""
    ways = [(t.state, _way(t)) for t in turned]
    wrong = [state for state, way in ways if way < 0]
    if not wrong or any(way > 0 for _, way in ways):
        return False
    part, element = gangs[0]
    law = law_of(part, element).name
    more = f"; its {law} track is then used backwards, too" if law in ("log", "reverse log") else ""
    say.warning("C243", part.place,
                f"{_word(knob)} turns the wrong way: louder or brighter at 0 than at 10, "
                f"in {words(found.space.state(wrong[0]), found.space)}{more}",
                f"Exchange what is on {part.name}.{element.ends['zero']} and {part.name}.{element.ends['ten']}.")
    return True


def _way(t: Turned) -> int:
    """1 where 10 is louder or brighter for some coil and for none darker, -1 the other way round, 0 else."""
    if not t.sources:
        return 0
    low, high = np.maximum(t.treble(0.0), SILENT_DB), np.maximum(t.treble(10.0), SILENT_DB)
    rise = high - low
    if rise.max() >= CLEAR_DB and rise.min() >= -SLIGHT_DB:
        return 1
    return -1 if rise.min() <= -CLEAR_DB and rise.max() <= SLIGHT_DB else 0


def _law(
    found: Chart, knob: str, gangs: Sequence[tuple[Part, Element]], turned: Sequence[Turned], say: Collector
) -> None:
    """A volume or tone with a log law that hardly moves on the first half of the way down."""
    part, element = gangs[0]
    law = law_of(part, element).name
    if law not in ("log", "reverse log"):
        return
    for t in turned:
        lost = _late(found, t)
        if lost:
            say.warning("C244", part.place,
                        f"{_word(knob)} has its {law} track backwards: from 10 to 5 it loses {lost}, "
                        "all the rest comes at the end",
                        "A volume or tone wants a log track, or a reverse log one only where it turns the other way.")
            return


def _late(found: Chart, t: Turned) -> str:
    """What little is lost from 10 to 5, in words, where nearly all is lost from 5 to 0; '' where that is not so."""
    if not t.sources or t.treble(10.0).max() <= SILENT_DB:
        return ""
    if t.treble(0.0).max() > SILENT_DB:
        full, half, none = (float(t.treble(turn).max()) for turn in (10.0, 5.0, 0.0))
        low = abs(_low(t, 10.0) - _low(t, 0.0))
        tone = low < LOW_DB and full - none >= CLEAR_DB and full - half < TONE_SHARE * (full - none)
        return f"{full - half:.1f} of {full - none:.0f} dB of treble" if tone else ""
    if len({_owner(h.coil, found.build) for h in found.result(t.state).at(t.output).sound.sounding}) != 1:
        return ""
    drop = _low(t, 10.0) - _low(t, 5.0)
    return f"{drop:.1f} dB" if drop < HALF_DB else ""


def _low(t: Turned, turn: float) -> float:
    """Level of the loudest coil at the low end, where no resonance confuses it, in dB."""
    return float(t.curves[turn][0].max())


def _mutes_others(found: Chart, knob: str, part: Part, turned: Sequence[Turned], say: Collector) -> None:
    """A volume that at 0 silences pickups which it does not silence where they sound alone."""
    owners = {h: _owner(h, found.build) for r in found.results for h in r.coils}
    alone = {owners[h.coil] for t in turned for h in found.result(t.state).at(t.output).sound.sounding
             if t.sources and t.treble(0.0).max() > SILENT_DB}
    for t in turned:
        pickups = {owners[h.coil] for h in found.result(t.state).at(t.output).sound.sounding}
        others = pickups & alone
        if t.sources and len(pickups) > 1 and others and t.treble(0.0).max() <= SILENT_DB < t.treble(10.0).max():
            say.note("C246", part.place,
                     f"{_word(knob)} at 0 mutes {' and '.join(sorted(others))} too, "
                     f"in {words(found.space.state(t.state), found.space)}",
                     "Usual. Pickup on the wiper, output on the 10 end keeps the other one, at the price of treble "
                     "when turned down.")
            return


def _owner(coil: str, build: Build) -> str:
    return coil if coil in build.parts else coil.rpartition(".")[0]


def _shorts(build: Build, knob: str, gangs: Sequence[tuple[Part, Element]], say: Collector) -> None:
    """A pot with a free outer lug, so no divider, that at one end joins hot straight to ground."""
    used = touched(build)
    for part, element in gangs:
        if all(lug_of(part, element, end) in used for end in ("zero", "ten")):
            continue
        for turn in (0.0, 10.0):
            here, rest = frame(build, {knob: turn}), frame(build)
            if any(_joined(here, one) and not _joined(rest, one) for one in here.outputs):
                say.warning("C241", part.place, f"{_word(knob)} at {turn:.0f} shorts hot to ground",
                            "A tone branch needs its capacitor between pot and ground; a volume needs all three lugs.")
                return


def _joined(here: Frame, output: Output) -> bool:
    classes = classes_of(here, (), ())
    return classes[here.lug(output.lug)] == classes[here.lug(output.sleeve)]


def _word(knob: str) -> str:
    """A knob as it is called: without the name of its control where that is the usual one."""
    return knob.removesuffix(".turn")
