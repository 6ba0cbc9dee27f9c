"""The fault sheet's rows: what the meter or the ear gives in a few positions, and the joints that give it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagramgen.diagnosis.batch import Floats
from diagramgen.diagnosis.model import FaultHypothesis
from diagramgen.diagnosis.observation_words import SOUNDS
from diagramgen.diagnosis.observations import state_words
from diagramgen.diagnosis.posterior import SAME, deviation, sounds
from diagramgen.diagnosis.simulate import FaultRun
from diagramgen.features.faults.fault_kinds import fault_kind, place_words
from diagramgen.kernel.units import RESISTANCE, quantity

COLUMNS = 5
"""Positions a row speaks of at most."""
GAIN = 0.05
"""Bits a further position must add."""
PLACES = 5
"""Places of one kind named in a row."""


@dataclass(frozen=True)
class LookUpRow:
    """What is seen in each position ('' where it is as it should be), and the faults that give it, by kind."""

    shown: tuple[str, ...]
    faults: tuple[tuple[str, tuple[str, ...], int], ...]
    """(kind in words, places named, how many more)."""
    weight: float


@dataclass(frozen=True)
class LookUp:
    """The table of a build."""

    positions: tuple[str, ...]
    healthy: tuple[str, ...]
    rows: tuple[LookUpRow, ...]
    unseen: int
    """Faults that show in none of these positions."""
    by_ear: bool
    """Told by ear, because no ohm figure means anything at this plug."""


def look_up(run: FaultRun) -> LookUp:
    """The rows of a build that differ, the likeliest first."""
    by_ear = bool(np.isnan(run.ohms[0, 0]).all())
    classes = _heard(run) if by_ear else _read(run)
    weights = np.array([f.weight for f in run.faults])
    columns = _columns(classes, weights)
    rows: dict[tuple[int, ...], list[int]] = {}
    for i in range(len(run.faults)):
        rows.setdefault(tuple(int(x) for x in classes[i, columns]), []).append(i)
    healthy = tuple(int(x) for x in classes[0, columns])
    found = [_row(run, members, columns, healthy, classes, by_ear) for key, members in rows.items() if key != healthy]
    found.sort(key=lambda r: r.shown)
    found.sort(key=lambda r: -round(r.weight, 6))
    return LookUp(tuple(state_words(run.wiring, c, 0) for c in columns),
                  tuple(_words(run, 0, c, by_ear) for c in columns), tuple(found), len(rows[healthy]) - 1, by_ear)


Ints = NDArray[np.int64]


def _heard(run: FaultRun) -> Ints:
    return sounds(run, 0)


def _read(run: FaultRun) -> Ints:
    """Number of the answer each fault gives in each state, 0 that of no fault: faults x states."""
    found: Ints = np.zeros_like(run.ohms[:, 0], dtype=np.int64)
    sigma = deviation(run)[:, 0]
    for state in range(found.shape[1]):
        found[:, state] = _answers(run.ohms[:, 0, state], sigma[:, state])
    return found


def _answers(ohms: Floats, sigma: Floats) -> Ints:
    """Readings no further than ``SAME`` deviations from the first one of a class are of that class."""
    with np.errstate(invalid="ignore"):
        logs = np.where(np.isinf(ohms), 40.0, np.where(np.isnan(ohms), -5.0, np.log(np.nan_to_num(ohms, posinf=1.0)
                                                                                   + 2.0)))
    found = np.full(len(logs), -1, dtype=np.int64)
    number = 0
    for i in range(len(logs)):
        if found[i] < 0:
            near = np.abs(logs - logs[i]) / np.sqrt(sigma**2 + sigma[i] ** 2) < 2 * SAME
            found[near & (found < 0)] = number
            number += 1
    return found


def _columns(classes: Ints, weights: Floats) -> list[int]:
    """The positions that together tell most faults apart, in the order a person steps through them."""
    chosen: list[int] = []
    key = np.zeros(len(classes), dtype=np.int64)
    known = 0.0
    while len(chosen) < COLUMNS:
        gains = []
        for state in range(classes.shape[1]):
            both = np.unique(key * 1000 + classes[:, state], return_inverse=True)[1].astype(np.int64)
            gains.append(round(_bits(both, weights), 9))
        best = int(np.argmax(gains))
        if gains[best] < known + GAIN and chosen:
            break
        chosen.append(best)
        known = gains[best]
        key = np.unique(key * 1000 + classes[:, best], return_inverse=True)[1].astype(np.int64)
    return sorted(set(chosen))


def _bits(numbers: Ints, weights: Floats) -> float:
    share = np.bincount(numbers, weights) / weights.sum()
    return -math.fsum(p * math.log2(p) for p in share if p > 0)


def _row(
    run: FaultRun, members: Sequence[int], columns: Sequence[int], healthy: Sequence[int], classes: Ints, by_ear: bool
) -> LookUpRow:
    order = sorted(members, key=lambda i: (-run.faults[i].weight, i))
    shown = tuple("" if classes[order[0], c] == h else _words(run, order[0], c, by_ear)
                  for c, h in zip(columns, healthy, strict=True))
    kinds: dict[str, list[str]] = {}
    for i in order:
        kinds.setdefault(run.faults[i].kind, []).append(_place(run, run.faults[i]))
    faults = tuple((fault_kind(kind).heading, tuple(dict.fromkeys(places))[:PLACES],
                    max(0, len(dict.fromkeys(places)) - PLACES)) for kind, places in kinds.items())
    return LookUpRow(shown, faults, sum(run.faults[i].weight for i in members))


def _place(run: FaultRun, fault: FaultHypothesis) -> str:
    """The shortest words for where a fault sits."""
    if fault.kind in ("joint", "exchanged") and fault.tags:
        return " and ".join(fault.tags)
    if fault.kind == "moved" and fault.tags:
        return f"{fault.tags[0]} on {place_words(run.wiring, fault.lugs[:1])}"
    if fault.kind in ("bridge", "contact open", "contact stuck"):
        return place_words(run.wiring, fault.lugs).replace(", ", " to ")
    if fault.edit is not None or fault.kind.startswith("coil"):
        return fault.words.partition(":")[0]
    return place_words(run.wiring, fault.lugs[:1])


def _words(run: FaultRun, fault: int, state: int, by_ear: bool) -> str:
    if by_ear:
        return SOUNDS[int(sounds(run, 0)[fault, state])]
    ohms = float(run.ohms[fault, 0, state])
    if math.isnan(ohms):
        return "no figure"
    if math.isinf(ohms):
        return "open"
    return "0 Ω" if ohms < 5 else quantity(ohms, RESISTANCE, 2)
