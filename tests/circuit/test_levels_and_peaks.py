"""Level, resonance and likeness of states, as they are defined for print."""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from circuits import built

from diagramgen.circuit.sounds import GRID, Heard, Sound, listen, same
from diagramgen.circuit.state_table import coils_of, response_of, state_table

VECTORS: dict[str, Any] = tomllib.loads((Path(__file__).parent.parent / "data" / "circuits.toml").read_text(
    encoding="utf-8"))["pickup_vectors"]
COIL = "{symbol: single-coil, values: {resistance: 6k, inductance: 2.5 H, capacitance: 100p, loss: 1000M, kick: plus}}"

PLAIN = f"""
parts:
  coil: {COIL}
  output: jack-mono-open
leads:
  - coil.finish -> output.tip
  - coil.start -> output.sleeve
"""
POTS = f"""
parts:
  coil: {COIL}
  volume: pot-24, POT linear
  tone: pot-24, POT linear
  cap: capacitor-film, 22n
  output: jack-mono-open
leads:
  - coil.finish -> volume.ten
  - coil.start -> output.sleeve
  - volume.zero -> output.sleeve
  - volume.wiper -> output.tip
  - tone.wiper -> volume.ten
  - tone.zero -> cap.one
  - cap.other -> output.sleeve
"""


@pytest.mark.parametrize(("name", "text", "knobs"), [
    ("a_coil_only_cable_1m", PLAIN, {}), ("b_vol250k_tone250k_22n_full", POTS.replace("POT", "250k"), {}),
    ("c_vol250k_tone0_22n", POTS.replace("POT", "250k"), {"tone": 0.0}),
    ("d_vol500k_tone500k_22n_full", POTS.replace("POT", "500k"), {}),
])
def test_resonance_of_a_build_is_that_of_the_reference(name: str, text: str, knobs: dict[str, float]) -> None:
    """References worked out with ngspice on a grid of 2000 points a decade (data/circuits.toml)."""
    fact = VECTORS[name]
    sound = state_table(built(text), knobs).result(0).sound
    assert sound.peak_hz == pytest.approx(fact["peak_hz"], rel=2e-3)
    assert sound.peak_db == pytest.approx(fact["peak_db"] - fact["db_at"]["100"], abs=0.02)


def test_a_response_without_a_peak_has_none() -> None:
    text = POTS.replace("POT", "250k").replace("tone.wiper -> volume.ten", "tone.wiper -> parked")
    sound = state_table(built(text), {"volume": 5}).result(0).sound
    assert (sound.peak_hz, sound.peak_db) == (None, None)


def test_the_level_of_a_coil_is_its_rms_from_80_hz_to_5_khz() -> None:
    made = built(PLAIN)
    _, response = response_of(made, {}, None, GRID[GRID <= 5000])
    rms = math.sqrt(float((np.abs(response.transfers[:, 0]) ** 2).mean()))
    sound = state_table(made).result(0).sound
    assert sound.sounding[0].level_db == pytest.approx(20 * math.log10(rms))
    assert sound.level_db == pytest.approx(20 * math.log10(rms))


def test_two_equal_coils_in_parallel_add_in_power() -> None:
    two = state_table(built(PLAIN.replace("  output:", f"  other: {COIL}\n  output:").replace(
        "leads:", "leads:\n  - other.finish -> output.tip\n  - other.start -> output.sleeve"))).result(0).sound
    assert two.level_db == pytest.approx(two.sounding[0].level_db + 10 * math.log10(2))


def switched(ohm: str) -> str:
    return PLAIN.replace("  output:", f"  pull: pot-24-push-pull\n  r: resistor, {ohm}\n  output:").replace(
        "leads:", "leads:\n  - pull.a common -> output.tip\n  - pull.a near -> r.one\n  - r.other -> output.sleeve")


@pytest.mark.parametrize(("ohm", "alike"), [("20M", True), ("100k", False)])
def test_states_within_half_a_decibel_sound_the_same(ohm: str, alike: bool) -> None:
    found = state_table(built(switched(ohm)))
    assert found.networks == 2
    assert (found.result(1).like == found.result(0).like) is alike


def test_a_weak_coil_is_marked_and_settles_no_phase() -> None:
    made = built(PLAIN.replace("  output:", "  far: {symbol: single-coil, values: {kick: minus}}\n  r: resistor, 1M\n"
                               "  output:").replace(
        "leads:", "leads:\n  - far.finish -> r.one\n  - r.other -> output.tip\n  - far.start -> output.sleeve"))
    sound = state_table(made).result(0).sound
    assert [(h.coil, h.weak) for h in sound.sounding] == [("coil", False), ("far", True)]
    assert sound.phase == "single"


@pytest.mark.parametrize(("ohm", "silent"), [("2M", False), ("50M", True)])
def test_a_state_is_silent_80_db_below_the_emf_of_its_loudest_coil(ohm: str, silent: bool) -> None:
    """Into 1k through 2 megohm are -66 dB, through 50 megohm -94 dB; a cable of a millimetre takes nothing."""
    made = built(PLAIN.replace("  output:", f"  r: resistor, {ohm}\n  output:").replace(
        "coil.finish -> output.tip", "coil.finish -> r.one\n  - r.other -> output.tip")
        + "load: {cable: 1 mm, cable capacitance: 1 pF/m, amplifier: 1k}\n")
    assert state_table(made).result(0).sound.silent is silent


def test_a_coil_that_gives_nothing_at_all_is_silent_and_no_error() -> None:
    made = built(PLAIN)
    net, response = response_of(made, {})
    nothing = replace(response, transfers=np.zeros_like(response.transfers))
    assert listen(net, nothing, coils_of(made)).silent


def heard_as(*coils: tuple[str, int | None, bool]) -> Sound:
    return Sound(tuple(Heard(c, sign, 0.0, weak, way=sign or 1) for c, sign, weak in coils), "", "in", "full", 100.0,
                 0.0, None, None)


@pytest.mark.parametrize(("one", "other", "alike"), [
    ((("a", 1, False),), (("a", 1, False),), True),
    ((("a", 1, False),), (("b", 1, False),), False),
    ((("a", 1, False),), (("a", 1, True),), False),
    ((("a", 1, False),), (("a", -1, False),), True),
    ((("a", 1, False), ("b", 1, False)), (("a", -1, False), ("b", -1, False)), True),
    ((("a", 1, False), ("b", 1, False)), (("a", 1, False), ("b", -1, False)), False),
])
def test_equal_curves_are_one_sound_where_the_same_coils_sound_with_the_same_signs_but_for_all_turned(
    one: tuple[tuple[str, int, bool], ...], other: tuple[tuple[str, int, bool], ...], alike: bool
) -> None:
    flat = np.zeros((5, len(one)))
    assert same(heard_as(*one), heard_as(*other), flat, flat) is alike
    assert not same(heard_as(*one), heard_as(*other), flat, flat + 0.6)
