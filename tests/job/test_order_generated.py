"""The order of joints over builds drawn at random: complete, of one piece, and no rule broken in silence."""

from __future__ import annotations

import random
from collections import Counter

import pytest
from builders import build, cavity, hinged, layout, lead, part, span
from test_order import unsaid

from diagramgen.job.bench_steps import bench_groups
from diagramgen.job.lead_list import lead_rows
from diagramgen.job.order import GROUPS, order_of
from diagramgen.job.stage_checks import stage_checks
from diagramgen.layout.global_routing.global_route import legs
from diagramgen.layout.model import LaidLead, Layout
from diagramgen.model.build import Build, Lead, Part

SEEDS = range(60)
POT = ("ten", "wiper", "zero", "case")


def _parts(dice: random.Random, rooms: list[str]) -> list[Part]:
    made = [part(f"pot{i}", "pot", (dice.uniform(15, 110), dice.uniform(20, 60)), dice.choice(rooms))
            for i in range(dice.randint(1, 5))]
    made += [part(f"switch{i}", "slider", (dice.uniform(15, 110), dice.uniform(20, 60)), dice.choice(rooms))
             for i in range(dice.randint(0, 2))]
    made += [part(f"coil{i}", "coil", cavity="", through="bore") for i in range(dice.randint(1, 3))]
    made.append(part("output", "jack", (20, 20), dice.choice([*rooms, ""])))
    made.append(part("strings", "bridge", cavity="", through="bore"))
    if dice.random() < 0.6:
        made.append(part("cap", "cap", cavity=rooms[0], between=("pot0.wiper", "pot0.case")))
    return made


def _leads(dice: random.Random, parts: list[Part]) -> list[Lead]:
    lugs = [f"{p.name}.{lug}" for p in parts if p.symbol.name not in ("coil", "cap") for lug in p.symbol.lug_names()]
    ends = [f"{p.name}.{lug}" for p in parts if p.symbol.name == "coil" for lug in ("start", "finish")]
    made = [lead(f"B{p.name}", f"{p.name}.zero -> {p.name}.case", "bend") for p in parts
            if p.symbol.name == "pot" and dice.random() < 0.5]
    for i, conductor in enumerate(ends):
        made.append(lead(f"P{i}", f"{conductor} -> {dice.choice([*lugs, 'parked'])}", colour="red",
                         cable=conductor.split(".")[0]))
    if len(ends) > 3 and dice.random() < 0.5:
        made = [one for one in made if one.tag not in ("P1", "P3")]
        made.append(lead("S0", f"{ends[1]} -> {ends[3]}", "sleeved"))
    for i in range(dice.randint(2, 14)):
        a, b = dice.sample(lugs, 2)
        kind = dice.choice(("wire", "wire", "wire", "bare", "shielded"))
        shield = {"shield_to": (dice.choice(lugs),)} if kind == "shielded" and dice.random() < 0.7 else {}
        made.append(lead(f"W{i}", f"{a} -> {dice.choice((b, b, b, b, 'unknown'))}", kind, colour="yellow",
                         reused=dice.random() < 0.1, **shield))
    return made


def drawn(seed: int) -> tuple[Build, Layout]:
    """A build nobody would wire, but every kind of lead and cavity in it."""
    dice = random.Random(seed)
    rooms = [f"room{i}" for i in range(dice.randint(1, 3))]
    spaces = [cavity(name, opened=dice.choice(("rear", "rear", "side", "none")),
                     plate=hinged() if dice.random() < 0.2 else None) for name in rooms]
    parts = _parts(dice, rooms)
    leads = _leads(dice, parts)
    made = build(parts, leads, spaces)
    return made, layout(made, [LaidLead(one, (span(rooms[0], 60.0),), ()) for one in (*leads, *legs(made))])


@pytest.mark.parametrize("seed", SEEDS)
def test_an_order_is_complete_and_breaks_no_rule_it_does_not_say_it_leaves_out(seed: int) -> None:
    made, plan = drawn(seed)
    order = order_of(plan)
    steps = [one.step for one in order.steps]
    assert len({s.name for s in steps}) == len(steps)
    assert unsaid(plan) == set()
    assert {s.group for s in steps} <= set(GROUPS)
    joints = Counter((tag, s.lug) for s in steps if s.kind == "solder" for tag in s.tags)
    assert set(joints.values()) == {1}
    cut = Counter(tag for s in steps if s.kind == "cut" for tag in s.tags)
    soldered = {tag for tag, _ in joints}
    assert cut == {one.tag: 1 for one in made.leads if one.is_wire and one.tag in soldered}


@pytest.mark.parametrize("seed", SEEDS)
def test_the_lead_list_and_the_work_sheet_follow_it_lead_by_lead(seed: int) -> None:
    made, plan = drawn(seed)
    order = order_of(plan)
    rows = lead_rows(plan, order)
    assert sorted(r.tag for r in rows) == sorted(one.lead.tag for one in plan.leads)
    made_at = order.made_at()
    places = [made_at[r.tag] for r in rows if r.tag in made_at]
    assert places == sorted(places)
    groups = bench_groups(plan, order, rows, stage_checks(made, order))
    lines = [line for group in groups for line in group.lines]
    solders = [line for line in lines if line.do in ("solder", "clamp", "join, sleeve")]
    assert [line.subject for line in solders] == [
        f"lug:{one.step.lug}" for one in order.steps if one.step.kind == "solder"]


@pytest.mark.parametrize("seed", range(0, 60, 6))
def test_what_a_stop_calls_ground_reads_under_one_ohm(seed: int) -> None:
    made, plan = drawn(seed)
    for stop in stage_checks(made, order_of(plan)):
        assert all(r.reading.ohms == 0 for r in stop.readings if r.ground)
