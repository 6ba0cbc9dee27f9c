"""Ranks the usual wirings by readings at the plug, and says what to look at to decide between those that are left."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagramgen.circuit.values import elements_of, number_of
from diagramgen.diagnosis.fault_model import fault_model
from diagramgen.diagnosis.observations import Observation, Reading, state_words
from diagramgen.diagnosis.posterior import likelihood
from diagramgen.diagnosis.simulate import FaultRun, simulate
from diagramgen.features.guess.usual_wirings import Usual, parts_of, usual_wirings, wired
from diagramgen.model.build import Build

KIND = 0.25
"""Standard deviation of ln(ohm) of coils nobody metered, against the typical ones of their kind."""
OTHER = 0.05
"""Weight of a wiring that is not among the usual ones, as a share of all."""
TELLING = 0.01

LOOK = {
    "series": "two conductors of one pickup joined in a sleeve and going nowhere else",
    "parallel": "two conductors of one pickup together on hot, two on ground",
    "slug coil only": "the two screw-coil conductors cut off, capped or both on ground",
    "screw coil only": "the two slug-coil conductors cut off, capped or both on ground",
    "one volume for all": "the selector before the volume: its common goes to the 10 end",
    "a volume each, either at 0 silences both": "each pickup on its volume's 10 end, the wiper to the selector",
    "a volume each, independent": "each pickup on its volume's wiper, the 10 end to the selector",
    "splits the dual coils": "the series links on the switch of the push-pull",
}
"""What each choice looks like with the cover off (common practice, no source)."""


@dataclass(frozen=True)
class Guess:
    """One wiring, or several that read alike, with the probability of all."""

    usual: tuple[Usual, ...]
    probability: float


@dataclass(frozen=True)
class NextReading:
    """A reading at the plug that is still to be taken: numbers of state and setting of the knobs."""

    state: int
    setting: int
    words: str


@dataclass(frozen=True)
class Guesses:
    """Wirings that fit, the likeliest first."""

    guesses: tuple[Guess, ...]
    other: float
    """Probability that it is none of the usual ones."""
    tried: int
    look: tuple[str, ...]
    """What to look at to decide between the first ones."""
    question: NextReading | None
    """The reading at the plug that would tell most; None where none would."""
    verdict: str


def simulated_wiring(build: Build) -> FaultRun:
    """Wire the parts of a build in the first usual way and simulate that without a fault.

    Its ``wiring`` holds the states and the settings of the knobs in which readings are named.
    Raises: NotAvailable - as ``parts_of`` does.
    """
    parts = parts_of(build)
    return _run(wired(build, next(usual_wirings(parts))))


def _run(build: Build) -> FaultRun:
    run = simulate(fault_model(build), ())
    typical = any(not number_of(p, e, "resistance").given for p, e in elements_of(build, "coil"))
    return replace(run, spread=np.hypot(run.spread, KIND)) if typical else run


def guess(build: Build, observations: Sequence[Observation]) -> Guesses:
    """Rank the usual wirings of a build's parts. Raises ``NotAvailable`` as ``parts_of`` does."""
    found = list(usual_wirings(parts_of(build)))
    runs = [_run(wired(build, usual)) for usual in found]
    logs, outside = np.log(np.array([u.weight for u in found])), 0.0
    for observation in observations:
        alone = 0.0
        for i, run in enumerate(runs):
            own, alone = likelihood(run, observation)
            logs[i] += own[0]
        outside += alone
    beyond = math.log(OTHER * sum(u.weight for u in found)) + outside
    top = max(float(logs.max()), beyond)
    share = np.exp(logs - top)
    other = math.exp(beyond - top)
    whole = float(share.sum()) + other
    share, other = share / whole, other / whole
    guesses = _alike(found, runs, share)
    kept = [i for i in np.argsort(-share, kind="stable")[:60] if share[i] > TELLING / 10]
    look, question = _look(guesses), _next(runs, kept, share, observations)
    return Guesses(guesses, other, len(found), look, question,
                   _verdict(guesses, other, observations, more=bool(look) or question is not None))


def _alike(found: Sequence[Usual], runs: Sequence[FaultRun], share: np.ndarray) -> tuple[Guess, ...]:
    """Wirings whose readings agree everywhere in one guess."""
    groups: dict[tuple[float, ...], list[int]] = {}
    for i in np.argsort(-share, kind="stable"):
        if share[i] < TELLING / 20:
            break
        ohms = runs[i].ohms[0].ravel()
        key = tuple(float("inf") if math.isinf(x) else -1.0 if math.isnan(x) else round(float(x), 1) for x in ohms)
        groups.setdefault(key, []).append(int(i))
    guesses = [Guess(tuple(found[i] for i in members), float(share[members].sum())) for members in groups.values()]
    return tuple(sorted((g for g in guesses if g.probability > TELLING), key=lambda g: -round(g.probability, 9)))


def _look(guesses: Sequence[Guess]) -> tuple[str, ...]:
    """What differs between the first wirings, and what it looks like."""
    first = [u for g in guesses[:3] for u in g.usual][:6]
    if len(first) < 2:
        return ()
    ways: dict[str, list[str]] = {}
    for usual in first:
        for what, how in usual.choices:
            if how not in ways.setdefault(what, []):
                ways[what].append(how)
    return tuple(f"{what}: {' or '.join(f'{how} ({LOOK[how]})' if how in LOOK else how for how in hows)}"
                 for what, hows in ways.items() if len(hows) > 1)


def _next(
    runs: Sequence[FaultRun], kept: Sequence[int], share: np.ndarray, observations: Sequence[Observation]
) -> NextReading | None:
    """The reading at the plug whose answer tells most about which wiring it is."""
    if len(kept) < 2:
        return None
    laid = runs[0].wiring
    done = {(s.state, s.setting) for s in observations if isinstance(s, Reading)}
    weights = np.array([share[i] for i in kept]) / sum(share[i] for i in kept)
    best, found = 0.05, None
    for setting in range(len(laid.settings)):
        for state in range(min(len(laid.states), 24)):
            if (state, setting) in done:
                continue
            classes: dict[int, float] = {}
            for i, weight in zip(kept, weights, strict=True):
                ohms = float(runs[i].ohms[0, setting, state])
                key = -2 if math.isinf(ohms) else -1 if math.isnan(ohms) else round(math.log(ohms + 2) / 0.2)
                classes[key] = classes.get(key, 0.0) + float(weight)
            bits = -sum(p * math.log2(p) for p in classes.values() if p > 0) - 0.05 * (setting > 0)
            if bits > best + 1e-9:
                words = f"{state_words(laid, state, setting)}: read the plug, tip to sleeve"
                best, found = bits, NextReading(state, setting, words)
    return found


def _verdict(guesses: Sequence[Guess], other: float, observations: Sequence[Observation], more: bool) -> str:
    """``more``: whether a reading or something to look at is named below."""
    if not observations and more:
        return "Nothing was metered yet: begin with the reading below."
    if not observations:
        return "Nothing was metered, and no reading at the plug parts what is usual: read it once, and look inside."
    if other > 0.5 or not guesses:
        return "None of the usual wirings reads like this: trace it lug by lug, or there is a fault (diagramgen fault)."
    if guesses[0].probability > 0.9:
        return "One wiring fits far better than the rest" + ("." if len(guesses[0].usual) == 1 else
                                                             ", or one that reads just like it: look inside.")
    if not more:
        return "A usual wiring fits, but something else may as well: look inside."
    return "Several of the usual wirings fit: read or look at what is named below."
