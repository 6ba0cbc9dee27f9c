"""Which metal is grounded is one answer for check, bench page and test page. The builds are made for this."""

from __future__ import annotations

import pytest
from circuits import built

from diagramgen.circuit.rules import sleeves_apart
from diagramgen.circuit.state_table import state_table
from diagramgen.features.testpage.plan import ground_checks
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.sheets.glance import glance

TWO = """format: 1
title: two
parts:
  nv: pot-24, 250k log
  bv: pot-24, 250k log
  neck: single-coil, 6k2
  bridge: dual-coil-braided, 4k 4k
  neck-out: jack-mono-open
  bridge-out: jack-mono-open
  strings: bridge-ground
leads:
  - neck.finish -> nv.ten
  - neck.start -> nv.case
  - bridge.hot -> bv.ten
  - bridge.braid -> bv.case
  - nv.zero -> nv.case, bend
  - bv.zero -> bv.case, bend
  - nv.wiper -> neck-out.tip, red
  - bv.wiper -> bridge-out.tip, yellow
  - nv.case -> neck-out.sleeve, black
  - bv.case -> bridge-out.sleeve, black
  - strings.ground -> bv.case, black
"""
NETWORK = """format: 1
title: network
parts:
  volume: pot-24, 500k log
  neck: single-coil, 6k2
  output: jack-mono-open
  strings: bridge-ground
  safe: {symbol: resistor, value: 220k, between: [strings.ground, volume.case]}
leads:
  - neck.finish -> volume.ten
  - neck.start -> volume.case
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip, red
  - volume.case -> output.sleeve, black
"""


def test_metal_on_the_ground_of_one_jack_alone_is_said_by_check_bench_and_test_page_alike() -> None:
    made, say = built(TWO), Diagnostics()
    sleeves_apart.check(state_table(made), say)
    (found,) = (p for p in say.sorted() if p.code == "CIR-233")
    assert "with only the plug of neck-out in" in found.message
    assert "strings" in found.message
    assert any("strings" in name for name in glance(state_table(made)).apart)
    (strings,) = (one for one in ground_checks(made) if "strings" in one.what)
    assert strings.expected.startswith("under 1 Ω")
    assert "to the plug of bridge" in strings.expected


@pytest.mark.parametrize("text", [TWO + "  - nv.case -> bv.case, black\n", NETWORK])
def test_grounds_that_are_joined_are_no_finding(text: str) -> None:
    say = Diagnostics()
    sleeves_apart.check(state_table(built(text)), say)
    assert not list(say)


def test_strings_that_a_resistor_grounds_are_not_said_to_have_no_ground() -> None:
    said = glance(state_table(built(NETWORK)))
    assert not any("strings" in name for name in said.no_ground)
    assert any("strings" in name for name in said.network)
