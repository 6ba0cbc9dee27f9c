"""The netlist line by line: what is tied, joined, left out and named."""

from __future__ import annotations

import re

import pytest
from circuits import built

from diagramgen.features.netlist.spice import netlist

COIL = """
parts:
  coil: single-coil
  output: jack-mono-open
leads:
  - coil.finish -> output.tip
  - coil.start -> output.sleeve
"""


def with_parts(parts: str, *leads: str, text: str = COIL) -> str:
    return text.replace("  output:", f"{parts}  output:") + "".join(f"  - {x}\n" for x in leads)


def lines(text: str, state: dict[str, str] | None = None, knobs: dict[str, float] | None = None) -> list[str]:
    return netlist(built(text), state or {}, knobs).splitlines()


def test_only_what_direct_current_does_not_reach_is_tied_to_ground() -> None:
    assert not [x for x in lines(COIL) if x.startswith("r_leak")]
    through = COIL.replace("  output:", "  cap: capacitor-film, 22n\n  lost: capacitor-film, 10n\n  output:").replace(
        "coil.start -> output.sleeve",
        "coil.start -> cap.one\n  - cap.other -> lost.one\n  - lost.other -> output.sleeve")
    (leak,) = [x for x in lines(through) if x.startswith("r_leak")]
    assert leak == "r_leak_1 cap_other 0 1e+13"


def test_what_the_plug_does_not_reach_is_left_out_and_named() -> None:
    found = lines(with_parts("  far: capacitor-film, 10n\n", "far.one -> far.other"))
    assert not [x for x in found if x.startswith("c_far")]
    alone = lines(with_parts("  far: capacitor-film, 10n\n"))
    assert [x for x in alone if "c_far" in x] == ["* not reached from the plug: c_far far_one far_other 1e-08"]


def test_a_no_load_track_that_lets_go_is_one_resistor_from_end_to_end() -> None:
    text = with_parts("  tone: pot-24-no-load, 500k\n  cap: capacitor-film, 22n\n", "tone.ten -> output.tip",
                      "tone.zero -> cap.one", "cap.other -> output.sleeve", "tone.wiper -> output.tip")
    (track,) = [x.split() for x in lines(text) if x.startswith("r_tone")]
    assert set(track[1:3]) == {"tone_zero", "tip"}
    assert float(track[3]) == 500e3
    at_5 = [x for x in lines(text, None, {"tone": 5.0}) if x.startswith("r_tone")]
    assert [float(x.split()[-1]) for x in at_5] == pytest.approx([0.15 * 500e3])


@pytest.mark.parametrize("plate", [True, False])
def test_cases_on_a_metal_plate_are_one_node_and_on_wood_are_not(plate: bool) -> None:
    text = ("cavity: {shape: {rounded: [110, 70], corner: 10}, depth: 40"
            + (", plate: {metal: yes, thickness: 2}" if plate else ", wood above: 5") + "}\n"
            + with_parts("  one: pot-24, 250k log, at 25 35\n  two: pot-24, 250k log, at 75 35\n"
                         "  cap: capacitor-film, 22n\n", "one.case -> output.tip", "two.case -> cap.one",
                         "cap.other -> output.sleeve"))
    nodes = [set(x.split(": ")[1].split(", ")) for x in lines(text) if x.startswith("* node ")]
    assert any({"one.case", "two.case"} <= node for node in nodes) is plate


def test_two_lugs_that_several_positions_join_are_one_contact() -> None:
    """A lever of three and five positions joins its common with each throw at one place and with both between."""
    text = with_parts("  lever: lever-open-5\n", "lever.a common -> output.tip", "lever.a 1 -> coil.finish",
                      "lever.a 3 -> coil.start")
    contacts = [x.split()[1:3] for x in lines(text, {"lever": "1"}) if re.match(r"r_lever_contact", x)]
    assert len(contacts) == len({frozenset(pair) for pair in contacts}) > 0


def test_the_supply_of_a_board_is_a_resistor_that_draws_its_current_at_9_volts() -> None:
    text = with_parts("  board: {symbol: buffer-board, values: {current: 0.5 mA}}\n  battery: battery-9v\n",
                      "board.plus -> battery.plus", "board.ground -> output.sleeve", "battery.minus -> output.sleeve")
    (supply,) = [x for x in lines(text) if x.startswith("r_board_supply") or "_supply " in x]
    assert float(supply.split()[-1]) == pytest.approx(18e3)
