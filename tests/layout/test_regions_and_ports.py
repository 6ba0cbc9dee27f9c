"""Rooms for the router and the doors between them: bends, lugs, ends in the air, points to pass, and who lies
beside whom.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import pytest
import shapely
from bench import box, build, cavity, channel, lead, modes, outline, part
from shapely.geometry import Point as Spot
from shapely.geometry import Polygon

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Line, Path, Point, moved, polyline
from diagramgen.layout.fit.wire_sizes import OUTER, outer_diameter, own_cable
from diagramgen.layout.global_routing.channel_ports import beside_partners, order_pins, sides_of
from diagramgen.layout.global_routing.constraints import Constraints, constraints_of
from diagramgen.layout.global_routing.crossable import crossing_place, free_over, may_pass_over, room_under
from diagramgen.layout.global_routing.crossing_minimisation import count_crossings, exchange_pins, weighted_crossings
from diagramgen.layout.global_routing.global_route import pitch_of
from diagramgen.layout.global_routing.regions import STUB, RegionBuilder, bend_of, obstacles_of, tongues_of
from diagramgen.layout.joint_ends import meeting_counts, met
from diagramgen.layout.placement.arrange_cavities import Placement, arrange
from diagramgen.layout.placement.place_parts import hulls, place_part
from diagramgen.layout.routing import Net, Pin, Route, RoutingRegion
from diagramgen.model.build import Build, Part, Post

PLAIN = [part("one", "pot-24", (30, 26)), part("two", "pot-24", (90, 26)),
         part("low", "toggle-mini-dpdt-on-on", (60, 60))]


def plan_of(made: Build) -> Placement:
    return arrange(made, Diagnostics())


def two_pots(lines: str = "one.ten -> two.ten, red", parts: Sequence[Part] = PLAIN) -> Build:
    return build(parts, lines, [cavity(outline=box(124, 74))])


def maker(made: Build, region: str = "controls") -> RegionBuilder:
    placement = plan_of(made)
    return RegionBuilder(placement, order_pins(placement), placement.regions[region])


def test_a_lead_is_bent_by_twice_its_thickness_and_by_three_times_with_a_braid() -> None:
    made = two_pots()
    assert bend_of(made, lead("a.b -> c.d, red", "W1")) == pytest.approx(2.8)
    assert bend_of(made, lead("a.b -> c.d, shielded", "W1")) == pytest.approx(9.0)
    assert bend_of(made, lead("a.b -> c.d, bare", "W1")) == 2.5
    assert bend_of(made, lead("a.b -> c.d, leg", "W1")) == 1.5
    assert bend_of(made, replace(lead("a.b -> c.d, red", "W1"), diameter=2.0)) == 4.0
    assert bend_of(made, replace(lead("a.b -> c.d, shielded", "W1"), diameter=4.0)) == 12.0


def test_how_thick_a_lead_is() -> None:
    made = two_pots()
    plain = lead("a.b -> c.d, red", "W1")
    assert outer_diameter(plain, made) == 1.4
    assert outer_diameter(replace(plain, gauge=24), made) == 1.4
    assert outer_diameter(replace(plain, gauge=22), made) == OUTER[22]
    assert outer_diameter(replace(plain, gauge=23), made) == OUTER[22]
    assert outer_diameter(replace(plain, gauge=40), made) == OUTER[30]
    assert outer_diameter(replace(plain, cloth=True), made) == 2.1
    assert pitch_of(made, plain) == 1.9
    assert pitch_of(made, lead("a.b -> c.d, shielded", "W1")) == 3.0


def test_whose_cable_a_conductor_runs_in() -> None:
    made = modes()
    assert own_cable(lead("neck.a finish -> volume.ten, red", "W1"), made) == "neck"
    assert own_cable(lead("volume.ten -> neck.a finish, red", "W1"), made) == "neck"
    assert own_cable(lead("parked -> neck.a finish, red", "W1"), made) == "neck"
    assert own_cable(lead("unknown -> volume.ten, red", "W1"), made) == ""
    assert own_cable(lead("volume.ten -> tone.ten, red", "W1"), made) == ""
    both = lead("neck.a finish -> bridge.a start, red", "W1")
    assert own_cable(both, made) == "neck"
    assert own_cable(both, made, "bridge-hole") == "bridge"
    assert own_cable(replace(both, cable="bridge"), made) == "bridge"


def test_close_lugs_keep_a_smaller_circle_so_that_a_lead_passes_midway() -> None:
    room = maker(two_pots())
    by_key = {t.subject: t for t in room.pins}
    assert by_key["one.ten"].radius == 1.6  # 7.7 mm to the next
    assert by_key["low.a 1"].radius == pytest.approx(4.7 / 2 - 0.95, abs=0.06)
    assert all(t.radius >= 0.7 for t in room.pins)
    assert by_key["one.ten"].body == "one"
    assert by_key["one.ten"].away == pytest.approx(math.pi / 2)
    assert by_key["one.case"].away is None


def test_the_metal_of_a_lug_is_closed_from_the_body_to_shortly_before_its_eyelet() -> None:
    pot = place_part(part("pot", "pot-24"), moved(Point(50, 30)), "c")  # tongues reach from 12.2 to 18.3, eyelets at 17
    found = tongues_of(pot)
    assert [o.metal for o in found] == [True] * 3
    for tongue, x in zip(found, (42.3, 50.0, 57.7), strict=True):
        xs, ys = [p.x for p in tongue.outline], [p.y for p in tongue.outline]
        assert (min(ys), max(ys)) == pytest.approx((42.2, 30 + 17 - 2.2))
        assert (min(xs), max(xs)) == pytest.approx((x - 0.55 * 1.6, x + 0.55 * 1.6))


def test_posts_and_bodies_are_in_the_way_and_what_leaves_room_may_be_passed_over() -> None:
    made = two_pots()
    made = replace(made, cavities={"controls": replace(made.cavities["controls"], cover=5.0)})
    posted = replace(made, cavities={"controls": replace(made.cavities["controls"], posts=(Post(Point(100, 60), 8),))})
    room = maker(posted)
    room.add_net(made.leads[0], room.lug_pin("one.ten"), room.lug_pin("two.ten"), Constraints())
    found = room.build().obstacles
    (post,) = (o for o in found if o.subject == "post")
    assert Polygon(post.outline).covers(Spot(100, 60).buffer(3.94))  # all of its wood, or leads come too near
    assert Spot(100, 60).buffer(4.01).covers(Polygon(post.outline))
    placement = plan_of(made)  # 38 mm deep, 5 mm of cover, pots 10 mm high
    assert free_over(placement, placement.parts["one"]) == 23
    assert may_pass_over(placement, placement.parts["one"])
    assert [o.passable for o in obstacles_of(placement, placement.parts["one"])] == [True]
    for depth, passed in ((19.0, True), (18.9, False)):
        low = plan_of(replace(made, cavities={"controls": replace(made.cavities["controls"], depth=depth)}))
        assert may_pass_over(low, low.parts["one"]) == passed
    thick = plan_of(replace(made, wire_diameter=21.5))
    assert not may_pass_over(thick, thick.parts["one"])
    unknown = plan_of(replace(made, cavities={"controls": replace(made.cavities["controls"], depth=None)}))
    assert free_over(unknown, unknown.parts["one"]) is None
    assert not may_pass_over(unknown, unknown.parts["one"])


def test_beneath_a_part_there_is_room_where_it_hangs_or_stands_on_feet() -> None:
    placement = plan_of(two_pots())
    assert not room_under(placement.parts["one"], 1.4)
    cap = place_part(part("cap", "capacitor-film", between=("a.b", "c.d")), moved(Point(0, 0)), "c")
    assert room_under(cap, 1.4)
    feet = replace(placement.parts["one"], body=tuple(replace(z, low=1.4) for z in placement.parts["one"].body))
    assert room_under(feet, 1.4)
    assert not room_under(feet, 1.5)


def test_a_lead_led_over_a_part_passes_its_body_where_that_bends_it_least() -> None:
    pot = place_part(part("pot", "pot-24"), moved(Point(50, 30)), "c")
    body = shapely.union_all(hulls(pot))
    at = crossing_place(pot, Point(0, 30), Point(100, 30))
    assert at is not None
    assert at.distance(Point(50, 30)) < 0.5
    high = crossing_place(pot, Point(0, 10), Point(100, 10))
    assert high is not None
    assert body.exterior.distance(Spot(high)) == pytest.approx(3, abs=0.1)  # at its upper edge
    assert high.y < 22
    assert abs(high.x - 50) < 1
    lugs = [lug.at for lug in pot.lugs.values() if lug.kind != "spot"]
    for y in (34, 38, 44, 60):
        place = crossing_place(pot, Point(0, y), Point(100, y))
        assert place is not None
        assert min(place.distance(p) for p in lugs) >= 2.95
    here = crossing_place(pot, Point(50, 30), Point(50, 30))
    assert here is not None
    assert body.covers(Spot(here))
    flat = place_part(part("x", "foil-patch"), moved(Point(0, 0)), "c")
    assert crossing_place(flat, Point(0, 0), Point(9, 0)) is None


def test_a_part_to_pass_is_put_among_the_places_to_pass_where_it_makes_the_least_detour() -> None:
    room = maker(two_pots())
    pot = room.placement.parts["one"]
    ends = Point(5, 26), Point(119, 26)
    assert room._led_past((), ends, [pot])[0].distance(Point(30, 26)) < 1.5
    first, *rest = room._led_past((Point(110, 30),), ends, [pot])
    assert first.distance(Point(30, 26)) < 1.5
    assert rest == [Point(110, 30)]
    first, last = room._led_past((Point(10, 30),), ends, [pot])
    assert first == Point(10, 30)
    assert last.distance(Point(30, 26)) < 1.5


@pytest.mark.parametrize("away", [0.0, math.pi / 2, math.pi, -math.pi / 2])
def test_an_end_in_the_air_goes_straight_on_from_its_lug_where_the_floor_is_free(away: float) -> None:
    empty = maker(two_pots(parts=[part("x", "splice", (10, 10))]))
    at = empty._free_near(Point(62, 40), away)
    assert at.distance(Point(62, 40).towards(away, STUB)) < 1e-3


@pytest.mark.parametrize(("off", "straight"), [(5.0, True), (4.0, False)])
def test_an_end_in_the_air_keeps_off_lugs_and_goes_straight_on_beside_them(off: float, straight: bool) -> None:
    room = maker(two_pots(parts=[part("x", "splice", (62 + off, 55))]))
    room.parts = []  # its lug alone
    at = room._free_near(Point(62, 40), math.pi / 2)
    assert (at == Point(62, 55)) == straight
    assert at.distance(Point(62 + off, 55)) >= 4.5


def test_an_end_in_the_air_turns_aside_to_the_free_side() -> None:
    for side in (-1, 1):
        edge = 62 - side * 2
        left, right = (edge, 100) if side > 0 else (24, edge)
        room = maker(two_pots(parts=[part("x", "splice", (10, 10))]))
        blocked = place_part(part("b", "pot-24"), moved(Point((left + right) / 2, 55)), "controls")
        body = replace(blocked, body=tuple(replace(z, outline=outline((left, 30), (right, 30), (right, 60), (left, 60)),
                                                   high=10.0) for z in blocked.body[:1]))
        room.parts = [*room.parts, body]
        at = room._free_near(Point(62, 40), math.pi / 2)
        assert not shapely.union_all(hulls(body)).buffer(1.8).contains(Spot(at))
        assert (at.x - 62) * side < 0
        assert 8.9 < at.distance(Point(62, 40)) < 22.1


def test_ends_in_the_air_keep_off_the_wall_the_lugs_and_each_other() -> None:
    room = maker(two_pots(parts=[part("x", "splice", (62, 60))]))
    floor = shapely.box(0, 0, 124, 74).buffer(-3)
    start = room.pin_index["x.joint"]
    found = [room.pins[room.stub_pin(f"W{i}", "unknown", start)].at for i in range(6)]
    for i, at in enumerate(found):
        assert floor.covers(Spot(at))
        assert all(at.distance(other) >= 4.5 for other in [Point(62, 60), *found[:i]])


def test_leads_beside_their_partners() -> None:
    def pairs(*names: str) -> set[frozenset[str]]:
        return {frozenset(name) for name in names}

    assert beside_partners("abcd", pairs("ad")) == list("adbc")
    assert beside_partners("abcd", pairs("bc")) == list("abcd")
    assert beside_partners("abcd", pairs("ac", "bd")) == list("acbd")
    assert beside_partners("abcd", pairs("dx")) == list("abcd")
    assert beside_partners("abcd", set()) == list("abcd")


def through_one_hole(lines: str) -> Build:
    """A switch outside with leads through one hole to lugs of two pots."""
    parts = [part("one", "pot-24", (60, 20), turned=90), part("two", "pot-24", (60, 54), turned=90),
             part("sw", "slide-dpdt", through="hole")]
    return build(parts, lines, [cavity(outline=outline((0, 0), (124, 0), (124, 74), (0, 74)))],
                 [channel("hole", (0, 37), diameter=14)])


def test_leads_in_a_door_stand_in_the_order_of_where_they_go_as_far_apart_as_they_are_thick() -> None:
    lines = ["sw.a 1 -> two.zero, red", "sw.a common -> one.ten, shielded", "sw.b 1 -> one.zero, red",
             "sw.b common -> two.ten, red"]
    placement = plan_of(through_one_hole("\n".join(lines)))
    slots = order_pins(placement)
    lanes = sorted((lane, tag) for (_, tag), lane in slots.offsets.items())
    places = [slots.at["hole", "controls", tag] for _, tag in lanes]
    pitches = [3.0 if tag == "W02" else 1.9 for _, tag in lanes]
    for i in range(3):
        apart = (pitches[i] + pitches[i + 1]) / 2
        assert lanes[i + 1][0] - lanes[i][0] == pytest.approx(apart, abs=1e-3)
        assert places[i].distance(places[i + 1]) == pytest.approx(apart, abs=1e-3)
    assert lanes[0][0] - pitches[0] / 2 == pytest.approx(-lanes[-1][0] - pitches[-1] / 2, abs=1e-3)
    assert {p.x for p in places} == {0.0}
    for tag in ("W01", "W02", "W03", "W04"):
        assert slots.at["hole", "controls", tag] == slots.at["hole", "stall hole", tag]
    assert sides_of(placement, "hole") == ("controls", "stall hole")


def crossed_room(*ways: Sequence[tuple[float, float]], names: Sequence[str] = "abcdef") -> dict[tuple[str, str], int]:
    lugs = tuple(Pin(f"{i}.{k}", Point(*way[k])) for i, way in enumerate(ways) for k in (0, -1))
    runs = tuple(Net(names[i], 2 * i, 2 * i + 1) for i in range(len(ways)))
    room = RoutingRegion((Point(-50, -50), Point(50, -50), Point(50, 50), Point(-50, 50)), (), lugs, runs)
    paths = [polyline([Point(*p) for p in way]) for way in ways]
    return count_crossings(room, [Route(run.subject, p, p.length()) for run, p in zip(runs, paths, strict=True)])


def test_crossings_are_counted_pair_by_pair_but_not_at_common_ends() -> None:
    flat, up = [(-10.0, 0.0), (10.0, 0.0)], [(0.0, -10.0), (0.0, 10.0)]
    zigzag = [(-8.0, -5.0), (-4.0, 5.0), (0.0, -5.0), (4.0, 5.0)]
    assert crossed_room(flat, up) == {("a", "b"): 1}
    assert crossed_room(up, flat, names="ba") == {("a", "b"): 1}
    assert crossed_room(flat, zigzag) == {("a", "b"): 3}
    assert crossed_room(flat, [(-10.0, 0.0), (5.0, 8.0)]) == {}
    assert crossed_room(flat, [(9.5, -5.0), (9.5, 5.0)]) == {}  # within a millimetre of an end
    assert crossed_room(flat, [(8.5, -5.0), (8.5, 5.0)]) == {("a", "b"): 1}
    assert crossed_room(flat, [(0.0, 2.0), (0.0, 10.0)]) == {}
    twice = crossed_room(flat, up, [(5.0, -10.0), (5.0, 10.0)], names="abb")  # a lead that passes the room twice
    assert twice == {("a", "b"): 2}
    assert crossed_room(flat, up, names="aa") == {}


def test_a_crossing_in_a_stall_weighs_three_times_and_the_doors_are_ordered_anew_where_that_helps() -> None:
    lines = "sw.a 1 -> two.zero, red\nsw.a common -> one.ten, red"
    placement = plan_of(through_one_hole(lines))
    slots = order_pins(placement)
    pair = ("W01", "W02")
    assert weighted_crossings(placement, {"controls": {pair: 2}, "stall hole": {pair: 1}}) == 5
    hints = constraints_of(placement, Diagnostics())
    assert exchange_pins(placement, slots, {"controls": {}, "stall hole": {}}, hints) is None
    # None for one of three.
    assert exchange_pins(placement, slots, {"controls": {pair: 1}, "stall hole": {}}, hints) is None
    assert exchange_pins(placement, slots, {"controls": {pair: 1}, "stall hole": {pair: 2}}, hints) is None
    for there in (0, 1):
        found = exchange_pins(placement, slots, {"controls": {pair: there}, "stall hole": {pair: 1}}, hints)
        assert found is not None
        assert [found.offsets["hole", t] for t in pair] == [slots.offsets["hole", t] for t in pair[::-1]]
        assert found.at["hole", "controls", "W01"] == slots.at["hole", "controls", "W02"]
    three = plan_of(through_one_hole(lines + "\nsw.b common -> one.wiper, red"))
    there = order_pins(three)
    order = sorted(("W01", "W02", "W03"), key=lambda t: there.offsets["hole", t])
    every = {tuple(sorted(p)): 1 for p in combinations(order, 2)}
    last = exchange_pins(three, there, {"stall hole": every}, constraints_of(three, Diagnostics()))
    assert last is not None
    assert sorted(order, key=lambda t: last.offsets["hole", t]) == order[::-1]
    twisted = {"W01": Constraints(twisted="W02"), "W02": Constraints()}
    again = exchange_pins(placement, slots, {"controls": {}, "stall hole": {pair: 1}}, twisted)
    assert again is not None


def test_what_meets_at_a_lug_is_counted_by_the_room_it_takes() -> None:
    lines = """
        one.ten -> two.ten, red
        one.ten -> two.wiper, leg
        one.zero -> one.case, bend
        low.a 1 -> low.a 2, bridge
        unknown -> one.ten, red
        one.wiper -> two.wiper, shielded
    """
    made = two_pots(lines)
    bus = [replace(w, bus="B") for w in build([], "one.ten -> low.b 1, bare\none.ten -> low.b 2, bare").leads]
    braided = replace(made.leads[5], shield_to=(made.leads[2].end,))
    found = [*made.leads[:5], braided, *bus]
    counts = meeting_counts(made, found)
    assert counts["one.ten"] == 4  # a wire, a leg, a wire from nowhere, a bus wire counted once
    assert counts["one.zero"] == 0  # where a bent lug comes from
    assert counts["one.case"] == 2  # where it goes to, and a braid
    assert counts["low.a 1"] == counts["low.a 2"] == 0
    assert (counts["low.b 1"], counts["low.b 2"]) == (1, 1)
    assert counts["two.wiper"] == 2
    assert [one.tag for one in met(made, found)["one.case"]] == ["W03", "W06"]
    tails = lead("neck.a finish -> volume.ten, red", "W1")
    assert set(met(modes(), [tails])) == {"volume.ten"}  # nothing is soldered where a conductor leaves its part
    assert set(met(modes(), [replace(tails, kind="sleeved")])) == {"neck.a finish", "volume.ten"}


def test_a_route_of_no_length_is_no_crossing() -> None:
    room = RoutingRegion((Point(0, 0), Point(9, 0), Point(9, 9)), (), (Pin("a", Point(1, 1)),), (Net("a", 0, 0),))
    assert count_crossings(room, [Route("a", Path(Point(1, 1), (Line(Point(1, 1)),)), 0.0)]) == {}
