"""Facts of single steps that whole prints hide: a spoilt constant there changes no sample's words."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from circuits import built, sample

from diagramgen.circuit.elements.two_terminal import Capacitor, Resistor
from diagramgen.circuit.netlist import Elements
from diagramgen.circuit.repair.trial import Trial
from diagramgen.circuit.sounds import GRID, HIGHEST, LOWEST, STEPS, _peak
from diagramgen.features.netlist.spice import netlist

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
COIL = """
parts:
  coil: {symbol: single-coil, values: {resistance: 6k, inductance: 2.5 H, capacitance: 100p, loss: 470k, kick: plus}}
  output: jack-mono-open
leads:
  - coil.finish -> output.tip
  - coil.start -> output.sleeve
"""


@pytest.mark.parametrize("between", [-0.45, -0.2, 0.0, 0.31, 0.49])
def test_the_top_of_a_parabola_between_two_frequencies_is_found_exactly(between):
    """The parabola through three equally spaced points is the parabola itself (algebra)."""
    at, bend, top = 211 + between, 0.04, 7.5
    curve = top - bend * (np.arange(STEPS + 1) - at) ** 2
    power = 10 ** (np.concatenate([[-40.0, -3.0], curve]) / 20)  # at 50 Hz, 100 Hz, then over the grid
    frequency, height = _peak(power)
    assert frequency == pytest.approx(LOWEST * (HIGHEST / LOWEST) ** (at / STEPS), rel=1e-9)
    assert height == pytest.approx(top + 3.0, abs=1e-9)
    assert GRID[211 - 1] < frequency < GRID[211 + 1]


def test_the_netlist_loads_the_tip_with_the_stated_cable_and_amplifier():
    """3.5 m at 97 pF/m are 339.5 pF."""
    text = netlist(built(COIL + "load: {cable: 3.5 m, cable capacitance: 97 pF/m, amplifier: 680k}\n"), {})
    (cable,) = re.findall(r"(?m)^c_cable_tip \S+ 0 (\S+)$", text)
    (amplifier,) = re.findall(r"(?m)^r_amplifier_tip \S+ 0 (\S+)$", text)
    assert float(cable) == pytest.approx(339.5e-12, rel=1e-11)
    assert float(amplifier) == 680e3


def test_the_netlist_takes_off_what_a_meter_does_not_see_before_it_meters():
    """A core's loss is no conductor, and no amplifier hangs on the plug while the meter does."""
    lines = netlist(built(COIL), {}).splitlines()
    before = lines[: lines.index("op")]
    off = {m[1] for line in before if (m := re.fullmatch(r"alter @(\S+)\[resistance\] = 1e15", line))}
    losses = {line.split()[0] for line in lines if line.endswith(" 470000")}
    assert len(losses) == 1
    assert off == losses | {"r_amplifier_tip"}


@pytest.mark.parametrize("name", ["baritone", "two-pickups-toggle", "three-singles-lever", "left-handed"])
def test_the_quick_look_of_the_repair_takes_a_good_build_for_good(name):
    build = sample(SAMPLES / f"{name}.yaml")
    trial = Trial(build)
    assert trial.promises
    assert trial.may(build.leads)


def test_elements_on_other_points_keep_what_lies_between_two_points_and_lose_what_is_bridged():
    for kind in (Resistor, Capacitor):
        between, bridged = kind("between", 0, 1, 5.0, "part"), kind("bridged", 0, 2, 7.0, "part")
        assert Elements((between, bridged)).mapped([4, 5, 4]) == Elements((kind("between", 4, 5, 5.0, "part"),))


def test_the_netlist_says_which_lugs_are_on_each_of_its_nodes() -> None:
    lines = netlist(built(COIL), {}).splitlines()
    nodes = {line[7:].split(": ")[0]: line.split(": ")[1].split(", ") for line in lines if line.startswith("* node ")}
    assert nodes == {"tip": ["coil.finish", "output.tip"], "0": ["coil.start", "output.sleeve"]}


@pytest.mark.parametrize(("capacitance", "lines"), [("100p", 1), ("0", 0)])
def test_a_coil_taken_without_capacitance_has_no_capacitor_in_the_netlist(capacitance: str, lines: int) -> None:
    made = built(COIL)
    coil = made.parts["coil"]
    farad = {"100p": 100e-12, "0": 0.0}[capacitance]
    bare = replace(made, parts={**made.parts, "coil": replace(coil, values={**coil.values, "capacitance": farad})})
    assert len(re.findall(r"(?m)^c_coil ", netlist(bare, {}))) == lines


PROMISED = """
parts:
  one: {symbol: single-coil, values: {kick: plus}}
  two: {symbol: single-coil, values: {kick: plus}}
  output: jack-mono-open
leads:
  - one.finish -> output.tip
  - one.start -> two.finish
  - two.start -> output.sleeve
wanted:
  - {when: {output: mono}, sounds: one + two, phase: in}
"""


def test_a_promise_whose_coil_is_not_in_the_circuit_is_farther_from_kept_than_one_whose_phase_is_wrong() -> None:
    build = built(PROMISED)
    turned = built(PROMISED.replace("two.start", "two.now").replace("two.finish", "two.start").replace(
        "two.now", "two.finish"))
    without = built(PROMISED.replace("one.start -> two.finish", "one.start -> output.sleeve"))
    trial = Trial(build)
    assert trial.grade(build.leads) > trial.grade(turned.leads) > trial.grade(without.leads)


def test_the_quick_look_of_the_repair_sees_a_component_that_hangs_by_its_legs_in_the_way_of_the_signal() -> None:
    build = built("""
parts:
  one: {symbol: single-coil, values: {kick: plus}}
  cap: capacitor-film, 22n, between one.finish and output.tip
  output: jack-mono-open
leads:
  - one.start -> output.sleeve
wanted:
  - {when: {output: mono}, sounds: one}
""")
    assert Trial(build).may(build.leads)


@pytest.mark.parametrize(("volts", "enough"), [(9, 4.5), (18, 9)])
def test_the_netlist_has_a_board_draw_its_current_at_9_volts_and_play_from_half_the_batterys_voltage_on(
    volts: int, enough: float
) -> None:
    """By hand: 0.5 mA at 9 V are 18k, whatever the battery."""
    text = netlist(built(f"""
parts:
  coil: single-coil
  board: {{symbol: buffer-board, values: {{current: 0.5 mA, output: 1k, input: 1M}}}}
  battery: {{symbol: battery-9v, values: {{voltage: {volts}}}}}
  output: jack-mono-open
leads:
  - coil.finish -> board.in
  - coil.start -> output.sleeve
  - board.out -> output.tip
  - board.ground -> output.sleeve
  - battery.plus -> board.plus
  - battery.minus -> output.sleeve
"""), {})
    (supply,) = re.findall(r"(?m)^r_board_\S*supply board_plus 0 (\S+)$", text)
    (threshold,) = re.findall(r"(?m)^b_board.* - v\(0\) - (\S+)\)$", text)
    assert (float(supply), float(threshold)) == (18e3, enough)
