"""Circles in a round hole."""

from __future__ import annotations

import math

import pytest
from builders import build, cable, channel, codes, layout, lead, only, part

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.layout.fit import check_fit
from diagramgen.layout.fit.check import channel_circles, smallest_hole
from diagramgen.layout.fit.wire_sizes import outer_diameter
from diagramgen.model.build import Build


def said(made: Build) -> Diagnostics:
    say = Diagnostics()
    check_fit(layout(made), say)
    return say


def pickups(count: int, diameter: float, wires: int = 0) -> Build:
    """So many four-millimetre pickup cables of two conductors each, and single wires, through one channel."""
    parts = [part(f"p{i}", "coil", cavity="", through="neck") for i in range(count)]
    leads = [lead(f"W{i}{n}", f"p{i}.{lug} -> volume.wiper", cable=f"p{i}", channels=("neck",))
             for i in range(count) for n, lug in enumerate(("start", "finish"))]
    leads += [lead(f"G{i}", "volume.case -> bridge.strings", channels=("neck",)) for i in range(wires)]
    parts += [part("bridge", "bridge", cavity="", through="neck"), part("volume", "pot", (40, 30))]
    return build(parts, leads, channels=[channel("neck", diameter)])


def test_a_six_millimetre_hole_passes_one_cable_and_one_ground_wire_not_two_cables() -> None:
    # Common practice, no source; 4 + 1.4 = 5.4 mm against 4 + 4 = 8 mm.
    assert codes(said(pickups(1, 6, wires=1))) == []
    found = only(said(pickups(2, 6)), "FIT-320")
    assert "2 mm short" in found.message
    assert "A hole of 8 mm passes them all" in found.remedy


def test_a_cable_counts_once_and_not_per_conductor() -> None:
    made = pickups(1, 6, wires=1)
    assert channel_circles(layout(made), made.channels["neck"]) == (("cable of p0", 4.0), ("G0", 1.4))


def test_the_conductors_of_a_named_cable_count_once() -> None:
    leads = [lead(f"W{i}", "volume.wiper -> bridge.strings", cable="loom", channels=("neck",))
             for i in range(2)]
    made = build([part("volume", "pot", (40, 30)), part("bridge", "bridge", cavity="")], leads,
                 channels=[channel("neck", 5)], cables=[cable("loom", 5.2)])
    assert "0.2 mm short" in only(said(made), "FIT-320").message


def test_three_equal_circles_need_the_published_diameter() -> None:
    # Three equal circles in the smallest circle: D / d = 1 + 2 / sqrt(3) (elementary geometry).
    assert smallest_hole([3, 3, 3]) == pytest.approx(3 * (1 + 2 / math.sqrt(3)))


def test_a_third_thin_wire_lies_in_the_gap_beside_two_cables() -> None:
    # Between two circles of radius 2 in one of radius 4 the gap takes radius 4/3.
    assert smallest_hole([4, 4, 1.4]) == 8
    assert smallest_hole([4, 4, 8 / 3]) == pytest.approx(8)
    assert smallest_hole([4, 4, 3]) > 8


def test_more_than_three_are_sure_to_fit_at_half_the_area() -> None:
    assert smallest_hole([2, 2, 2, 2]) == pytest.approx(math.sqrt(32))


def test_a_fill_between_sure_and_impossible_is_a_warning() -> None:
    # Four wires of 1.4 mm: 7.84 mm2 of squares; 16 in a 4 mm hole is 49 %, 12.25 in a 3.5 mm hole 64 %.
    assert codes(said(pickups(0, 4, wires=4))) == []
    assert codes(said(pickups(0, 3.5, wires=4))) == ["FIT-321"]
    found = only(said(pickups(0, 3.1, wires=4)), "FIT-320")
    assert "0.9 mm short" in found.message  # four of 1.4 mm surely pass 3.96 mm


def test_diameters_are_as_given_or_typical_for_the_kind() -> None:
    made = build()
    assert outer_diameter(lead("W1", "a.b -> c.d"), made) == 1.4
    assert outer_diameter(lead("W1", "a.b -> c.d", gauge=22), made) == 1.6
    assert outer_diameter(lead("W1", "a.b -> c.d", cloth=True), made) == 2.1
    assert outer_diameter(lead("W1", "a.b -> c.d", diameter=0.9), made) == 0.9
    # ASTM B258: AWG 24 is 0.51056 mm, AWG 20 0.81182 mm.
    for gauge, bare in ((24, 0.51056), (20, 0.81182)):
        wire = lead("W1", "a.b -> c.d", "bare", gauge=gauge)
        assert outer_diameter(wire, made) == pytest.approx(bare, abs=1e-5)
