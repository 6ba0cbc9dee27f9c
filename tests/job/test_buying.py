"""The buying list: figures from build and symbol, told apart; what is bought, stays and comes out."""

from __future__ import annotations

from pathlib import Path

import pytest
from sampled import proof_of as proof

from diagramgen.analysis import changes_of, examine
from diagramgen.job.changes import counts
from diagramgen.job.lead_list import wire_totals
from diagramgen.job.material import Figure, buying_list, counted, specs

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


def listed(name):
    return buying_list(proof(name).layout, proof(name).rows, changes_of(proof(name)))


def examined(tmp_path, text):
    file = tmp_path / "job.yaml"
    file.write_text("format: 1\n" + text, encoding="utf-8")
    return examine(file, reading=True).build


def test_only_what_comes_in_is_bought_and_it_says_what_it_takes_the_place_of():
    found = listed("two-pickups-toggle")
    assert found.compared
    buys = {line.specs.symbol: line for line in found.parts_that("buy")}
    assert {s: line.quantity for s, line in buys.items()} == {"pot-24": 2, "capacitor-film": 2, "bleed-parallel": 1}
    assert buys["pot-24"].replaces == ("bridge-tone: pot-24, 250k log",)
    out = {line.specs.symbol: line.says for line in found.parts_that("out")}
    assert out == {"pot-24": "bridge-tone", "capacitor-film": "bridge-cap"}
    named = [p.name for line in found.parts_that("buy") + found.parts_that("stays") for p in line.parts]
    # The joint in the air is solder and a sleeve: no part to buy.
    assert sorted([*named, "common"]) == sorted(proof("two-pickups-toggle").build.parts)


def test_without_a_state_as_found_every_part_is_listed_once():
    found = listed("baritone")
    assert not found.compared
    assert sorted(p.name for line in found.parts for p in line.parts) == sorted(proof("baritone").build.parts)
    assert {line.fate for line in found.parts} == {"buy"}


def test_what_the_build_says_stands_plain_and_what_is_typical_is_marked(tmp_path):
    build = examined(tmp_path, "cavity: {depth: 40, wood above: 6}\nparts:\n"
                     "  a: pot-24, 250k log, at 10 10\n"
                     "  b: {symbol: pot-24, at: [40, 10], dimensions: {shaft: 6, thread: 19, hole: 10}, knob bore: 6}\n"
                     "  c: {symbol: bleed-parallel, values: {resistance: 150k}}\n"
                     "leads:\n  - a.zero -> a.case, bend\n")
    a, b, c = (specs(build.parts[n], build) for n in "abc")
    assert (a.value, a.taper) == (Figure("250k"), Figure("log"))
    assert (a.shaft, a.bore) == (Figure("6.35", typical=True), Figure(blank=True))
    # Wood 6 mm, washers and nut of the symbol: 1.2 and 2.3 mm.
    assert a.needs == Figure("9.5")
    assert (b.value, b.taper) == (Figure("500k", typical=True), Figure("log", typical=True))
    assert (b.shaft, b.thread, b.hole, b.bore) == (Figure("6"), Figure("19"), Figure("10"), Figure("6"))
    assert b.bushing == Figure("9.53", typical=True)
    # Of two values one is given: the other is marked by itself.
    assert c.value == Figure("150k (1n)")
    assert (c.shaft, c.thread, c.needs, c.hole) == (Figure(), Figure(), Figure(), Figure())


def test_a_pickup_of_two_coils_is_listed_by_what_it_reads_in_series_and_by_coil(tmp_path):
    # Two coils of 4.2k in series: 8.4k, as of a dual coil; 4.1k + 4.2k = 8.3k; a tap parts one winding.
    build = examined(tmp_path, "parts:\n  a: dual-coil\n"
                     "  b: {symbol: dual-coil, values: {a-resistance: 4k1, b-resistance: 4k1}}\n"
                     "  c: {symbol: dual-coil, values: {a-resistance: 4k1}}\n"
                     "  d: {symbol: dual-coil, values: {a-resistance: 4k1, b-resistance: 4k3}}\n"
                     "  v: pot-24, 250k log\nleads:\n  - v.zero -> v.case, bend\n")
    a, b, c, d = (specs(build.parts[n], build).value for n in "abcd")
    assert a == Figure("8.4k in series, 4.2k a coil", typical=True)
    assert b == Figure("8.2k in series, 4.1k a coil")
    assert c == Figure("(8.3k) in series: 4.1k + (4.2k)")
    assert d == Figure("8.4k in series: 4.1k + 4.3k")


def test_wood_that_nobody_measured_is_a_blank(tmp_path):
    build = examined(tmp_path, "parts:\n  a: pot-24, 250k log\nleads:\n  - a.zero -> a.case, bend\n")
    assert specs(build.parts["a"], build).needs == Figure(blank=True)


def test_a_lever_switch_takes_a_slot(tmp_path):
    build = examined(tmp_path, "parts:\n  a: lever-5-four-pole\nleads:\n  - a.a common -> a.b common, red\n")
    assert specs(build.parts["a"], build).hole == Figure("slot 28 × 2", typical=True)


@pytest.mark.parametrize("name", ["one-volume", "baritone", "bass-active", "three-singles-lever"])
def test_wire_is_that_of_the_lead_list(name):
    stock = {(s.says, s.colour, s.gauge): s for s in listed(name).stock if not s.says.startswith("shrink")}
    for total in wire_totals(proof(name).rows):
        if "cable" not in total.kind_says:
            one = stock[total.kind_says, total.colour, total.gauge]
            assert float(one.mm) == pytest.approx(total.length, abs=0.06 * total.leads)
            assert one.pieces + len(one.unmeasured) == total.leads


def test_labour_is_counted_from_the_changes_or_from_the_whole():
    name = "two-pickups-toggle"
    changes = changes_of(proof(name))
    n, found = counts(changes), counted(proof(name).build, changes)
    assert (found.joints, found.joints_opened, found.parts, found.parts_out) == (
        n.joints_made, n.joints_opened, n.parts_in, n.parts_out)
    whole = counted(proof(name).build, None)
    assert (whole.joints_opened, whole.parts) == (0, len(proof(name).build.parts) - 1)  # without the sleeved joint
    assert whole.joints > found.joints
