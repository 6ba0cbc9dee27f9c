"""docs/physics.md states the figures the program works with, and its worked examples come out."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from circuits import built, plug

from diagramgen.circuit import chart, laws, readings, solve, sounds

PAGE = " ".join((Path(__file__).resolve().parents[2] / "docs" / "physics.md").read_text(encoding="utf-8").split())


@pytest.mark.parametrize("words", [
    f"`log` has {laws.LOG_PERCENT:g} % at half turn",
    f"from {sounds.LOWEST:g} Hz to {sounds.BAND_TOP / 1000:g} kHz",
    f"within {sounds.SOUNDS_DB:g} dB of the loudest, as weak beyond {sounds.WEAK_DB:g} dB",
    f"no coil's curve differs by {chart.SAME_DB:g} dB",
    f"{sounds.CANCELS:g} % or less is called *cancels*, {sounds.FULL:g} % or more *full*",
    f"metered loose counts {100 * readings.METERED:g} %, one known by its kind {100 * readings.TYPICAL:g} %",
    f"a pot's track {100 * readings.POT:g} %, a resistor {100 * readings.RESISTOR:g} %",
    f"copper gains {100 * readings.COPPER:g} % per kelvin at {readings.REFERENCE:g} °C (IEC 60028)",
    f"the band takes {readings.Bench().spread:g} kelvin more and less",
    f"1 in 10{'⁸' if solve.AGREE == 1e-8 else '?'}",
])
def test_the_page_states_the_figures_of_the_program(words: str) -> None:
    assert words in PAGE


def test_the_load_where_nothing_is_said_is_the_one_on_the_page() -> None:
    load = built("parts:\n  one: single-coil\n  output: jack-mono-open\nleads:\n  - one.finish -> output.tip\n"
                 "  - one.start -> output.sleeve\n").load
    assert load.cable_length == 5000
    assert load.cable_length / 1000 * load.cable_capacitance == pytest.approx(500e-12)
    assert load.amplifier == 1e6
    assert "5 m of 100 pF/m and 1 MΩ" in PAGE


def test_the_worked_examples_come_out() -> None:
    # 1 / (2 pi sqrt(L C)) (open article on pickup electronics, 2003); 4.4 H and 7715 Hz: a public example file.
    assert 1 / (2 * math.pi * math.sqrt(2.5 * 600e-12)) == pytest.approx(4100, rel=0.01)
    assert 1 / ((2 * math.pi * 7715) ** 2 * 4.4) == pytest.approx(96.7e-12, rel=1e-3)
    made = built("parts:\n  one: single-coil, 7k\n  volume: pot-24, 250k log\n  output: jack-mono-open\nleads:\n"
                 "  - one.finish -> volume.ten\n  - one.start -> volume.zero\n  - volume.zero -> output.sleeve\n"
                 "  - volume.wiper -> output.tip\n")
    assert plug(made).ohms == pytest.approx(6810, abs=1)
