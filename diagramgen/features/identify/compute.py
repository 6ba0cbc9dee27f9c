"""Every order of the conductors weighed against what was metered: names, doubts, faults, the next measurement."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagramgen.features.identify.model import COVER, ExpectedReadings, Floats, Pickup, expected_readings
from diagramgen.features.identify.observations import JOINED, Face, Kick, Metering, Ohms, Tap

WRONG = 0.02
"""How often a yes or no of the meter is wrong, or entered wrongly (a judgement from memory, no source)."""
MISREAD = 0.008
"""How often open, joined or a reading is taken for another of the three (a judgement from memory, no source)."""
COIL = 0.10
"""Standard deviation of ln(ohm) of one coil against the others of its pickup (common practice, no source)."""
KIND = 0.5
"""Standard deviation of ln(ohm) of a whole pickup against the typical one of its kind."""
NOISE = 0.01
INSIDE = 0.03
"""Share of pickups with a fault inside, all kinds together (a judgement from memory, no source)."""
SURE = 0.95
"""From this probability a conductor counts as named."""
WORTH = 0.03
"""Bits below which a measurement tells nothing."""

Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Orders:
    """Every order of the conductors, way round of the magnet and fault inside: one hypothesis a row."""

    pickup: Pickup
    expected: tuple[ExpectedReadings, ...]
    lug: Ints
    """Orders x (conductors + 1): the lug of each conductor, the cover last."""
    prior: Floats
    """Orders x 2 (magnet as usual, turned) x faults: ln."""


@dataclass(frozen=True)
class Named:
    """What one lug is: the likeliest conductor, and how sure."""

    lug: str
    conductor: int
    probability: float


@dataclass(frozen=True)
class Question:
    """The next measurement, and what it is worth in bits."""

    words: str
    bits: float
    kind: str
    """ohms | kick | tap | magnet, as ``observations.answered`` takes it."""
    one: int
    """Number of a conductor; for ``magnet`` that of the coil."""
    other: int
    """Number of the other conductor."""


@dataclass(frozen=True, eq=False)
class Sorted:
    """The conductors as far as they are sorted."""

    orders: Orders
    share: Floats
    """Orders x 2 x faults."""
    names: tuple[Named, ...]
    fault: str
    """What is probably wrong inside; '' for nothing."""
    warnings: tuple[str, ...]
    question: Question | None

    @property
    def sure(self) -> bool:
        """Whether every conductor is named and nothing warns."""
        return all(n.probability >= SURE for n in self.names) and not self.warnings


def orders_of(pickup: Pickup) -> Orders:
    """All hypotheses about a pickup."""
    count = len(pickup.lugs)
    lug = np.array([(*p, count) for p in itertools.permutations(range(count))], dtype=np.int64)
    known = expected_readings(pickup)
    faults = np.array([1 - INSIDE, *([INSIDE / max(len(known) - 1, 1)] * (len(known) - 1))])
    prior = np.log(np.broadcast_to(faults / 2 / len(lug), (len(lug), 2, len(known))))
    return Orders(pickup, known, lug, prior)


def sort(orders: Orders, metered: Sequence[Metering], colours: Sequence[str], ask: bool = True) -> Sorted:
    """Sort the conductors by what was metered. ``colours`` name them in words and questions."""
    logs = orders.prior + _scaled(orders, [m for m in metered if isinstance(m, Ohms)])
    for one in metered:
        if not isinstance(one, Ohms):
            logs = logs + _yes_no(orders, one)
    share = np.exp(logs - logs.max())
    fit = float(logs.max() - orders.prior.max())
    share = share / share.sum()
    names = _names(orders, share)
    fault, sure = _fault(orders, share)
    warnings = [*_doubts(names, colours), *([f"{fault} ({round(100 * sure)} %)"] if fault else []),
                *_contradictions(orders, metered, fit)]
    return Sorted(orders, share, names, fault, tuple(warnings),
                  _next(orders, share, metered, colours) if ask else None)


def _scaled(orders: Orders, readings: Sequence[Ohms]) -> Floats:
    """ln of the likelihood of all ohm readings: open or not, joined or not, and how coils compare.

    Pickups of one kind differ widely, the coils of one pickup little: each hypothesis is given the common factor
    that fits it best, held to what is usual.
    """
    shape = orders.prior.shape
    found = np.zeros(shape)
    if not readings:
        return found
    for f, shown in enumerate(orders.expected):
        offs, total = [], np.zeros(len(orders.lug))
        for r in readings:
            expected = shown.ohms[orders.lug[:, r.one], orders.lug[:, r.other]]
            kind = np.where(np.isinf(expected), 2, np.where(expected < JOINED, 0, 1))
            seen = 2 if math.isinf(r.ohms) else 0 if r.ohms < JOINED else 1
            total += np.where(kind == seen, math.log(1 - MISREAD), math.log(MISREAD / 2))
            with np.errstate(divide="ignore", invalid="ignore"):
                off = math.log(max(r.ohms, 1e-3)) - np.log(expected) if seen == 1 else np.full(len(expected), np.nan)
            offs.append(np.where((kind == 1) & (seen == 1), off, np.nan))
        total += _comparison(np.array(offs))
        found[:, :, f] = total[:, None]
    return found


def _comparison(offs: Floats) -> Floats:
    """ln of the likelihood of ln(seen / expected) (readings x orders; nan where there is none to compare)."""
    known = ~np.isnan(offs)
    count = known.sum(axis=0)
    values = np.where(known, offs, 0.0)
    own = COIL**2 + NOISE**2
    mean = values.sum(axis=0) / (count + own / KIND**2)
    left = (np.where(known, values - mean[None, :], 0.0) ** 2).sum(axis=0) / own + (mean / KIND) ** 2
    return np.asarray(np.where(count > 0, -0.5 * np.minimum(left, 60.0), 0.0))


def _yes_no(orders: Orders, one: Kick | Tap | Face) -> Floats:
    found = np.zeros(orders.prior.shape)
    coils = orders.pickup.coils
    for f, shown in enumerate(orders.expected):
        for turned, way in enumerate((1, -1)):
            if isinstance(one, Face):
                hit = np.full(len(orders.lug), coils[one.coil].magnet * way == one.pole)
                chance = np.where(hit, 1 - WRONG, WRONG)
            elif isinstance(one, Kick):
                swing = shown.kick[orders.lug[:, one.red], orders.lug[:, one.black]] * way
                chance = np.where(swing == 0, 0.1, np.where(swing == one.swing, 1 - WRONG, WRONG))
            else:
                coil = shown.coil[orders.lug[:, one.one], orders.lug[:, one.other]]
                chance = np.where(coil == one.coil, 1 - WRONG, np.where(coil == -2, 0.3, WRONG))
            found[:, turned, f] = np.log(chance)
    return found


def _names(orders: Orders, share: Floats) -> tuple[Named, ...]:
    """Each lug's conductor in the likeliest order, with how sure it is over all orders."""
    by_order = share.sum(axis=(1, 2))
    best = orders.lug[int(np.argmax(by_order))]
    found = []
    for number, lug in enumerate(orders.pickup.lugs):
        conductor = int(np.flatnonzero(best[:-1] == number)[0])
        found.append(Named(lug, conductor, float(by_order[orders.lug[:, conductor] == number].sum())))
    return tuple(found)


def _fault(orders: Orders, share: Floats) -> tuple[str, float]:
    by_fault = share.sum(axis=(0, 1))
    if by_fault[0] > SURE:
        return "", 0.0
    worst = 1 + int(np.argmax(by_fault[1:]))
    return orders.expected[worst].fault.words, float(by_fault[worst])


def _doubts(names: Sequence[Named], colours: Sequence[str]) -> Iterator[str]:
    unsure = [n for n in names if n.probability < SURE]
    if unsure:
        said = ", ".join(f"{n.lug} ({colours[n.conductor]} {round(100 * n.probability)} %)" for n in unsure)
        yield f"not settled yet: {said}"


def _contradictions(orders: Orders, metered: Sequence[Metering], fit: float) -> Iterator[str]:
    """Readings no order explains, and coils that differ more from the kind than is usual."""
    if metered and fit < len(metered) * math.log(1 - WRONG) - 13:
        yield ("these readings do not fit this kind of pickup with at most one fault inside: take them again, k and M "
               "apart, fingers off the probes, or name another kind")
    coils = [m.ohms for m in metered if isinstance(m, Ohms) and JOINED <= m.ohms < math.inf]
    usual = [c.ohm for c in orders.pickup.coils]
    if coils and (max(coils) > 12 * sum(usual) or min(coils) < min(usual) / 12):
        yield "a reading is far from what coils of this kind read: is it k for M, or fingers on the probes?"


def _next(orders: Orders, share: Floats, metered: Sequence[Metering], colours: Sequence[str]) -> Question | None:
    best: Question | None = None
    for question in _questions(orders, share, metered, colours):
        if question.bits >= WORTH and (best is None or question.bits > best.bits + 1e-9):
            best = question
    return best


def _questions(orders: Orders, share: Floats, metered: Sequence[Metering], colours: Sequence[str]
               ) -> Iterator[Question]:
    names = (*colours, COVER)
    done = {(type(m), *sorted(_ends(m))) for m in metered}
    for i, j in itertools.combinations(range(len(names)), 2):
        if (Ohms, i, j) not in done:
            outcome = np.stack([_class(s.ohms[orders.lug[:, i], orders.lug[:, j]]) for s in orders.expected], axis=1)
            yield Question(f"ohms from {names[i]} to {names[j]}", _worth(share, np.stack([outcome] * 2, axis=1)),
                           "ohms", i, j)
    for i, j in itertools.combinations(range(len(colours)), 2):
        swing = np.stack([s.kick[orders.lug[:, i], orders.lug[:, j]] for s in orders.expected], axis=1)
        coil = np.stack([s.coil[orders.lug[:, i], orders.lug[:, j]] for s in orders.expected], axis=1)
        # A kick or a tap means something only where a coil is known to lie between the two.
        between = float(share[np.broadcast_to((coil != -1)[:, None, :], share.shape)].sum())
        if between < 0.8:
            continue
        if (Tap, i, j) not in done and len(orders.pickup.coils) > 1:
            yield Question(f"meter on {names[i]} and {names[j]}, steel to each coil's poles in turn: which moves it?",
                           0.9 * _worth(share, np.stack([coil] * 2, axis=1)), "tap", i, j)
        if (Kick, i, j) not in done:
            yield Question(f"kick, red lead on {names[i]}, black on {names[j]}, steel coming near: plus or minus?",
                           0.9 * _worth(share, np.stack([swing, -swing], axis=1)), "kick", i, j)
    for c, coil_ in enumerate(orders.pickup.coils):
        if (Face, c) not in done:
            way = np.stack([np.full(share[:, 0].shape, w) for w in (1, -1)], axis=1)
            yield Question(f"magnet pole of the {coil_.says} toward the strings (compass): north or south?",
                           0.4 * _worth(share, way), "magnet", c, c)


def _ends(m: Metering) -> tuple[int, ...]:
    if isinstance(m, Face):
        return (m.coil,)
    return (m.red, m.black) if isinstance(m, Kick) else (m.one, m.other)


def _class(ohms: Floats) -> Ints:
    """Open, joined, or a reading told apart from others by more than two coils differ."""
    with np.errstate(divide="ignore"):
        logs = np.log(np.where(np.isfinite(ohms), np.maximum(ohms, 1.0), 1.0))
    steps = np.round(logs / (2.5 * COIL)).astype(np.int64)
    return np.asarray(np.where(np.isinf(ohms), -2, np.where(ohms < JOINED, -1, steps)))


def _worth(share: Floats, outcome: Ints) -> float:
    """Bits the outcome tells about order, way round of the magnet and fault: its own entropy, as each decides it."""
    low = int(outcome.min())
    return _bits(np.asarray(np.bincount((outcome - low).ravel(), share.ravel()), dtype=float))


def _bits(chances: Floats) -> float:
    some = chances[chances > 1e-15]
    return float(-(some * np.log2(some)).sum())
