"""Level, phase, hum and peak of curves that were made up, so that each answer is known beforehand."""

from __future__ import annotations

import numpy as np
import pytest
from circuits import built

from diagramgen.circuit.nodal import Response
from diagramgen.circuit.polarity import Sign
from diagramgen.circuit.sounds import FREQUENCIES, GRID, HIGHEST, LOWEST, STEPS, Coils, _hum, _peak, _ways
from diagramgen.circuit.state_table import state_table


@pytest.mark.parametrize(("degrees", "way", "clear"), [
    (0, 1, True), (50, 1, True), (70, 1, False), (89, 1, False), (110, -1, False), (130, -1, True), (180, -1, True),
])
def test_two_coils_are_in_or_out_of_phase_up_to_60_degrees_from_either(degrees: float, way: int, clear: bool) -> None:
    """The correlation of two equal sines is the cosine of the angle between them; half is at 60 degrees."""
    turn = np.exp(1j * np.radians(degrees))
    transfers = np.outer(np.ones(len(FREQUENCIES)), [1.0, 0.3 * turn])
    assert _ways(transfers, [0, 1], 0) == ({0: 1, 1: way}, clear)
    assert _ways(-transfers, [0, 1], 0) == ({0: -1, 1: -way}, clear)


def coils(known: bool = True) -> Coils:
    """Two pickups of one coil each, wound the opposite way; their winding metered or only usual."""
    signs = {"a": Sign(1, 1, not known, not known), "b": Sign(1, -1, not known, not known)}
    return Coils(signs, {"a": 0, "b": 1}, {"a": "a", "b": "b"}, frozenset("ab"))


def hum(of: Coils, *at_50_hz: float) -> tuple[str, float | None]:
    transfers = np.zeros((len(FREQUENCIES), len(at_50_hz)), dtype=complex)
    transfers[0] = at_50_hz
    found = _hum(Response(tuple("ab"[: len(at_50_hz)]), transfers, np.zeros(len(FREQUENCIES))), of)
    return found.word, found.most


@pytest.mark.parametrize(("level", "word"), [(1.3e-4, "full"), (0.8e-4, "silent")])
def test_hum_is_silent_80_db_below_the_field(level: float, word: str) -> None:
    assert hum(coils(), level)[0] == word


@pytest.mark.parametrize(("other", "word", "percent"), [
    (1.0, "cancels", 0.0), (0.95 / 1.05, "cancels", 5.0), (0.9 / 1.1, "partly", 10.0),
    (0.85 / 1.15, "partly", 15.0), (0.1, "partly", 900 / 11),
    (0.04, "full", 96 / 1.04),
])
def test_what_two_opposed_coils_leave_of_hum_is_their_difference_over_their_sum(
    other: float, word: str, percent: float
) -> None:
    found = hum(coils(), 1.0, other * (1 + 1e-9))
    assert found[0] == word
    assert found[1] == pytest.approx(percent, abs=1e-4)


def test_hum_of_two_pickups_of_usual_winding_is_unknown_unless_each_leaves_little() -> None:
    assert hum(coils(known=False), 1.0, 1.0) == ("unknown", None)


def test_what_rises_or_falls_all_the_way_has_no_peak() -> None:
    slope = np.geomspace(1.0, 8.0, STEPS + 1)
    for curve in (slope, slope[::-1]):
        assert _peak(np.concatenate([[1.0, 1.0], curve])) == (None, None)


@pytest.mark.parametrize(("hertz", "found"), [(90.0, False), (95.0, False), (110.0, True), (19_000.0, True)])
def test_a_peak_counts_from_100_hz_on(hertz: float, found: bool) -> None:
    at = int(np.abs(GRID - hertz).argmin())
    curve = 10 ** (-0.01 * np.abs(np.arange(STEPS + 1) - at) / 20)
    frequency, height = _peak(np.concatenate([[1.0, 1.0], curve]))
    assert (frequency is not None) is found
    if found:
        assert frequency == pytest.approx(hertz, rel=np.log(HIGHEST / LOWEST) / STEPS)
        assert height == pytest.approx(0.0, abs=0.01)


def test_coils_and_transducers_are_named_in_the_order_of_the_file() -> None:
    made = built("parts:\n  saddle: {symbol: contact-transducer, value: 10n}\n  neck: single-coil\n"
                 "  output: jack-mono-open\nleads:\n  - saddle.hot -> output.tip\n  - saddle.shield -> output.sleeve\n"
                 "  - neck.finish -> output.tip\n  - neck.start -> output.sleeve\n")
    sound = state_table(made).result(0).sound
    assert [h.coil for h in sound.sounding] == ["saddle", "neck"]
    assert sound.network == "saddle || neck"


def test_a_phase_that_nobody_can_know_rests_on_no_usual_sign() -> None:
    text = ("parts:\n  one: dual-coil\n  two: dual-coil\n  output: jack-mono-open\nleads:\n"
            "  - one.a start -> output.tip\n  - one.a finish -> output.sleeve\n"
            "  - two.a start -> output.tip\n  - two.a finish -> output.sleeve\n")
    sound = state_table(built(text)).result(0).sound
    assert (sound.phase, sound.hum, sound.assumed) == ("unknown", "unknown", False)
