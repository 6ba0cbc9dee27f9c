"""Builds with many states are judged by one state a network, and say the same of it."""

from __future__ import annotations

from pathlib import Path

import pytest
from circuits import built, sample

from diagramgen.circuit.netlist import netlist_of, template_of
from diagramgen.circuit.rules import states as staterules
from diagramgen.circuit.state_table import state_table
from diagramgen.circuit.states import each_classes, state_space
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.model.build import Build

SAMPLES = Path(__file__).resolve().parents[2] / "samples"

LOADED = """format: 1
parts:
  pickup: single-coil, 6k5
  volume: pot-24, 25k log
  one: toggle-mini-spdt-on-on
  two: toggle-mini-spdt-on-on
  small: capacitor-film, 1n
  large: capacitor-film, 2n
  output: jack-mono-open
leads:
  - pickup.finish -> volume.ten
  - pickup.start -> output.sleeve
  - volume.zero -> output.sleeve
  - volume.wiper -> output.tip
  - one.common -> volume.ten
  - one.throw 1 -> small.one
  - small.other -> output.sleeve
  - two.common -> volume.ten
  - two.throw 1 -> large.one
  - large.other -> output.sleeve
"""


def said(build: Build) -> set[tuple[str, str]]:
    say = Diagnostics()
    staterules.check_states(state_table(build), say)
    return {(p.code, p.message.split(", in ")[0]) for p in say.sorted()}


@pytest.mark.parametrize("many", [2000, 0])
def test_a_low_load_is_found_whether_every_state_is_looked_at_or_one_a_network(
    many: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(staterules, "MANY", many)
    codes = {code for code, _ in said(built(LOADED))}
    assert "CIR-247" in codes
    assert "CIR-247" not in {code for code, _ in said(built(LOADED.replace("25k", "250k")))}


@pytest.mark.parametrize("name", ["baritone", "three-singles-lever", "two-pickups-toggle", "left-handed"])
def test_one_state_a_network_tells_what_all_states_tell(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    build = sample(SAMPLES / f"{name}.yaml")
    every = said(build)
    monkeypatch.setattr(staterules, "MANY", 0)
    assert {code for code, _ in said(build)} == {code for code, _ in every}


def test_networks_share_the_pieces_they_have_in_common() -> None:
    build = built(LOADED)
    here, states = template_of(build), state_space(build)
    nets = [netlist_of(here, classes) for classes in each_classes(here, states.switches)]
    assert len({net.key for net in nets}) == 4
    assert len({id(piece) for net in nets for piece in net.elements if getattr(piece, "what", "") == "track"}) == 1
    assert len({id(piece) for net in nets for piece in net.elements if piece.name == "large"}) == 1


def test_readings_that_only_capacitors_part_are_one() -> None:
    found = state_table(built(LOADED))
    assert found.networks == 4
    assert len({result.reading for result in found.results}) == 1
    # By hand: 6.5k beside the whole track of 25k.
    assert found.results[0].reading.ohms == pytest.approx(1 / (1 / 6500 + 1 / 25e3))
