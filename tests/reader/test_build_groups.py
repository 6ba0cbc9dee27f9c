"""Groups: parts and leads written once, placed with their ends named."""

from __future__ import annotations

import math

import pytest
from reading import SHIPPED, codes, good

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Point
from diagramgen.kernel.provenance import Sources
from diagramgen.reader.groups import ready_files, ready_group
from diagramgen.reader.reader import read_build

OWN = """
format: 1
title: A group of its own
cavity: {shape: {rounded: [92, 62]}, depth: 40}
groups:
  branch:
    ends: [hot, ground]
    gives: {case: pot.case}
    parts:
      pot: pot-24, 250k log, at 0 10
      cap: {symbol: capacitor-film, value: 22n, between: [pot.zero, end.ground]}
    leads:
      - end.hot -> pot.wiper, white
parts:
  volume: pot-24, 500k log, at 20 20
  tone: {group: branch, hot: volume.ten, ground: volume.case, at: [60, 30], turned: 90, values: {pot: 1M linear}}
  low: group branch, hot volume.ten, ground tone.case, at 60 50
leads:
  - volume.case -> tone.case, bare
"""

TONE = """
format: 1
parts:
  volume: group volume
  tone: group tone-branch, hot volume.{}, ground volume.ground
"""


def test_a_placing_makes_parts_called_after_it_and_leads_between_them() -> None:
    build = good(OWN)
    assert list(build.parts) == ["volume", "tone-pot", "tone-cap", "low-pot", "low-cap"]
    joined = {(str(x.start), str(x.end)) for x in build.leads}
    assert joined == {("volume.case", "tone-pot.case"), ("volume.ten", "tone-pot.wiper"),
                      ("volume.ten", "low-pot.wiper")}


def test_a_component_inside_hangs_between_its_own_and_the_given_lugs() -> None:
    build = good(OWN)
    assert [str(e) for e in build.parts["tone-cap"].between or ()] == ["tone-pot.zero", "volume.case"]
    assert [str(e) for e in build.parts["low-cap"].between or ()] == ["low-pot.zero", "tone-pot.case"]


def test_places_inside_turn_with_the_placing() -> None:
    build = good(OWN)
    at = build.parts["tone-pot"].at
    assert at is not None
    assert at.distance(Point(50, 30)) < 1e-9  # 10 mm down, turned a quarter clockwise, is 10 mm to the left
    assert build.parts["tone-pot"].turned == pytest.approx(math.pi / 2)
    assert build.parts["low-pot"].at == Point(60, 60)


def test_a_placing_may_give_values_of_its_parts() -> None:
    build = good(OWN)
    assert build.parts["tone-pot"].values == {"track": 1e6, "law": "linear"}
    assert build.parts["low-pot"].values == {"track": 250e3, "law": "log"}


@pytest.mark.parametrize("name", sorted(ready_files()))
def test_every_ready_group_reads_and_can_be_placed_without_a_problem(name: str) -> None:
    say = Diagnostics()
    group = ready_group(name, say)
    assert not list(say)
    assert group is not None
    pairs = zip(group.get("ends", {}), ("ten", "case", "wiper"), strict=False)
    ends = "".join(f", {end} base.{lug}" for end, lug in pairs)
    text = f"format: 1\nparts:\n  base: pot-24\n  it: group {name}{ends}\nleads:\n  - base.zero -> base.case, bend\n"
    build = good(text)
    assert len(build.parts) > 1
    assert group.get("about")


@pytest.mark.parametrize("name", sorted(ready_files()))
def test_every_lug_a_ready_group_gives_exists(name: str) -> None:
    group = ready_group(name, Diagnostics())
    assert group is not None
    parts = group.get("parts")
    for given in group.get("gives", {}).values():
        end = given.value
        symbol = SHIPPED[parts[end.part].value.get("symbol")]
        assert end.lug in symbol.lug_names()


def test_the_tone_branch_has_its_whole_track_before_it_at_ten() -> None:
    """At knob 10 the wiper stands at ten: from it to zero lies the whole track (common practice, no source)."""
    build = good(TONE.format("hot"))
    used = {e.lug for x in build.leads for e in (x.start, x.end) if e.part == "tone-pot"}
    used |= {e.lug for e in build.parts["tone-cap"].between or () if e.part == "tone-pot"}
    assert used == {"wiper", "zero", "case"}


def test_a_ready_group_counts_in_the_checksum() -> None:
    sources, say = Sources(), Diagnostics()
    text = b"format: 1\nparts:\n  volume: group volume\n"
    read_build(text, "b.yaml", sources, SHIPPED, say)
    assert set(sources.files()) == {"build", "group:volume", "symbol:pot-24"}


def test_a_group_of_the_build_goes_before_a_ready_one_of_that_name() -> None:
    text = """
format: 1
groups:
  volume:
    parts: {pot: pot-16}
    leads:
      - pot.zero -> pot.case, bend
parts:
  volume: group volume
"""
    assert good(text).parts["volume-pot"].symbol.name == "pot-16"


def test_a_faulty_end_is_said_where_it_is_named_and_only_once() -> None:
    assert codes(TONE.format("hott")) == ["INP-302"]
