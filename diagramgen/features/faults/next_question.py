"""The next measurement: the one that on average leaves least doubt about which fault it is, for the least trouble."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagramgen.diagnosis.batch import Floats
from diagramgen.diagnosis.fault_model import FaultModel
from diagramgen.diagnosis.observation_words import SOUNDS
from diagramgen.diagnosis.observations import (
    Between,
    Ground,
    Heard,
    Knob,
    Observation,
    Reading,
    Worn,
    metals_of,
    state_words,
)
from diagramgen.diagnosis.posterior import SURE, Posterior, between, called, deviation, knob_stuck, sounds
from diagramgen.diagnosis.simulate import FaultRun
from diagramgen.features.faults.fault_kinds import CONDUCTORS, neighbours_of
from diagramgen.kernel.units import RESISTANCE, quantity

LEAST = 2e-4
"""Faults less likely than this no longer matter for what to ask."""
GAP = 3.0
"""Readings this many standard deviations apart are two answers."""
COST = {"plug": 1.0, "knob": 1.1, "ear": 1.2, "metal": 1.0, "lugs": 2.0}
"""Trouble: at the plug and by ear the cover stays on; between lugs it comes off (judgement)."""
WORTH = 0.02
"""Bits below which a measurement tells nothing."""
MOST_STATES = 48
"""States asked about at most."""


@dataclass(frozen=True)
class Answer:
    """One answer to a measurement, and the faults (numbers in the run) that would give it."""

    words: str
    faults: tuple[int, ...]
    probability: float
    observation: Observation
    """What to enter where this is the answer (with the middle of the readings it stands for)."""


@dataclass(frozen=True)
class Question:
    """A measurement, what it is worth in bits, and its answers, the likeliest first."""

    words: str
    bits: float
    cost: float
    answers: tuple[Answer, ...]


def next_question(judged: Posterior) -> Question | None:
    """The measurement that splits the remaining faults best for its trouble; None where none tells anything."""
    return max(questions(judged), key=lambda q: (round(q.bits / q.cost, 9),), default=None)


def questions(judged: Posterior) -> Iterator[Question]:
    """Every measurement not made yet that tells something, in a fixed order."""
    run = judged.run
    kept = np.flatnonzero(judged.probability > LEAST)
    share = judged.probability[kept] / max(float(judged.probability[kept].sum()), 1e-300)
    if len(kept) < 2:
        return
    asked = {_key(s) for s in judged.observations}
    for question in (*_at_plug(run, kept, share, asked), *_by_ear(run, kept, share, asked),
                     *_on_metal(run, kept, share, asked), *_on_lugs(run, kept, share, asked)):
        if question.bits >= WORTH:
            yield question


def _key(observation: Observation) -> tuple[object, ...]:
    if isinstance(observation, Reading):
        return ("plug", observation.state, observation.setting)
    if isinstance(observation, Heard):
        return ("ear", observation.state, observation.setting)
    if isinstance(observation, Knob):
        return ("knob", observation.setting)
    if isinstance(observation, Worn):
        return ("part", observation.part, observation.word)
    if isinstance(observation, Ground):
        return ("metal", observation.metal)
    return ("lugs", *sorted((observation.one, observation.other)))


Asked = set[tuple[object, ...]]
Ints = NDArray[np.int64]
_Answers = list[tuple[str, NDArray[np.bool_], Observation]]


def _at_plug(run: FaultRun, kept: Ints, share: Floats, asked: Asked) -> Iterator[Question]:
    sigma = deviation(run)
    for setting in range(len(run.wiring.settings)):
        for state in range(min(len(run.wiring.states), MOST_STATES)):
            ohms = run.ohms[kept, setting, state]
            if ("plug", state, setting) in asked or np.isnan(run.ohms[0, setting, state]) or np.isnan(ohms).all():
                continue
            labels = _clusters(ohms, sigma[kept, setting, state])
            words = f"{state_words(run.wiring, state, setting)}: read {run.wiring.reads}"
            answers: _Answers = []
            for label in range(int(labels.max()) + 1):
                own = labels == label
                middle = float(np.median(ohms[own]))
                said = _ohm_words(ohms[own])
                answers.append((said, own, Reading(state, setting, middle)))
            yield _question(words, kept, share, answers, "knob" if setting else "plug", None)


def _clusters(ohms: Floats, sigma: Floats) -> Ints:
    """Number of the answer each reading belongs to; meaningless readings are one answer with open."""
    logs = np.where(np.isfinite(ohms), np.log(np.where(np.isfinite(ohms), ohms, 0.0) + 2.0), 40.0)
    order = np.argsort(logs, kind="stable")
    found = np.zeros(len(ohms), dtype=np.int64)
    number = 0
    for before, here in itertools.pairwise(order):
        if logs[here] - logs[before] > GAP * max(sigma[before], sigma[here]):
            number += 1
        found[here] = number
    return found


def _ohm_words(ohms: Floats) -> str:
    finite = ohms[np.isfinite(ohms)]
    if not len(finite):
        return "open"
    low, high = float(finite.min()), float(finite.max())
    if high < 5:
        return "0 Ω"
    if high / max(low, 1e-3) < 1.03:
        return f"about {quantity(low, RESISTANCE)}"
    return f"{quantity(low, RESISTANCE)} to {quantity(high, RESISTANCE)}"


def _by_ear(run: FaultRun, kept: Ints, share: Floats, asked: Asked) -> Iterator[Question]:
    found = sounds(run, 0)[kept]
    for state in range(min(len(run.wiring.states), MOST_STATES)):
        if ("ear", state, 0) not in asked:
            answers: _Answers = [(word, found[:, state] == i, Heard(state, 0, word)) for i, word in enumerate(SOUNDS)]
            yield _question(f"{state_words(run.wiring, state, 0)}: tap every pickup and listen", kept, share, answers,
                            "ear", called(run, 0)[kept, state])
    for setting, at in enumerate(run.wiring.settings):
        if setting and at.heard and ("knob", setting) not in asked:
            stuck = knob_stuck(run, setting)[kept]
            trust = np.where(np.stack([stuck, ~stuck], axis=1), 0.85, 0.15)
            moved: _Answers = [("stuck", stuck, Knob(setting, "stuck")), ("works", ~stuck, Knob(setting, "works"))]
            yield _question(f"turn {at.name.partition('.')[0]} from 10 to 0 and listen", kept, share, moved, "ear",
                            trust)


def _on_metal(run: FaultRun, kept: Ints, share: Floats, asked: Asked) -> Iterator[Question]:
    for metal, words in enumerate(metals_of(run.wiring)):
        if ("metal", metal) not in asked:
            yield _yes_no(f"{words} to the plug's sleeve", run.grounded[kept, metal], kept, share, "metal",
                          Ground(metal, True), Ground(metal, False))


def _on_lugs(run: FaultRun, kept: Ints, share: Floats, asked: Asked) -> Iterator[Question]:
    """Both ends of every joint that some fault may part, and neighbours that some fault may join."""
    for one, other in _pairs(run.wiring):
        if ("lugs", *sorted((one, other))) not in asked:
            yield _yes_no(f"plug out: {one} to {other}", between(run, one, other)[kept], kept, share, "lugs",
                          Between(one, other, True), Between(one, other, False))


def _pairs(wiring: FaultModel) -> Iterator[tuple[str, str]]:
    found: dict[tuple[str, str], None] = {}
    for e in wiring.edges:
        if e.kind in CONDUCTORS and not e.a.startswith("braid of"):
            found.setdefault((e.a, e.b))
    for part in wiring.build.parts.values():
        for a, b in neighbours_of(part):
            found.setdefault((f"{part.name}.{a}", f"{part.name}.{b}"))
    yield from found


def _yes_no(
    words: str, joined: NDArray[np.bool_], kept: Ints, share: Floats, cost: str, yes: Observation, no: Observation
) -> Question:
    trust = np.where(np.stack([joined, ~joined], axis=1), SURE, 1 - SURE)
    return _question(words, kept, share, [("under 1 Ω", joined, yes), ("open", ~joined, no)], cost, trust)


def _question(
    words: str, kept: Ints, share: Floats, answers: Sequence[tuple[str, NDArray[np.bool_], Observation]], cost: str,
    trust: Floats | None,
) -> Question:
    """A question with its worth: the information its answer gives on average (bits)."""
    if trust is None:
        chances = np.array([float(share[own].sum()) for _, own, _ in answers])
        bits = _bits(chances)
    else:
        chances = share @ trust
        bits = _bits(chances) - float(share @ np.array([_bits(row) for row in trust]))
    made = [Answer(said, tuple(int(i) for i in kept[own][np.argsort(-share[own], kind="stable")]),
                   float(share[own].sum()), observation) for said, own, observation in answers if own.any()]
    made.sort(key=lambda a: -round(a.probability, 9))
    return Question(words, bits, COST[cost], tuple(made))


def _bits(chances: Floats) -> float:
    some = chances[chances > 0]
    return -math.fsum(float(p) * math.log2(float(p)) for p in some)
