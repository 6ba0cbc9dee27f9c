"""Circuits that cannot be solved or whose values contradict each other: each named by its number, and a near miss."""

from __future__ import annotations

from dataclasses import replace

import pytest
from circuits import built

from diagramgen.circuit.proof import prove
from diagramgen.circuit.state_table import StateTable
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.model.build import Build

TEXT = """format: 1
parts:
  pickup: {{symbol: single-coil, values: {{{signs}}}}}
  volume: pot-24, 250k log
  cut: toggle-mini-spdt-on-on
  output: jack-mono-open
leads:
  - pickup.finish -> volume.ten
  - pickup.start -> volume.zero
  - volume.zero -> output.sleeve
  - volume.wiper -> output.tip
"""
WHOLE = "winding: clockwise, magnet: north, kick: {kick}"


def proved(build: Build, select: dict[str, str] | None = None) -> tuple[set[str], StateTable | None]:
    say = Diagnostics()
    found = prove(build, say, None, select)
    return {p.code for p in say.sorted() if p.severity is Severity.ERROR}, found


@pytest.mark.parametrize("value", [-250e3, float("nan"), float("inf")])
def test_a_value_no_circuit_can_have_is_named_before_anything_is_solved(value: float) -> None:
    build = built(TEXT.format(signs="resistance: 6k5"))
    assert proved(build)[0] == set()
    volume = replace(build.parts["volume"], values={**build.parts["volume"].values, "track": value})
    codes, found = proved(replace(build, parts={**build.parts, "volume": volume}))
    assert codes == {"CIR-201"}
    assert found is None


def test_winding_magnet_and_kick_must_fit_together() -> None:
    # Faraday's law: the kick is winding times magnet, so exactly one of the two kicks can be.
    codes = [proved(built(TEXT.format(signs=WHOLE.format(kick=kick))))[0] for kick in ("plus", "minus")]
    assert sorted(codes, key=len) == [set(), {"CIR-202"}]


def test_two_of_the_three_never_contradict() -> None:
    for signs in ("winding: clockwise, magnet: north", "kick: plus, magnet: north", "kick: minus, magnet: north"):
        assert proved(built(TEXT.format(signs=signs)))[0] == set()


def test_a_state_that_does_not_exist_is_said_and_not_solved() -> None:
    build = built(TEXT.format(signs="resistance: 6k5"))
    position = proved(build)[1]
    assert position is not None
    assert proved(build, {"cut": position.space.state(0)["cut"]})[0] == set()
    codes, found = proved(build, {"cutt": "left"})
    assert codes == {"CIR-200"}
    assert found is None
