"""The order of joints held against a checker written from the rules alone, and every rule shown to bind."""

from __future__ import annotations

import math
import random
from pathlib import Path

import pytest
from sampled import proof_of as proof

from diagramgen.job.joints import work_of
from diagramgen.job.order import RULES, Step, arranged, befores, consistent, order_of, steps_of
from diagramgen.job.stage_checks import stage_checks
from diagramgen.layout.model import Layout

SAMPLES = Path(__file__).parents[2] / "samples"
NAMES = ("one-volume", "two-pickups-toggle", "baritone", "holes-in-top", "bass-active", "three-singles-lever",
         "left-handed", "no-cavity")


def plan(name: str) -> Layout:
    found = proof(name).layout
    assert found is not None
    return found


Name = tuple[str, str]
GROUPS = ("cases", "harness", "cavity", "channels", "pickups")


def broken(layout: Layout, steps: list[Step]) -> set[tuple[str, Name, Name]]:
    """(rule, what should come first, what should come after it) of everything out of order, from build and layout."""
    return {*_tinned(steps), *_fitted(layout, steps), *_leaving(layout, steps), *_cut(layout, steps),
            *_heat_and_depth(layout, steps), *_pickups(layout, steps), *_stops(steps)}


def _at(steps: list[Step], kind: str) -> list[tuple[int, Step]]:
    return [(i, s) for i, s in enumerate(steps) if s.kind == kind]


def _part(step: Step) -> str:
    return step.lug.split(".")[0]


def _shut(layout: Layout, part: str) -> bool:
    """Whether a part sits where no iron comes once it is in: a bore from the side, a body without a cover."""
    placed = layout.parts[part]
    cavity = layout.regions[placed.region].cavity if placed.region in layout.regions else None
    return (cavity is not None and not placed.outside and cavity.plate is None
            and (cavity.outline is None or cavity.opened in ("side", "none")))


def _kind(part, lug: str) -> str:
    return next(p.kind for p in part.part.symbol.drawing.lugs if any(lug in row for row in p.names))


def _tinned(steps: list[Step]):
    for j, tin in _at(steps, "tin"):
        yield from (("tin", tin.name, s.name) for i, s in _at(steps, "solder") if s.lug == tin.lug and i < j)
        for kind in ("fix", "fit"):
            yield from (("tin", tin.name, s.name) for i, s in _at(steps, kind) if _part(tin) in s.parts and i < j)


def _fitted(layout: Layout, steps: list[Step]):
    """Before and after a part goes in, and before and after it is held on its plate or jig."""
    jigged = {part for _, s in _at(steps, "fix") for part in s.parts}
    for i, fit in _at(steps, "fit"):
        for j, s in _at(steps, "solder"):
            if _part(s) not in fit.parts:
                continue
            early = s.group in ("cases", "harness") or _shut(layout, _part(s))
            if early and j > i:
                yield "outside", s.name, fit.name
            if not early and _part(s) in jigged and j < i:
                yield "outside", fit.name, s.name
    bent = {one.lead.tag for one in layout.leads if one.lead.kind == "bend"}
    for i, fix in _at(steps, "fix"):
        yield from (("fixed", fix.name, s.name) for j, s in _at(steps, "solder") if _part(s) in fix.parts and j < i
                    and s.group in ("cases", "harness") and not set(s.tags) <= bent)


def _home_ends(layout: Layout, steps: list[Step]) -> set[tuple[str, str]]:
    """(tag, lug) of wires that leave what is wired on a jig or plate: their end there, read from the build alone.

    Their braids too, where those end there. Not pickups' conductors, which come last, nor other conductors that come
    with a part, nor kept wires, nor wires to a part no iron reaches once it is in.
    """
    jigs = [set(s.parts) for _, s in _at(steps, "fix")]
    found = set()
    for one in layout.leads:
        ends = [e for e in (one.lead.start, one.lead.end) if e.part in layout.parts]
        parts = [layout.parts[e.part] for e in ends]
        if (len(ends) < 2 or not one.lead.is_wire or one.lead.reused or any(_shut(layout, e.part) for e in ends)
                or any(e.kind in ("coil", "transducer") for p in parts for e in p.part.symbol.elements)
                or any(_kind(p, e.lug) == "conductor" for p, e in zip(parts, ends, strict=True))):
            continue
        homes = [next((n for n, jig in enumerate(jigs) if stands <= jig), None)
                 for stands in ({e.part for e in p.part.between} if p.part.between else {p.part.name} for p in parts)]
        first = next((h for h in homes if h is not None), None)
        if first is not None and len(set(homes)) > 1:
            found |= {(one.lead.tag, str(e)) for e, h in zip(ends, homes, strict=True) if h == first}
            found |= {(one.lead.tag, str(e)) for e in one.lead.shield_to if e.part in jigs[first]}
    return found


def _leaving(layout: Layout, steps: list[Step]):
    """A harness goes in with every joint made on it that can be: the ends of wires that leave it too."""
    ends = _home_ends(layout, steps)
    for i, fit in _at(steps, "fit"):
        yield from (("outside", s.name, fit.name) for j, s in _at(steps, "solder") if j > i and _part(s) in fit.parts
                    and any((tag, s.lug) in ends for tag in s.tags))


def _cut(layout: Layout, steps: list[Step]):
    """A wire is cut between its fixed parts, and before it is soldered but for an end that is soldered while it is
    long: one no iron reaches later, and one on a harness that the wire leaves."""
    leaving = _home_ends(layout, steps)
    ends = {one.lead.tag: {e.part for e in (one.lead.start, one.lead.end)} for one in layout.leads}
    for i, cut in _at(steps, "cut"):
        for tag in cut.tags:
            jig = any(ends[tag] <= set(s.parts) for _, s in _at(steps, "fix"))
            yield from (("fixed", s.name, cut.name) for j, s in _at(steps, "fix" if jig else "fit")
                        if ends[tag] & set(s.parts) and j > i)
            for j, s in _at(steps, "solder"):
                mine = tag in s.tags
                long = _shut(layout, _part(s)) and any(
                    tag in o.tags and not _shut(layout, _part(o)) for _, o in _at(steps, "solder"))
                if mine and j < i and not long and (tag, s.lug) not in leaving:
                    yield "cut", cut.name, s.name


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
                yield "heat", s.name, t.name
            floor = "floor" in (p.part.symbol.mounting.side, q.part.symbol.mounting.side)
            if not floor and "spot" not in (a.kind, b.kind) and apart <= 9 and b.depth - a.depth >= 3:
                yield "deep", s.name, t.name


def _pickups(layout: Layout, steps: list[Step]):
    pickups = {n for n, p in layout.parts.items()
               if any(e.kind in ("coil", "transducer") for e in p.part.symbol.elements)}
    theirs = {one.lead.tag for one in layout.leads if {one.lead.start.part, one.lead.end.part} & pickups}
    for i, s in _at(steps, "solder"):
        if set(s.tags) & theirs:
            yield from (("pickups", o.name, s.name) for j, o in _at(steps, "solder")
                        if not set(o.tags) & theirs and j > i)


def _stops(steps: list[Step]):
    """A stop closes its group: nothing of the group after it, nothing of a later group before it."""
    for i, stop in _at(steps, "check"):
        for j, s in _at(steps, "solder"):
            mine = GROUPS.index(s.group) <= GROUPS.index(stop.group)
            if mine and j > i:
                yield "stage", s.name, stop.name
            if not mine and j < i:
                yield "stage", stop.name, s.name


def unsaid(layout: Layout) -> set[tuple[str, Name, Name]]:
    """What our order breaks without saying that just this pair could not be kept."""
    order = order_of(layout)
    left = {(b.first, b.then) for b in order.left_out}
    return {one for one in broken(layout, [o.step for o in order.steps]) if one[1:] not in left}


@pytest.mark.parametrize("name", NAMES)
def test_our_order_breaks_no_rule_that_it_does_not_say_it_leaves_out(name: str) -> None:
    assert unsaid(plan(name)) == set()


@pytest.mark.parametrize("name", NAMES)
def test_two_steps_a_rule_holds_apart_are_seen_when_they_change_places(name: str) -> None:
    # Each kept pair of rule and steps, exchanged: the checker must name that pair.
    layout = plan(name)
    steps = [one.step for one in order_of(layout).steps]
    place = {s.name: i for i, s in enumerate(steps)}
    kept = consistent(befores(work_of(layout), steps_of(work_of(layout)), layout))[0]
    seen, rules = 0, set()
    for pair in kept:
        mixed = list(steps)
        a, b = place[pair.first], place[pair.then]
        mixed[a], mixed[b] = mixed[b], mixed[a]
        if (pair.first, pair.then) in {one[1:] for one in broken(layout, mixed)}:
            seen += 1
            rules.add(pair.rule)
    checks = sum(pair.first[0] == pair.then[0] == "check" for pair in kept)
    assert seen == len(kept) - checks
    assert rules >= {"fixed", "pickups", "stage"} - {b.rule for b in order_of(layout).left_out}


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


def test_wires_that_leave_a_harness_are_soldered_at_its_lugs_before_it_goes_in_and_cut_at_the_far_end_after() -> None:
    # One heat for the case of a pot but for the pickups' conductors: the leads to the jack and the strings wait at
    # their far ends alone.
    steps = [one.step for one in order_of(plan("left-handed")).steps]
    at = {s.name: i for i, s in enumerate(steps)}
    tags = {s.key: set(s.tags) for s in steps if s.kind == "solder"}
    ends = {one.lead.tag: (str(one.lead.start), str(one.lead.end)) for one in plan("left-handed").leads}
    hot = next(t for t, e in ends.items() if e == ("volume.wiper", "output.tip"))
    ground = next(t for t, e in ends.items() if e == ("tone.case", "output.sleeve"))
    strings = next(t for t, e in ends.items() if e == ("strings.ground", "tone.case"))
    assert hot in tags["volume.wiper outside"]
    assert {ground, strings} <= tags["tone.case outside"]
    assert "tone.case inside" not in tags
    harness = next(i for i, s in enumerate(steps) if s.kind == "fit" and "tone" in s.parts)
    cut = next(i for i, s in enumerate(steps) if s.kind == "cut" and hot in s.tags)
    assert at["solder", "tone.case outside"] < harness < at["fit", "output"] < cut < at["solder", "output.tip inside"]
    again = dict(order_of(plan("left-handed")).again)
    assert "tone.case" not in again


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
