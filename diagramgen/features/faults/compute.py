"""The answer of a look-up: groups of faults that explain what was seen, how well, and what to do next."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagramgen.circuit.outputs import Output
from diagramgen.circuit.values import faults as impossible_values
from diagramgen.diagnosis.fault_model import fault_model
from diagramgen.diagnosis.model import FaultHypothesis
from diagramgen.diagnosis.observation_words import CRACKLES, SOUNDS
from diagramgen.diagnosis.observations import Heard, Observation, Reading, metals_of, observation_text, state_words
from diagramgen.diagnosis.posterior import Posterior, apart, between, groups, mentioned, posterior, sounds
from diagramgen.diagnosis.simulate import FaultRun, simulate
from diagramgen.features.faults.fault_kinds import single_faults
from diagramgen.features.faults.next_question import Question, next_question
from diagramgen.kernel.errors import NotAvailable
from diagramgen.kernel.units import RESISTANCE, quantity
from diagramgen.model.build import Build

TELLING = 1e-3
"""Groups less likely than this are not listed."""
SURE_OF = 0.9
"""From this probability the likeliest group is called found."""
ODD = 4.0
"""A reading this many standard deviations off does not fit."""


@dataclass(frozen=True)
class Group:
    """Faults that no reading at the plug tells apart."""

    number: int
    probability: float
    faults: tuple[tuple[int, float], ...]
    """Numbers of faults in the run with their probabilities, the likeliest first."""
    telling: tuple[str, ...]
    """What would tell them apart."""


@dataclass(frozen=True, eq=False)
class Finding:
    """What a look-up found."""

    judged: Posterior
    groups: tuple[Group, ...]
    misfits: tuple[str, ...]
    """Observations that the likeliest fault does not explain."""
    question: Question | None
    verdict: str
    """One sentence: how sure, and what to make of it."""
    warnings: tuple[str, ...]

    def fault(self, number: int) -> FaultHypothesis:
        """A fault by its number."""
        return self.judged.run.faults[number]


def simulated(build: Build, output: Output | None = None) -> FaultRun:
    """Every single fault of a build, simulated in every state, metered and heard at an output (the main one for None).

    Raises ``NotAvailable`` for a value no circuit can have, too many states, or a build without an output jack.
    """
    wrong = next(impossible_values(build), None)
    if wrong is not None:
        raise NotAvailable(f"{wrong[1]}; mend the build first (diagramgen check)")
    laid = fault_model(build, output)
    return simulate(laid, single_faults(laid))


def find(run: FaultRun, observations: Sequence[Observation], numbers: np.ndarray | None = None) -> Finding:
    """Rank the faults that explain what was seen, and say what to measure next.

    ``numbers``: the group of each fault, ``groups(run)``, where it is known already.
    """
    judged = posterior(run, observations)
    of = groups(run) if numbers is None else numbers
    found = _groups(judged, of)
    misfits = _misfits(judged, found[0].faults[0][0]) if found else ()
    warnings = tuple(_units(run, observations))
    return Finding(judged, found, misfits, next_question(judged) if observations else _first(judged),
                   _verdict(judged, found, misfits), warnings)


def _first(judged: Posterior) -> Question | None:
    """With nothing seen yet, the first reading at the plug is asked for."""
    return next_question(judged)


def _groups(judged: Posterior, of: np.ndarray) -> tuple[Group, ...]:
    share = np.zeros(int(of.max()) + 1)
    np.add.at(share, of, judged.probability)
    found = []
    for number in np.argsort(-share, kind="stable"):
        if share[number] < TELLING:
            break
        members = np.flatnonzero(of == number)
        order = members[np.argsort(-judged.probability[members], kind="stable")]
        faults = tuple((int(i), float(judged.probability[i])) for i in order
                       if judged.probability[i] > TELLING * share[number])
        found.append(Group(int(number), float(share[number]), faults, _telling(judged.run, [i for i, _ in faults])))
    return tuple(found)


def _telling(run: FaultRun, faults: Sequence[int]) -> tuple[str, ...]:
    """What differs between the faults of a group besides readings at the plug."""
    if len(faults) < 2:
        return ()
    said = []
    heard = sounds(run, 0)[list(faults)]
    differ = np.flatnonzero((heard != heard[0]).any(axis=0))
    if len(differ):
        said.append(f"listen with {state_words(run.wiring, int(differ[0]), 0)}")
    for metal, words in enumerate(metals_of(run.wiring)):
        own = run.grounded[list(faults), metal]
        if own.any() and not own.all():
            said.append(f"meter {words} to the sleeve")
            break
    tap = run.coils[list(faults)]
    with np.errstate(invalid="ignore"):
        if (np.abs(tap - tap[0]) > 12).any() and not len(differ):
            said.append("tap each pickup with a screwdriver, position by position")
    for fault in (run.faults[i] for i in faults[:2]):
        lugs = [x for x in fault.lugs if x in run.wiring.at]
        if len(lugs) > 1 and between(run, lugs[0], lugs[1])[list(faults)].any() != between(
                run, lugs[0], lugs[1])[list(faults)].all():
            said.append(f"cover off: meter {lugs[0]} to {lugs[1]}")
            break
    return tuple(said)


def _misfits(judged: Posterior, fault: int) -> tuple[str, ...]:
    run = judged.run
    found = []
    for observation in judged.observations:
        if isinstance(observation, Reading):
            ohms = float(run.ohms[fault, observation.setting, observation.state])
            if _odd(run, fault, observation, ohms):
                said = "open" if math.isinf(ohms) else "no ohm figure" if math.isnan(ohms) else quantity(ohms,
                                                                                                        RESISTANCE)
                found.append(f"{observation_text(observation, run.wiring)}, where it would be {said}")
        elif isinstance(observation, Heard):
            heard = SOUNDS[int(sounds(run, observation.setting)[fault, observation.state])]
            said_so = mentioned(run, observation.setting)[fault, observation.state]
            if observation.word != CRACKLES and said_so[SOUNDS.index(observation.word)] < 0.05:
                found.append(f"{observation_text(observation, run.wiring)}, where it would be {heard}")
        elif judged.likelihoods[fault, judged.observations.index(observation)] < math.log(0.2):
            found.append(f"{observation_text(observation, run.wiring)}, where it would not be so")
    return tuple(found)


def _odd(run: FaultRun, fault: int, observation: Reading, ohms: float) -> bool:
    if math.isinf(observation.ohms) or not math.isfinite(ohms):
        return not (math.isinf(observation.ohms) and math.isinf(ohms)) and not math.isnan(ohms)
    sigma = math.hypot(0.01, float(run.spread[fault, observation.setting, observation.state]))
    return abs(math.log((observation.ohms + 2.0) / (ohms + 2.0))) > ODD * sigma


def _units(run: FaultRun, observations: Sequence[Observation]) -> list[str]:
    """Readings that fit nothing as written but fit with k in place of M, or the other way round."""
    found = []
    for observation in observations:
        if not isinstance(observation, Reading) or math.isinf(observation.ohms) or observation.ohms <= 0:
            continue
        known = run.ohms[:, observation.setting, observation.state]
        known = known[np.isfinite(known) & (known > 5)]
        if not len(known) or np.abs(np.log(known / observation.ohms)).min() < math.log(3):
            continue
        for factor, words in ((1000.0, "k for M, or ohms for k"), (0.001, "M for k, or k for ohms")):
            if np.abs(np.log(known / (observation.ohms * factor))).min() < math.log(1.3):
                meant = quantity(observation.ohms * factor, RESISTANCE)
                found.append(f"{observation_text(observation, run.wiring)}: no fault gives that; {meant} would fit. "
                             f"Is it {words}?")
    return found


def _verdict(judged: Posterior, found: Sequence[Group], misfits: Sequence[str]) -> str:
    if not judged.observations:
        return "Nothing was seen yet: begin with the reading below."
    if judged.outside > 0.5 or not found:
        return ("No single fault in the list explains all of it: two faults at once, one that is not in the list, or a "
                "reading taken in another position. What fits best stands below; take the odd readings again first.")
    best = found[0]
    if misfits:
        return "The likeliest fault does not explain everything: take the readings named again before opening anything."
    if judged.outside > 0.1:
        return "It may be a fault that is not in the list, or two at once; what fits best stands below."
    if _as_it_should(judged):
        return "Everything seen so far is as it should be."
    if best.probability >= SURE_OF:
        many = len(best.faults) > 1
        return "Found, as far as readings at the plug can tell" + (": one of the faults of the first group." if many
                                                                   else ".")
    return "Several faults still explain it: the measurement below splits them best."


def _as_it_should(judged: Posterior) -> bool:
    """Whether nothing seen speaks for a fault: no single one explains it clearly better than none."""
    sums = judged.likelihoods.sum(axis=1)
    return bool(sums[0] > float(sums.max()) - math.log(5.0))


def same_group(run: FaultRun, one: int, other: int) -> bool:
    """Whether no reading at the plug tells two faults apart."""
    return bool(apart(run, one, np.array([other]))[0] < 2.0)
