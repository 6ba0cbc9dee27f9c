"""What the file asks of single leads is obeyed, or it is said that it is not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest
import shapely
from bench import box, build, cavity, channel, lead, part

from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Line, Path, Point, polyline
from diagramgen.layout.global_routing.constraint_check import _line, check_pairs
from diagramgen.layout.global_routing.constraints import Constraints, constraints_of
from diagramgen.layout.global_routing.region_memo import beside_distance
from diagramgen.layout.global_routing.regions import WALL_BAND
from diagramgen.layout.model import LaidLead, Layout, Span
from diagramgen.layout.placement.arrange_cavities import arrange
from diagramgen.layout.placement.place_parts import hulls
from diagramgen.layout.plan import layout
from diagramgen.layout.routing import Net, Pin, Route, RoutingRegion
from diagramgen.model.build import Build

PARTS = [
    part("one", "toggle-mini-dpdt-on-on", (20, 50)),
    part("two", "toggle-mini-dpdt-on-on", (100, 50)),
    part("pot", "pot-24", (60, 40)),
    part("low", "toggle-mini-dpdt-on-on", (24, 16)),
    part("high", "toggle-mini-dpdt-on-on", (100, 16)),
]
LINES = """
    one.a common -> two.a common, red
    one.b common -> two.b common, black
    low.a common -> high.a common, white
"""


def made(depth: float = 38.0, **hints: Mapping[str, Any]) -> Build:
    found = build(PARTS, LINES, [cavity(outline=box(124, 74), depth=depth)])
    return replace(found, leads=tuple(replace(w, **hints.get(w.tag, {})) for w in found.leads))


def laid(of: Build) -> tuple[Layout, list[str]]:
    say = Diagnostics()
    found = layout(of, say)
    return found, [f"{p.code} {p.message}" for p in say.sorted() if p.severity is not Severity.NOTE]


def lead_of(found: Layout, tag: str) -> LaidLead:
    return next(one for one in found.leads if one.lead.tag == tag)


def line_of(found: Layout, tag: str) -> shapely.LineString:
    return shapely.LineString(lead_of(found, tag).path.flat(0.02))


def test_without_hints_nothing_is_said() -> None:
    assert laid(made())[1] == []


def test_a_lead_along_the_wall_lies_there_but_for_its_ways_there_and_back() -> None:
    found, said = laid(made(W01={"along_wall": True}))
    wall = shapely.Polygon(found.regions["controls"].outline.flat(0.05)).exterior
    line, plain = line_of(found, "W01"), line_of(laid(made())[0], "W01")
    beside = line.intersection(wall.buffer(WALL_BAND + 0.1)).length
    assert said == []
    assert beside > 0.6 * line.length
    assert plain.intersection(wall.buffer(WALL_BAND + 0.1)).length < 0.2 * plain.length


def test_a_lead_along_the_wall_without_a_wall_is_said() -> None:
    bare = build([replace(p, at=None, cavity="") for p in PARTS], LINES)
    asked = replace(bare, leads=(replace(bare.leads[0], along_wall=True), *bare.leads[1:]))
    assert [s.startswith("RTE-102") and "no cavity" in s for s in laid(asked)[1]] == [True]
    assert not constraints_of(arrange(asked, Diagnostics()), Diagnostics())["W01"].along


@pytest.mark.parametrize("turned", [False, True])
def test_a_lead_along_the_wall_of_one_cavity_is_judged_there_alone(turned: bool) -> None:
    cavities = [cavity("one", box(90, 50)), cavity("two", box(90, 50))]
    ways = [channel("way", (90, 25), cavity="one", to="two", far=(0, 25))]
    parts = [part("a", "toggle-mini-dpdt-on-on", (20, 25), cavity="one"),
             part("b", "toggle-mini-dpdt-on-on", (20, 25), cavity="two")]
    ends = "b.a common -> a.a common, red" if turned else "a.a common -> b.a common, red"
    asked = build(parts, ends, cavities, ways)
    first = "'two'" if turned else "'one'"  # a place to pass lies in the first cavity it fits
    for via, where in ((Point(45, 25), [first]), (None, [])):
        wish = replace(asked.leads[0], along_wall=True, via=(via,) if via else ())
        said = laid(replace(asked, leads=(wish,)))[1]
        assert [next(n for n in ("'one'", "'two'") if n in s) for s in said if s.startswith("RTE-102")] == where


def test_a_lead_is_laid_over_a_part_that_leaves_room() -> None:
    found, said = laid(made(W03={"over": ("pot",)}))
    body = shapely.union_all(hulls(found.parts["pot"]))
    assert said == []
    assert line_of(found, "W03").intersection(body).length > 3
    assert "pot" in lead_of(found, "W03").spans[0].over
    assert line_of(laid(made())[0], "W03").intersection(body).length < 0.5


def test_a_lead_over_a_part_without_room_above_goes_round_and_says_how_much_is_free() -> None:
    depth = 12.0
    found, said = laid(made(depth, W03={"over": ("pot",)}))
    assert [s for s in said if s.startswith("RTE-103") and "above pot" in s]
    body = shapely.union_all(hulls(found.parts["pot"]))
    assert line_of(found, "W03").intersection(body).length < 0.5


def test_nothing_is_laid_under_a_part_that_sits_on_the_wood_but_under_a_hung_one() -> None:
    assert any(s.startswith("RTE-103") and "no room beneath" in s for s in laid(made(W03={"under": ("pot",)}))[1])
    hung = [*PARTS, part("cap", "capacitor-film", between=("pot.wiper", "pot.case"))]
    plain = build(hung, LINES, [cavity(outline=box(124, 74))])
    asked = replace(plain, leads=(*plain.leads[:2], replace(plain.leads[2], under=("cap",))))
    found, said = laid(asked)
    assert not [s for s in said if s.startswith("RTE-103")]
    assert line_of(found, "W03").intersection(shapely.union_all(hulls(found.parts["cap"]))).length > 1
    assert "cap" not in lead_of(found, "W03").spans[0].over  # beneath: it need not rise


@pytest.mark.parametrize("depth", [38.0, 18.0])
def test_leads_kept_apart_are_five_millimetres_apart_or_it_is_said(depth: float) -> None:
    found, said = laid(made(depth, W03={"apart_from": ("W01",)}, W01={"via": (Point(60, 17),)}))
    near = line_of(found, "W03").distance(line_of(found, "W01"))
    assert near >= 4.9 or any(s.startswith("RTE-104") and f"{near:.1f} mm" in s for s in said)
    assert near >= 4.9  # there is room here


def test_leads_that_must_cross_are_said_not_to_be_apart() -> None:
    plain = build(PARTS, "one.a common -> high.a common\nlow.a common -> two.b common", [cavity(outline=box(124, 74))])
    walled = replace(plain, leads=(replace(plain.leads[0], apart_from=("W02",)), plain.leads[1]))
    found, said = laid(walled)
    near = line_of(found, "W01").distance(line_of(found, "W02"))
    assert (near >= 4.9) == (not [s for s in said if s.startswith("RTE-104")])


def test_twisted_leads_lie_side_by_side_in_one_lane() -> None:
    found, said = laid(made(W02={"twisted_with": "W01"}))
    a, b = line_of(found, "W01"), line_of(found, "W02")
    near = beside_distance(Net("a", 0, 1), Net("b", 0, 1))
    assert not [s for s in said if s.startswith("RTE-105")]
    assert b.intersection(a.buffer(near)).length > a.length - 30
    assert not a.crosses(b)
    plain = laid(made())[0]
    assert line_of(plain, "W02").intersection(line_of(plain, "W01").buffer(near)).length < 20


def test_twisted_leads_whose_ends_lie_far_apart_are_said() -> None:
    assert any(s.startswith("RTE-105") and "W03" in s for s in laid(made(W03={"twisted_with": "W01"}))[1])


def test_twisted_leads_are_neighbours_in_a_channel() -> None:
    parts = [part("pick", "dual-coil", through="hole"), part("pot", "pot-24", (60, 40)),
             part("sw", "toggle-mini-dpdt-on-on", (90, 20))]
    lines = """
        pick.a start -> pot.ten
        pick.a finish -> sw.a common
        pick.b start -> pot.case
        pick.b finish -> sw.b common
    """
    plain = build(parts, lines, [cavity(outline=box(124, 74))], [channel("hole", (0, 30))])
    asked = replace(plain, leads=(replace(plain.leads[0], twisted_with="W04"), *plain.leads[1:]))
    slots = next(d for d in laid(asked)[0].ports if d.region == "controls").slots
    order = sorted(slots, key=lambda tag: slots[tag].y)
    assert abs(order.index("W01") - order.index("W04")) == 1


@pytest.mark.parametrize("at", [(60, 12), (40, 62), (75, 66)])
def test_a_place_to_pass_is_met_within_half_a_millimetre(at: tuple[float, float]) -> None:
    found, said = laid(made(W01={"via": (Point(*at),)}))
    controls = found.regions["controls"]
    place = Point(*at).plus(controls.shift)
    assert not [s for s in said if s.startswith("RTE-106")]
    assert line_of(found, "W01").distance(shapely.Point(place)) <= 0.5


def test_a_place_outside_or_on_a_part_is_said_and_the_lead_is_laid_all_the_same() -> None:
    for at, why in (((200, 200), "outside of every cavity"), ((20, 50), "one stands there")):
        found, said = laid(made(12.0, W03={"via": (Point(*at),)}))
        assert [s for s in said if s.startswith("RTE-106") and why in s], said
        assert not [f for f in lead_of(found, "W03").faults if "straight" in f]


def test_remarks_that_contradict_each_other_are_named_and_left_out() -> None:
    said = laid(made(W03={"over": ("pot",), "under": ("pot",)}))[1]
    assert len(said) == 1
    assert said[0].startswith("RTE-107")
    assert "over pot" in said[0]
    assert "under pot" in said[0]
    said = laid(made(W02={"apart_from": ("W01",), "twisted_with": "W01"}))[1]
    assert [s for s in said if s.startswith("RTE-107") and "apart from W01" in s and "twisted with W01" in s]
    crosswise = laid(made(W02={"twisted_with": "W01"}, W01={"apart_from": ("W02",)}))[1]
    assert [s for s in crosswise if s.startswith("RTE-107")]


def beside(*lengths: float) -> list[str]:
    """What is said of two leads to be twisted that lie side by side for so many mm in one room each."""
    rooms = {}
    for k, length in enumerate(lengths):
        ways = [polyline([Point(5, y), Point(5 + length, y)]) for y in (20.0, 21.9)]
        lugs = tuple(Pin(f"{k} {i}", p) for i, p in enumerate(p for w in ways for p in (w.start, w.end)))
        floor = Point(0, 0), Point(60, 0), Point(60, 40), Point(0, 40)
        made = RoutingRegion(floor, (), lugs, (Net("A", 0, 1), Net("B", 2, 3)))
        rooms[f"room {k}"] = made, tuple(Route(n, w, length) for n, w in zip("AB", ways, strict=True))
    say = Diagnostics()
    wishes = {"A": Constraints(twisted="B"), "B": Constraints()}
    check_pairs(rooms, wishes, {n: lead("a.b -> c.d", n) for n in "AB"}, say)
    return [p.message for p in say]


def test_leads_that_lie_together_for_less_than_a_turn_are_said_not_to_be_twisted() -> None:
    # One turn of a twisted pair takes 10 to 15 mm (common practice, no source).
    said = ["lead A cannot be twisted with B: they lie beside each other nowhere"]
    assert beside(12.1) == []
    assert beside(11.9) == beside(11.6) == said
    assert beside(6.5, 6.0) == []
    assert beside(6.0, 5.9) == said
    assert beside() == ["lead A cannot be twisted with B: they pass no cavity together"]


def test_a_lead_of_no_length_has_no_line_to_be_judged() -> None:
    at = Point(5, 5)
    here, there = (Span("c", "inside", Path(at, (Line(p),)), 0.0) for p in (at, Point(9, 5)))
    assert _line(LaidLead(lead("a.b -> c.d", "A"), (here,), ())).is_empty
    assert _line(LaidLead(lead("a.b -> c.d", "A"), (Span("c", "inside", Path(at, ()), 0.0),), ())).is_empty
    assert _line(LaidLead(lead("a.b -> c.d", "A"), (here, there), ())).length == 4
