"""From a build file to fit, connections and the lead list: the samples, and the bench's own checks."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from diagramgen.circuit.net_roles import net_roles
from diagramgen.circuit.nets import connect
from diagramgen.circuit.rules.connections import check_connections
from diagramgen.features.leadlist.export import leads_csv
from diagramgen.job.joint_rules import check_joints
from diagramgen.job.lead_list import lead_rows
from diagramgen.job.lengths import check_lengths
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, Problem
from diagramgen.kernel.provenance import Sources
from diagramgen.layout.fit import check_fit
from diagramgen.layout.global_routing.global_route import legs
from diagramgen.layout.model import Layout
from diagramgen.layout.plan import layout
from diagramgen.library.catalogue import shipped
from diagramgen.model.build import Build
from diagramgen.reader.reader import read_build

FOLDER = Path(__file__).parents[2] / "samples"
SAMPLES = sorted(p.name for p in FOLDER.glob("*.yaml") if not p.name.startswith("wrong"))


def read(data: str, name: str = "bench.yaml") -> Build:
    say = Diagnostics()
    build = read_build(data.encode(), name, Sources(FOLDER), shipped(), say)
    assert build is not None, [p.text() for p in say.sorted()]
    return build


@cache
def sample(name: str) -> tuple[Build, Layout]:
    build = read((FOLDER / name).read_text(encoding="utf-8"), name)
    return build, layout(build, Diagnostics())


def judged(build: Build, plan: Layout | None = None) -> tuple[Problem, ...]:
    say = Diagnostics()
    whole = plan or layout(build, Diagnostics())
    check_fit(whole, say, net_roles(build))
    check_connections(build, say)
    check_lengths(whole, say)
    check_joints(build, say)
    return say.sorted()


@pytest.mark.parametrize("name", SAMPLES)
def test_a_sample_holds_no_error_of_fit_connections_or_lengths(name: str) -> None:
    found = [p.text() for p in judged(*sample(name)) if p.severity is Severity.ERROR]
    assert found == []


@pytest.mark.parametrize("name", SAMPLES)
def test_every_lead_of_a_sample_is_in_the_list_once_with_shares_that_add_up(name: str) -> None:
    build, plan = sample(name)
    rows = lead_rows(plan)
    drawn = [lead.tag for lead in (*build.leads, *legs(build))]
    assert sorted(r.tag for r in rows) == sorted(drawn)
    for row in rows:
        assert (row.length is None) == bool(row.cut.reason)
        if row.length is not None and not row.cut.given:
            assert row.length % 5 == 0
            assert sum(s.mm for s in row.cut.shares) == pytest.approx(row.length, abs=0.1)
            slack = 25 + build.slack + row.cut.share("hinge") + row.cut.share("rise")
            assert row.length - (row.route or 0.0) <= slack, f"{row.tag} has too much to spare"
    assert leads_csv(rows).count("\r\n") >= len(rows) + 1


@pytest.mark.parametrize("name", SAMPLES)
def test_taking_out_a_lead_that_alone_grounds_metal_is_always_said(name: str) -> None:
    build = sample(name)[0]
    before = {n for n, role in net_roles(build).items() if role == "ground"}
    said_before = _sayings(build)
    for lead in build.leads:
        rest = replace(build, leads=tuple(x for x in build.leads if x is not lead))
        graph = connect(rest)
        jack = next((p.name for p in build.parts.values() if "sleeve" in p.symbol.lug_names()), None)
        lost = [n for n in before if jack and not graph.joined(n, f"{jack}.sleeve")]
        metal = {f"{p.name}.{lug}" for p in build.parts.values() for m in p.symbol.metal for lug in m.lugs}
        if metal.intersection(lost):
            assert _sayings(rest) - said_before, f"nothing is said when {lead.tag} ({lead.start} -> {lead.end}) is off"


def _sayings(build: Build) -> set[tuple[str, str]]:
    say = Diagnostics()
    check_connections(build, say)
    return {(p.code, p.message) for p in say}


BENCH = """\
format: 1
title: bench
cavity:
  shape: {{rounded: [120, 80], corner: 10}}
  depth: {depth}
  wood above: {wood}
channels:
  neck: {{at: [0, 30], diameter: {hole}, length: 80}}
  jack: {{at: [120, 40], diameter: 9, length: 40}}
  bridge: {{at: [60, 80], diameter: 4, length: 90}}
parts:
  volume: pot-24-push-pull, at 40 30
  neck: {{symbol: single-coil-cover-tag, through: neck, cable length: {cable}}}
  middle: {{symbol: single-coil-cover-tag, through: neck}}
  output: jack-mono-open, through jack
  strings: bridge-ground, through bridge
leads:
  - {hot} -> volume.ten
  - {cold} -> volume.case
  - neck.cover -> {cover}, bare
  - middle.finish -> volume.a common
  - middle.start -> volume.case
  - middle.cover -> middle.start, bare
  - volume.wiper -> output.tip, red
  - volume.zero -> volume.case, bend
  - volume.case -> output.sleeve, black
  - strings.ground -> volume.case, bare
"""
GOOD = {"depth": "40", "wood": "5", "hole": "9", "hot": "neck.finish", "cold": "neck.start", "cover": "neck.start",
        "cable": "300"}


def bench(**changes: str) -> dict[str, str]:
    return {p.code: p.message for p in judged(read(BENCH.format(**{**GOOD, **changes})))
            if p.severity is not Severity.NOTE}


def test_the_bench_build_is_clean() -> None:
    assert bench() == {}


def test_a_push_pull_of_thirty_millimetres_in_twenty_eight_is_two_short() -> None:
    assert "2 mm short, before solder and leads" in bench(depth="28")["FIT-310"]


def test_a_thread_of_nine_and_a_half_through_eight_of_wood_is_two_short() -> None:
    assert "Thread 9.5, wood 8, washers 1.2, nut 2.3: 2 mm short" in bench(wood="8")["FIT-312"]


def test_two_pickup_cables_do_not_go_through_a_six_millimetre_hole() -> None:
    assert "cable of neck 3.6, cable of middle 3.6: 1.2 mm short" in bench(hole="6")["FIT-320"]


def test_a_cable_that_is_too_short_asks_for_a_splice() -> None:
    assert "mm short" in bench(cable="90")["LEN-302"]


def test_swapped_leads_of_a_pickup_with_a_jumpered_cover_leave_the_cover_off_ground() -> None:
    found = bench(hot="neck.start", cold="neck.finish")
    assert "cover of neck" in found["CIR-107"] + found.get("CIR-108", "")
