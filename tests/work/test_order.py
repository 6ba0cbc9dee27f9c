"""The order of joints held against a checker written from the rules alone, and every rule shown to bind."""

from __future__ import annotations

import math
import random
from functools import cache
from pathlib import Path

import pytest

from diagramgen.layout.model import Layout
from diagramgen.pipeline import Proof, examine
from diagramgen.work.joining import work_of
from diagramgen.work.order import RULES, Step, arranged, befores, consistent, order_of, steps_of
from diagramgen.work.stagechecks import stage_checks

SAMPLES = Path(__file__).parents[2] / "samples"
NAMES = ("one-volume", "two-pickups-toggle", "baritone", "holes-in-top", "bass-active", "three-singles-lever",
         "left-handed", "no-cavity")


@cache
def proof(name: str) -> Proof:
    return examine(SAMPLES / f"{name}.yaml")


def plan(name: str) -> Layout:
    found = proof(name).layout
    assert found is not None
    return found


def broken(layout: Layout, steps: list[Step]) -> set[tuple[str, str, str]]:
    """(rule, what, where) of everything out of order, from the build and the layout alone."""
    return {*_parts_and_wires(layout, steps), *_heat_and_depth(layout, steps), *_pickups(layout, steps)}


def _at(steps: list[Step], kind: str) -> list[tuple[int, Step]]:
    return [(i, s) for i, s in enumerate(steps) if s.kind == kind]


def _parts_and_wires(layout: Layout, steps: list[Step]):
    solders = _at(steps, "solder")
    for i, fit in _at(steps, "fit"):
        for j, tin in _at(steps, "tin"):
            if tin.lug.split(".")[0] in fit.parts and j > i:
                yield "tin", tin.lug, "fit"
        for part in fit.parts:
            placed = layout.parts[part]
            cavity = layout.regions[placed.region].cavity
            shut = (cavity is not None and not placed.outside and cavity.plate is None
                    and (cavity.outline is None or cavity.opened in ("side", "none")))
            for j, s in solders:
                mine = s.lug.split(".")[0] == part
                if mine and shut and j > i:
                    yield "reach", s.lug, part
                if mine and s.group in ("cases", "harness") and j > i:
                    yield "outside", s.key, part
    for j, tin in _at(steps, "tin"):
        yield from (("tin", tin.lug, s.key) for i, s in solders if s.lug == tin.lug and i < j)
    for i, cut in _at(steps, "cut"):
        for tag in cut.tags:
            if not any(tag in s.tags for j, s in solders if j > i):
                yield "cut", tag, ""


def _heat_and_depth(layout: Layout, steps: list[Step]):
    placed = []
    for i, s in _at(steps, "solder"):
        part, _, lug = s.lug.partition(".")
        p = layout.parts[part]
        if not p.outside and lug in p.lugs and p.lugs[lug].kind not in ("conductor", "leg", "sleeve"):
            placed.append((i, s, p, p.lugs[lug]))
    for i, s, p, a in placed:
        for j, t, q, b in placed:
            apart = math.hypot(a.at.x - b.at.x, a.at.y - b.at.y)
            if p.region != q.region or j > i:
                continue
            if a.kind == "spot" and b.kind != "spot" and q.part.symbol.heat_sensitive and apart <= 18:
                yield "heat", s.key, t.key
            floor = "floor" in (p.part.symbol.mounting.side, q.part.symbol.mounting.side)
            if not floor and "spot" not in (a.kind, b.kind) and apart <= 9 and b.depth - a.depth >= 3:
                yield "deep", s.key, t.key


def _pickups(layout: Layout, steps: list[Step]):
    made = {}
    for i, s in _at(steps, "solder"):
        made.update((tag, i) for tag in s.tags)
    pickups = {n for n, p in layout.parts.items()
               if any(e.kind in ("coil", "transducer") for e in p.part.symbol.elements)}
    theirs = {one.lead.tag for one in layout.leads if {one.lead.start.part, one.lead.end.part} & pickups}
    for i, s in _at(steps, "solder"):
        if set(s.tags) & theirs:
            yield from (("pickups", tag, s.key) for tag, at in made.items() if tag not in theirs and at > i)


def said(layout: Layout) -> set[str]:
    return {b.rule for b in order_of(layout).left_out}


@pytest.mark.parametrize("name", NAMES)
def test_our_order_breaks_no_rule_that_it_does_not_say_it_leaves_out(name: str) -> None:
    layout = plan(name)
    steps = [one.step for one in order_of(layout).steps]
    assert {rule for rule, *_ in broken(layout, steps)} <= said(layout)


@pytest.mark.parametrize("name", NAMES)
def test_random_orders_are_rejected(name: str) -> None:
    layout, dice = plan(name), random.Random(7)
    steps = [one.step for one in order_of(layout).steps]
    ours = broken(layout, steps)
    for _ in range(20):
        mixed = dice.sample(steps, len(steps))
        assert broken(layout, mixed) - ours, name


@pytest.mark.parametrize("rule", list(RULES))
def test_every_rule_binds_in_some_sample(rule: str) -> None:
    # Without the rule, steps that ask for it come the other way round where nothing else holds them. The stops are
    # the weakest rule and left out first, so what only they imply does not count as held.
    for name in NAMES:
        layout = plan(name)
        work = work_of(layout)
        steps = steps_of(work)
        found = befores(work, steps, layout)
        asked = [b for b in consistent(found)[0] if b.rule == rule]
        without = consistent(b for b in found if b.rule not in (rule, "stage"))[0]
        place = {s.name: i for i, s in enumerate(arranged(steps[::-1], without))}
        if any(place[b.first] > place[b.then] for b in asked):
            return
    pytest.fail(f"{rule} never binds")


@pytest.mark.parametrize("name", NAMES)
def test_every_lead_and_leg_is_soldered_at_each_of_its_lugs_once(name: str) -> None:
    layout = plan(name)
    ends: dict[str, list[str]] = {}
    for one in order_of(layout).steps:
        if one.step.kind == "solder":
            for tag in one.step.tags:
                ends.setdefault(tag, []).append(one.step.lug)
    for one in layout.leads:
        lugs = ends[one.lead.tag]
        assert len(lugs) == len(set(lugs))
        assert set(lugs) <= {str(one.lead.start), str(one.lead.end), *map(str, one.lead.shield_to),
                             *(str(e) for c in layout.build.cables.values() for e in c.shield_to)}


def test_a_lug_is_soldered_more_than_once_only_between_waves_of_work() -> None:
    for name in NAMES:
        again = dict(order_of(plan(name)).again)
        assert all(n <= 3 for n in again.values())
        keys = [s.step.key for s in order_of(plan(name)).steps if s.step.kind == "solder"]
        assert len(keys) == len(set(keys))


def test_the_order_is_the_same_every_time() -> None:
    assert order_of(plan("baritone")) == order_of(plan("baritone"))


def test_a_jack_in_its_own_bore_is_soldered_before_it_goes_in_and_its_wires_are_cut_after() -> None:
    steps = [one.step for one in order_of(plan("two-pickups-toggle")).steps]
    at = {s.name: i for i, s in enumerate(steps)}
    jack = at["fit", "output"]
    assert at["solder", "output.tip inside"] < jack
    assert jack < at["cut", "channels"] < at["solder", "common.joint inside"]


def test_where_a_fished_harness_allows_no_full_order_the_weakest_rule_is_left_out_and_named() -> None:
    left = order_of(plan("holes-in-top")).left_out
    assert left
    assert {b.rule for b in left} == {"fixed", "pickups", "stage"}
    assert ("fixed", ("fit", "top"), ("cut", "pickups")) in {(b.rule, b.first, b.then) for b in left}


def test_a_volume_with_no_pickup_yet_reads_its_track_and_the_finished_build_its_coil() -> None:
    # Closed form: 250k alone; 6.2k beside 250k = 6.05k.
    one = proof("one-volume")
    assert one.build is not None
    checks = {c.group: {r.one: r.reading for r in c.readings} for c in stage_checks(one.build, order_of(plan(
        "one-volume")))}
    assert checks["channels"]["volume.wiper"].ohms == pytest.approx(250e3)
    assert checks["pickups"]["volume.ten"].ohms == pytest.approx(250e3 * 6.2e3 / 256.2e3)


@pytest.mark.parametrize("name", NAMES)
def test_every_ground_asked_at_a_stop_reads_under_one_ohm_there(name: str) -> None:
    build = proof(name).build
    assert build is not None
    for check in stage_checks(build, order_of(plan(name))):
        assert all(r.reading.ohms == 0 for r in check.readings if r.ground)
