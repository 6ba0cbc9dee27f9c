"""Conductors of pickups named from what a meter says between them."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from functools import cache

import pytest

from diagramgen.features.identify.compute import Orders, Sorted, orders_of, sort
from diagramgen.features.identify.model import ExpectedReadings, Pickup, expected_readings, pickup_of
from diagramgen.features.identify.observations import BadMetering, Face, Kick, Metering, Ohms, Tap, read_metering
from diagramgen.library import catalogue

KINDS = ("dual-coil", "dual-coil-unlike", "single-coil-tapped", "single-coil", "dual-coil-two-conductor-bare",
         "single-coil-cover-tag")
COLOURS = ("red", "white", "green", "black", "bare", "yellow", "blue")


@cache
def orders(kind: str) -> Orders:
    return orders_of(pickup_of(catalogue.shipped()[kind]))


def real(pickup: Pickup, rng: random.Random) -> tuple[Pickup, ExpectedReadings, int]:
    """A pickup off the shelf: its ohms differ from the kind, its magnet lies either way, one in ten has a fault."""
    scale = math.exp(rng.gauss(0, 0.3))
    coils = tuple(replace(c, ohm=c.ohm * scale * math.exp(rng.gauss(0, 0.04))) for c in pickup.coils)
    made = replace(pickup, coils=coils)
    faults = expected_readings(made)
    return made, faults[0] if rng.random() < 0.9 else rng.choice(faults), rng.choice((1, -1))


def metered(pickup: Pickup, shown: ExpectedReadings, way: int, lug: list[int], rng: random.Random) -> list[Metering]:
    """Everything a patient technician meters, with 1 % noise."""
    count = len(pickup.lugs)
    found: list[Metering] = []
    for i in range(count + 1):
        for j in range(i + 1, count + 1):
            ohms = float(shown.ohms[lug[i], lug[j]])
            found.append(Ohms(i, j, ohms * math.exp(rng.gauss(0, 0.01)) if 0 < ohms < math.inf else ohms))
            if j < count and shown.kick[lug[i], lug[j]]:
                found.append(Kick(i, j, int(shown.kick[lug[i], lug[j]]) * way))
            if j < count and shown.coil[lug[i], lug[j]] >= 0:
                found.append(Tap(i, j, int(shown.coil[lug[i], lug[j]])))
    found += [Face(i, c.magnet * way) for i, c in enumerate(pickup.coils)]
    return found


def rightly(found: Sorted, lug: list[int]) -> bool:
    lugs = found.orders.pickup.lugs
    return all(lug[n.conductor] == lugs.index(n.lug) for n in found.names)


@pytest.mark.parametrize("kind", KINDS)
def test_conductors_are_named_rightly_and_never_wrongly_without_a_warning(kind: str) -> None:
    rng = random.Random(23)
    of = orders(kind)
    right = 0
    for _ in range(60):
        made, shown, way = real(of.pickup, rng)
        lug = [*rng.sample(range(len(made.lugs)), len(made.lugs)), len(made.lugs)]
        found = sort(of, metered(made, shown, way, lug, rng), COLOURS[: len(made.lugs)], ask=False)
        right += rightly(found, lug)
        assert rightly(found, lug) or found.warnings
        if shown.fault.words:
            assert found.warnings, shown.fault
    assert right >= 54


def test_questions_lead_to_every_name_with_fewer_measurements_than_all() -> None:
    rng = random.Random(4)
    of = orders("dual-coil")
    made, shown, way = real(of.pickup, random.Random(1))
    lug = [2, 0, 4, 1, 3, 5]
    every = metered(made, shown, way, lug, rng)
    found, answers = sort(of, [], COLOURS[:5]), []
    while found.question is not None and not found.sure and len(answers) < 20:
        q = found.question
        kind = {"ohms": Ohms, "kick": Kick, "tap": Tap, "magnet": Face}[q.kind]
        own = next(m for m in every if isinstance(m, kind)
                   and ({m.coil} if isinstance(m, Face) else {m.red, m.black} if isinstance(m, Kick)
                        else {m.one, m.other}) == {q.one, q.other})
        answers.append(own)
        found = sort(of, answers, COLOURS[:5])
    assert found.sure
    assert rightly(found, lug)
    assert len(answers) < len(every)


def test_two_like_coils_are_not_told_apart_by_ohms_alone() -> None:
    of = orders("dual-coil")
    rng = random.Random(2)
    made, shown, way = real(of.pickup, random.Random(1))
    lug = [0, 1, 2, 3, 4, 5]
    ohms = [m for m in metered(made, shown, way, lug, rng) if isinstance(m, Ohms)]
    found = sort(of, ohms, COLOURS[:5])
    assert not found.sure
    assert any("not settled" in w for w in found.warnings)
    assert found.question is not None
    assert found.question.kind in ("tap", "kick", "magnet")


def test_an_open_coil_is_said_to_be_open() -> None:
    of = orders("dual-coil")
    rng = random.Random(3)
    broken = expected_readings(of.pickup)[1]
    found = sort(of, metered(of.pickup, broken, 1, [0, 1, 2, 3, 4, 5], rng), COLOURS[:5])
    assert "open" in found.fault
    assert any("open" in w for w in found.warnings)


def test_readings_of_no_such_pickup_are_said_not_to_fit() -> None:
    of = orders("dual-coil")
    answers: list[Metering] = [Ohms(i, j, 4000.0) for i in range(5) for j in range(i + 1, 5)]
    found = sort(of, answers, COLOURS[:5])
    assert any("do not fit" in w for w in found.warnings)


def test_k_for_m_is_asked_about() -> None:
    of = orders("dual-coil")
    found = sort(of, [Ohms(0, 1, 4.1e6), Ohms(2, 3, 4.2e6)], COLOURS[:5])
    assert any("k for M" in w for w in found.warnings)


def test_no_reading_at_all_names_nothing_for_sure() -> None:
    found = sort(orders("dual-coil"), [], COLOURS[:5])
    assert not found.sure
    assert found.question is not None
    assert "ohms from" in found.question.words


@pytest.mark.parametrize("line", ["red", "red to purple: 4k", "red to red: 4k", "red to white: 4,1k", "kick red: plus",
                                  "kick red to white: up", "tap red to white: bass", "magnet slug: east",
                                  "magnet: north"])
def test_what_cannot_be_read_says_what_to_write(line: str) -> None:
    with pytest.raises(BadMetering) as fault:
        read_metering(line, COLOURS[:5], orders("dual-coil").pickup)
    assert fault.value.remedy
