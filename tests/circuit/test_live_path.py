"""The live path of a switch state: leads between lugs in use, hanging stubs left out."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagramgen.circuit.signal_path import active_path
from diagramgen.sheets.registry import default_sheets, kinds

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


@pytest.fixture(scope="module")
def toggle():
    from diagramgen.console.arguments import read
    from diagramgen.kernel.diagnostics import Diagnostics

    return read(SAMPLES / "two-pickups-toggle.yaml", None, Diagnostics({}))[0]


@pytest.fixture(scope="module")
def baritone():
    from diagramgen.console.arguments import read
    from diagramgen.kernel.diagnostics import Diagnostics

    return read(SAMPLES / "baritone.yaml", None, Diagnostics({}))[0]


def parts_on(live):
    return {lug.partition(".")[0] for pair in live.joins for lug in pair}


def test_only_the_contacts_that_are_closed_carry_the_signal(toggle):
    assert active_path(toggle, {"selector": "up"}).contacts == (("selector.up", "selector.up centre"),)
    assert len(active_path(toggle, {"selector": "middle"}).contacts) == 2


def test_the_pickup_that_is_switched_off_has_no_live_lead(toggle):
    assert "neck" in parts_on(active_path(toggle, {"selector": "up"}))
    assert "bridge" not in parts_on(active_path(toggle, {"selector": "up"}))
    assert "neck" not in parts_on(active_path(toggle, {"selector": "down"}))


def test_both_pickups_are_live_in_the_middle(toggle):
    assert {"neck", "bridge", "output"} <= parts_on(active_path(toggle, {"selector": "middle"}))


def test_what_is_not_heard_carries_nothing_nor_does_what_hangs_behind_it(baritone):
    state = {"selector": "up", "neck-mode": "a"}
    assert "saddle" in parts_on(active_path(baritone, state))
    alone = active_path(baritone, state, heard={"neck.a"})
    assert not {"saddle", "piezo", "bridge", "bridge-mode", "battery"} & parts_on(alone)
    assert {"neck", "neck-mode", "selector", "volume", "magnetic", "blend", "output"} <= parts_on(alone)
    assert frozenset(("neck.b start", "neck-mode.b start")) not in alone.joins


def test_states_is_made_only_on_request():
    assert "states" in kinds()
    assert "states" not in default_sheets()
