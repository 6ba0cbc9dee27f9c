"""How well each fault explains what was seen: likelihoods with noise and tolerance, then probabilities."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagramgen.diagnosis.batch import Floats
from diagramgen.diagnosis.observation_words import CRACKLES, SOUNDS, STUCK
from diagramgen.diagnosis.observations import Between, Ground, Heard, Knob, Observation, Reading, Worn
from diagramgen.diagnosis.simulate import FaultRun

NOISE = 0.01
"""Standard deviation of ln(reading) of the meter itself (common practice, no source)."""
PROBE = 2.0
"""ohm of leads and probes: below about this nothing is told apart."""
WINDOW = 0.02
"""Width in ln(ohm) in which a reading counts as hit."""
DECADES = math.log(1e8)
"""A fault that is not in the list may give any reading over this range of ln(ohm)."""
SLIP = 0.003
"""Share of readings that are misread or taken in another position."""
SURE = 0.97
"""How far a yes or no of the meter is trusted."""
OUTSIDE = 0.02
"""Weight of "two faults, or one that is not in the list", as a share of all weights."""
SAME = 2.0
"""Readings nearer than this many standard deviations are not told apart."""

SILENT_DB, FAINT_DB, THIN_DB = -40.0, -6.0, 6.0
"""Against the sound without a fault: lower is silent, faint; bass lost against treble is thin."""
HUM_SHARE, HUM_MORE = 0.5, 0.3
"""Share of the hum that is left for a state to hum, and how much more than without the fault."""
HANGING = 400e3
"""ohm at the plug at 50 Hz from which a lead picks up hum like an aerial (a judgement from memory, no source)."""
LITTLE = 0.25
"""A knob that changes less than this share of what it should is stuck."""

OPPOSED, IN_PHASE = 0.6, 0.8
"""Agreement of the coils below which a state is out of phase, and above which it was in phase without the fault."""

HEARD = np.array([
    # silent faint  thin  dull  hums  right, as said; rows as worked out
    [0.80, 0.08, 0.02, 0.02, 0.07, 0.01],
    [0.12, 0.66, 0.12, 0.04, 0.02, 0.04],
    [0.02, 0.14, 0.70, 0.01, 0.02, 0.11],
    [0.02, 0.14, 0.02, 0.68, 0.02, 0.12],
    [0.12, 0.06, 0.06, 0.02, 0.64, 0.10],
    [0.005, 0.012, 0.012, 0.012, 0.012, 0.947],
])
"""How often a sound is called what (a judgement from memory, no source)."""
NOW_AND_THEN = ("joint", "lug", "jack", "contact open", "track open", "wiper open", "open", "case", "bridge")
"""Kinds of faults that come and go: what holds badly, or touches."""
COMES_AND_GOES, SELDOM = 0.8, 0.04
"""How often crackles or cutting out are met where such a fault would change the sound, and elsewhere (a judgement
from memory, no source)."""


@dataclass(frozen=True, eq=False)
class Posterior:
    """Probabilities of every fault of a run (index 0: nothing is wrong), and of what is outside the list."""

    run: FaultRun
    observations: tuple[Observation, ...]
    likelihoods: Floats
    """Faults x observations: ln of the likelihood."""
    probability: Floats
    outside: float


def posterior(run: FaultRun, observations: Sequence[Observation]) -> Posterior:
    """Weigh every fault of a run against what was seen (Bayes' rule).

    The prior of a fault is its weight over the sum of all; "two faults, or one that is not in the list" has
    ``OUTSIDE`` of that sum. Observations are taken as independent given the fault.
    """
    logs = np.zeros((len(run.faults), len(observations)))
    outside = 0.0
    for i, observation in enumerate(observations):
        logs[:, i], alone = likelihood(run, observation)
        outside += alone
    weights = np.array([f.weight for f in run.faults])
    total = np.log(weights) + logs.sum(axis=1)
    beyond = math.log(OUTSIDE * float(weights.sum())) + outside
    top = max(float(total.max()), beyond)
    share = np.exp(total - top)
    other = math.exp(beyond - top)
    whole = float(share.sum()) + other
    return Posterior(run, tuple(observations), logs, share / whole, other / whole)


def likelihood(run: FaultRun, observation: Observation) -> tuple[Floats, float]:
    """Work out how well every fault explains one observation.

    Returns: (ln of the likelihood under each fault of the run, the same under a fault outside the list).
    """
    if isinstance(observation, Reading):
        return _reading(run, observation)
    if isinstance(observation, Heard):
        if observation.word == CRACKLES:
            changed = sounds(run, observation.setting)[:, observation.state] != SOUNDS.index("right")
            return np.log(np.where(changed & _of_kind(run, NOW_AND_THEN), COMES_AND_GOES, SELDOM)), math.log(0.2)
        said = SOUNDS.index(observation.word)
        return np.log(mentioned(run, observation.setting)[:, observation.state, said]), math.log(0.2)
    if isinstance(observation, Knob):
        stuck = knob_stuck(run, observation.setting)
        hit = stuck == (observation.word == "stuck")
        return np.log(np.where(hit, 0.85, 0.15)), math.log(0.5)
    if isinstance(observation, Worn):
        return np.log(np.where(_at_part(run, observation), COMES_AND_GOES, SELDOM)), math.log(0.2)
    if isinstance(observation, Ground):
        hit = np.asarray(run.grounded[:, observation.metal] == observation.joined)
        return _sure(hit), math.log(0.5)
    assert isinstance(observation, Between)
    hit = np.asarray(between(run, observation.one, observation.other) == observation.joined)
    return _sure(hit), math.log(0.5)


def _of_kind(run: FaultRun, kinds: Sequence[str]) -> NDArray[np.bool_]:
    return np.array([fault.kind in kinds for fault in run.faults])


def _at_part(run: FaultRun, observation: Worn) -> NDArray[np.bool_]:
    """Faults that come and go (of a dead switch: those of its contacts and joints as well) at a part itself."""
    own = np.array([any(lug.partition(".")[0] == observation.part for lug in fault.lugs) for fault in run.faults])
    kinds = (*NOW_AND_THEN, "contact stuck", "moved") if observation.word == STUCK else NOW_AND_THEN
    return np.asarray(own & _of_kind(run, kinds))


def _sure(hit: NDArray[np.bool_]) -> Floats:
    return np.asarray(np.log(np.where(hit, SURE, 1 - SURE)))


def _reading(run: FaultRun, observation: Reading) -> tuple[Floats, float]:
    ohms = run.ohms[:, observation.setting, observation.state]
    broad = 0.8 * WINDOW / DECADES
    if math.isinf(observation.ohms):
        chance = np.where(np.isinf(ohms), SURE, np.where(np.isnan(ohms), 0.5, SLIP))
        return np.log(chance), math.log(0.2)
    sigma = deviation(run)[:, observation.setting, observation.state]
    with np.errstate(invalid="ignore"):
        off = (math.log(observation.ohms + PROBE) - np.log(ohms + PROBE)) / sigma
        hit = (1 - SLIP) * WINDOW / (sigma * math.sqrt(2 * math.pi)) * np.exp(-0.5 * np.minimum(off**2, 1400.0))
    hit = np.where(np.isfinite(ohms), hit, 0.0) + SLIP * broad
    return np.log(np.where(np.isnan(ohms), broad, hit)), math.log(broad)


def deviation(run: FaultRun) -> Floats:
    """Standard deviation of ln(reading), meter and tolerances together: faults x settings x states."""
    return np.asarray(np.sqrt(NOISE**2 + run.spread**2))


def _told(run: FaultRun, setting: int) -> dict[str, NDArray[np.bool_]]:
    """What each fault makes of each state: each of the words that are true of it, in the order of what is said first.

    Arrays of faults x states. Out of phase is thin: over one string low notes cancel and the upper ones do not.
    """
    level, near, bass, treble = (x[:, setting] for x in (run.level, run.near, run.bass, run.treble))
    lost = level - level[0]
    silent = np.asarray((lost < SILENT_DB) | (level < -80.0))
    tilt = (bass - bass[0]) - (treble - treble[0])
    agree = run.agree[:, setting]
    thin = (tilt < -THIN_DB) | ((agree < OPPOSED) & (agree[0] > IN_PHASE))
    open_hot = np.asarray((run.source[:, setting] > HANGING) & (run.source[0, setting] < HANGING / 2))
    strings = np.asarray(~run.grounded[:, touched(run)].all(axis=1))
    hums = open_hot | ((run.hum[:, setting] > HUM_SHARE) & (run.hum[:, setting] > run.hum[0, setting] + HUM_MORE))
    hums |= (strings & ~(strings[0]))[:, None]
    heard = ~silent
    return {"silent": silent & ~open_hot, "hums": hums & (heard | open_hot), "thin": thin & heard,
            "faint": ((lost < FAINT_DB) | (near - near[0] < FAINT_DB)) & heard,
            "dull": (tilt > THIN_DB) & ~thin & heard}


FIRST = ("hums", "dull", "thin", "faint", "silent")
"""Which of several true words a state is called by where only one is said: the later goes before."""


def sounds(run: FaultRun, setting: int) -> NDArray[np.int64]:
    """What each fault makes of each state, in one word, as an index of ``SOUNDS``: faults x states."""
    told = _told(run, setting)
    found = np.full(run.level[:, setting].shape, SOUNDS.index("right"))
    for word in FIRST:
        found[told[word]] = SOUNDS.index(word)
    return found


def called(run: FaultRun, setting: int) -> Floats:
    """How likely each state under each fault is called each of ``SOUNDS`` in one word: faults x states x words.

    Where several words are true of it, each is as likely to be the one that is said.
    """
    true = _true(run, setting).astype(float)
    return np.asarray((true / true.sum(axis=2, keepdims=True)) @ HEARD)


def mentioned(run: FaultRun, setting: int) -> Floats:
    """How likely each of ``SOUNDS`` is among what is said of each state under each fault: faults x states x words."""
    true = _true(run, setting)
    return np.asarray(np.where(true[:, :, :, None], HEARD, 0.0).max(axis=2))


def _true(run: FaultRun, setting: int) -> NDArray[np.bool_]:
    """Faults x states x ``SOUNDS``: which words are true; where none other is, it sounds right."""
    told = _told(run, setting)
    true = np.stack([told.get(word, np.zeros_like(told["thin"])) for word in SOUNDS], axis=2)
    true[:, :, SOUNDS.index("right")] = ~true.any(axis=2)
    return true


def touched(run: FaultRun) -> list[int]:
    """Pieces of metal a hand touches that are grounded where nothing is wrong."""
    parts = run.wiring.build.parts
    hands = [f"metal of {p.name}: {m.name}" for p in parts.values() for m in p.symbol.metal if m.touchable]
    return [i for i, m in enumerate(run.metals) if m in hands and run.grounded[0, i]]


def knob_stuck(run: FaultRun, setting: int) -> NDArray[np.bool_]:
    """Whether a knob does nothing, in the state in which it should do most."""
    change = np.maximum(np.abs(run.level[:, setting] - run.level[:, 0]), np.abs(run.treble[:, setting]
                                                                               - run.treble[:, 0]))
    state = int(np.argmax(change[0]))
    return np.asarray(change[:, state] < LITTLE * change[0, state])


def between(run: FaultRun, one: str, other: str) -> NDArray[np.bool_]:
    """Whether two lugs are joined without resistance under each fault, contacts open."""
    at = run.wiring.at
    return np.asarray(run.base[:, at[one]] == run.base[:, at[other]])


def logs_of(run: FaultRun) -> tuple[Floats, Floats]:
    """(ln of every reading, open far above all, meaningless 0; its deviation): faults x probes."""
    count = len(run.faults)
    with np.errstate(invalid="ignore"):
        found = np.where(np.isinf(run.ohms), 40.0, np.log(np.where(np.isfinite(run.ohms), run.ohms, 0.0) + PROBE))
    found = np.where(np.isnan(run.ohms), 0.0, found)
    return found.reshape(count, -1), deviation(run).reshape(count, -1)


def apart(run: FaultRun, one: int, others: NDArray[np.int64]) -> Floats:
    """By how many standard deviations the most telling reading at the plug parts fault ``one`` from others."""
    logs, sigma = logs_of(run)
    both = np.sqrt(sigma[one] ** 2 + sigma[others] ** 2)
    return np.asarray((np.abs(logs[one] - logs[others]) / both).max(axis=1, initial=0.0))


def groups(run: FaultRun) -> NDArray[np.int64]:
    """Number of the group of every fault: those no reading at the plug tells from the group's first.

    The likeliest fault of a group comes first; nothing wrong is group 0, with what cannot be heard either.
    """
    weights = np.array([f.weight for f in run.faults])
    order = [0, *(i for i in np.argsort(-weights, kind="stable") if i)]
    found = np.full(len(weights), -1)
    number = 0
    for i in order:
        if found[i] >= 0:
            continue
        free = np.flatnonzero(found < 0)
        alike = apart(run, int(i), free) < SAME
        if i == 0:
            heard = sounds(run, 0)
            alike &= (heard[free] == heard[0]).all(axis=1)
        found[free[alike]] = number
        found[i] = number
        number += 1
    return found
