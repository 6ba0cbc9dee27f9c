"""Lugs bent over to their case: drawn to the rim beside them, and said where the metal is too short.

Measures of the parts are typical ones of the shipped symbols; what a lug reaches follows from its own tongue.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from bench import lead, part

from diagramgen.analysis import Analysis, examine
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Point, Transform, moved, scaled, turned
from diagramgen.layout.lug_reach import _length, _reach, _root, check_bend, ends_of_bend, landing
from diagramgen.layout.placement.place_parts import place_part

HEAD = """format: 1
title: Bent lugs
cavity: {shape: {rounded: [110, 70], corner: 10}, depth: 40}
channels:
  jack: {at: [110, 35], diameter: 10, length: 40}
parts:
"""
LEADS = """  output: jack-mono-open, through jack
leads:
  - volume.wiper -> output.tip, red
  - volume.case -> output.sleeve, black
"""


def examined(tmp_path: Path, symbol: str, bend: str) -> Analysis:
    file = tmp_path / "bent.yaml"
    file.write_text(f"{HEAD}  volume: {symbol}, at 50 35\n{LEADS}  - {bend}, bend\n", encoding="utf-8")
    return examine(file)


@pytest.mark.parametrize("symbol", ["pot-24, 500k log", "pot-24-push-pull, 500k log", "pot-24-push-push, 500k log"])
@pytest.mark.parametrize("turned", [False, True])
def test_a_bent_lug_comes_down_on_the_rim_beside_it(tmp_path: Path, symbol: str, turned: bool) -> None:
    pair = ["volume.zero", "volume.case"]
    proof = examined(tmp_path, symbol, " -> ".join(reversed(pair) if turned else pair))
    assert "RTE-108" not in {p.code for p in proof.problems}
    layout = proof.layout
    assert layout is not None
    (bent,) = (one for one in layout.leads if one.lead.kind == "bend")
    part = layout.parts["volume"]
    lug, rim = part.lugs["zero"].at, bent.path.start if turned else bent.path.end
    assert (bent.path.end if turned else bent.path.start) == lug
    assert bent.path.length() < 9.0  # eyelet to rim; across the case it would be 24 mm and more
    centre = part.place.e, part.place.f
    assert 10.5 < ((rim.x - centre[0]) ** 2 + (rim.y - centre[1]) ** 2) ** 0.5 < 12.0  # case of 24 mm


def test_a_lug_too_short_for_its_case_is_said_with_what_to_do(tmp_path: Path) -> None:
    proof = examined(tmp_path, "pot-24-push-pull, 500k log", "volume.a far -> volume.case")
    (said,) = (p for p in proof.problems if p.code == "RTE-108")
    assert "does not reach" in said.message
    assert "short wire" in said.remedy


def test_bad_wiring_names_the_one_lead_that_grounds_the_wiper(tmp_path: Path) -> None:
    file = tmp_path / "grounded.yaml"
    file.write_text(f"{HEAD}  volume: pot-24, 500k log, at 50 35\n{LEADS}".replace("> output.tip", "> output.sleeve"),
                    encoding="utf-8")
    (said,) = (p for p in examine(file).problems if p.code == "CIR-101" and "output.tip" in p.message)
    assert "shorted to ground by lead W01 on line 10 (volume.wiper -> output.sleeve)" in said.message


POT = place_part(part("pot", "pot-24"), moved(Point(50, 30)), "c")
"""Case of 24 mm round 50 30, 0 to 10 mm deep; tongues 12.2 to 18.3 mm from its middle, 4 mm deep."""
PULL = place_part(part("pull", "pot-24-push-pull"), moved(Point(50, 30)), "c")
"""The same with a switch of 15 by 13 mm on its case, lugs 24.5 mm deep that are 4.3 mm long."""
SLIDE = place_part(part("slide", "slide-dpdt"), moved(Point(50, 30)), "c")


def test_a_lug_is_as_long_as_its_tongue_from_where_it_leaves_the_body() -> None:
    zero, far = POT.lugs["zero"], PULL.lugs["a far"]
    assert _root(zero).distance(Point(57.7, 42.2)) < 1e-6
    assert _length(zero) == pytest.approx(6.1)
    assert _root(far).distance(Point(47.5, 36.5)) < 1e-6
    assert _length(far) == pytest.approx(4.3)
    without = SLIDE.lugs["a 1"]
    assert _root(without) == without.at
    assert _length(without) == 5.0
    stub = place_part(part("t", "toggle-upright"), moved(Point(50, 30)), "c").lugs["up"]  # a direction, but no tongue
    assert _root(stub) == stub.at
    assert _length(stub) == 5.0


def test_a_bent_lug_comes_down_inside_the_rim_nearest_to_its_root() -> None:
    at = landing(POT, POT.lugs["zero"], POT.lugs["case"])
    root = Point(7.7, 12.2)
    inside = 11.1 / math.hypot(*root)
    assert at.distance(Point(50 + root.x * inside, 30 + root.y * inside)) < 0.2
    beside = landing(PULL, PULL.lugs["a far"], PULL.lugs["case"])
    assert beside.distance(Point(47.5, 30 + 6.5 + 0.9)) < 1e-3  # beside the switch that stands on the case
    nothing = landing(SLIDE, SLIDE.lugs["a 1"], SLIDE.lugs["a common"])
    assert nothing == SLIDE.lugs["a common"].at  # no body lies at that depth


def test_what_a_lug_has_to_span_is_counted_in_plan_and_depth() -> None:
    near = _reach(POT, POT.lugs["zero"], POT.lugs["case"])
    assert near.far == pytest.approx(math.hypot(7.7, 12.2) - 12, abs=0.05)  # beside the case, to its rim
    assert near.works
    deep = _reach(PULL, PULL.lugs["a far"], PULL.lugs["case"])
    assert deep.far == pytest.approx(24.5 - 10)
    assert not deep.works
    hole = _reach(SLIDE, SLIDE.lugs["a 1"], SLIDE.lugs["a common"])
    assert hole.far == pytest.approx(4.6 - 0.7)  # to the edge of the eyelet
    body = _reach(POT, POT.lugs["ten"], POT.lugs["wiper"])
    assert (body.between, body.works) == (True, False)


@pytest.mark.parametrize(("ends", "said"), [
    ("pot.zero -> pot.case", ""), ("pot.case -> pot.zero", ""), ("slide.a 1 -> slide.a common", ""),
    ("pot.case -> pot.case", ""), ("pot.none -> pot.case", ""),
    ("pull.a far -> pull.case", "a lug of 4.3 mm does not reach, pull.case is 14.5 mm away"),
    ("pull.case -> pull.a far", "a lug of 4.3 mm does not reach, pull.case is 14.5 mm away"),
    ("slide.a 1 -> slide.a 2", "a lug of 5 mm does not reach, slide.a 2 is 8.5 mm away"),
    ("pot.ten -> pot.wiper", "a lug of 6.1 mm does not reach, the part's own body stands between"),
])
def test_a_lug_that_does_not_reach_is_said_with_its_measures(ends: str, said: str) -> None:
    say = Diagnostics()
    one = lead(f"{ends}, bend", "W01")
    check_bend(one, {"pot": POT, "pull": PULL, "slide": SLIDE}[one.start.part], say)
    assert [p.message.split(": ", 2)[-1] for p in say] == ([said] if said else [])


@pytest.mark.parametrize("view", [
    scaled(2.0), turned(math.pi / 2), scaled(0.5).then(turned(1.0)).then(moved(Point(9, 4))),
])
def test_a_bent_lug_on_an_enlarged_sheet_comes_down_at_the_same_place_of_the_case(view: Transform) -> None:
    for plain in (POT, PULL):
        drawn = place_part(plain.part, plain.place.then(view), "c")
        one = lead(f"{plain.part.name}.case -> {plain.part.name}.zero, bend", "W01")
        for at, there in zip(ends_of_bend(plain, one), ends_of_bend(drawn, one), strict=True):
            assert view(at).distance(there) < 0.5 * view.scale  # rims are drawn as polygons
    between = ends_of_bend(POT, lead("pot.ten -> pot.zero, bend", "W01"))
    assert between == (POT.lugs["ten"].at, POT.lugs["zero"].at)


def test_a_lug_of_which_metal_or_direction_is_unknown_is_as_long_as_a_short_one() -> None:
    for odd in (replace(POT.lugs["zero"], tongue=None), replace(POT.lugs["zero"], away=None)):
        assert _root(odd) == odd.at
        assert _length(odd) == 5.0
