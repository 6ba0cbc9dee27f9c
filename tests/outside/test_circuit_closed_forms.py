"""The solver against closed forms: ratios of polynomials in s worked out by hand, evaluated by ``scipy.signal``.

Each build goes through the real reader; the formula beside it knows nothing of nets, only the circuit's textbook
algebra (series and parallel impedances, voltage divider). Values are invented, within what such parts have.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from circuits import built
from numpy.polynomial import polynomial
from scipy import signal

from diagramgen.circuit.state_table import response_of

FREQUENCIES = np.geomspace(20.0, 20e3, 61)
AGREE = 1e-9
CABLE, AMPLIFIER = 6 * 100e-12, 470e3
LOAD = "load: {cable: 6 m, amplifier: 470k}\n"


@dataclass(frozen=True)
class Ratio:
    """A ratio of two polynomials in s, lowest power first: an impedance in ohm or a gain."""

    top: np.ndarray
    bottom: np.ndarray

    def __add__(self, other: Ratio) -> Ratio:
        top = polynomial.polyadd(polynomial.polymul(self.top, other.bottom), polynomial.polymul(other.top, self.bottom))
        return Ratio(top, polynomial.polymul(self.bottom, other.bottom))

    def __mul__(self, other: Ratio) -> Ratio:
        return Ratio(polynomial.polymul(self.top, other.top), polynomial.polymul(self.bottom, other.bottom))

    def __truediv__(self, other: Ratio) -> Ratio:
        return self * Ratio(other.bottom, other.top)

    def __or__(self, other: Ratio) -> Ratio:
        return self * other / (self + other)

    def at(self, hertz: np.ndarray) -> np.ndarray:
        """Values on the imaginary axis, by scipy."""
        _, found = signal.freqs(self.top[::-1], self.bottom[::-1], 2 * np.pi * hertz)
        return np.asarray(found)


def ohm(value: float) -> Ratio:
    return Ratio(np.array([value]), np.array([1.0]))


def henry(value: float) -> Ratio:
    return Ratio(np.array([0.0, value]), np.array([1.0]))


def farad(value: float) -> Ratio:
    return Ratio(np.array([1.0]), np.array([0.0, value]))


@dataclass(frozen=True)
class Coil:
    """A coil: EMF behind ohm and henry, farad and loss across its ends."""

    ohm: float
    henry: float
    farad: float
    loss: float

    def text(self) -> str:
        return (f"{{symbol: single-coil, values: {{resistance: {self.ohm:g}, inductance: {self.henry:g} H, "
                f"capacitance: {self.farad * 1e12:g}p, loss: {self.loss / 1e3:g}k, kick: plus}}}}")

    @property
    def inner(self) -> Ratio:
        return ohm(self.ohm) + henry(self.henry)

    @property
    def outer(self) -> Ratio:
        return farad(self.farad) | ohm(self.loss)

    @property
    def seen(self) -> Ratio:
        """Its impedance between start and finish, the EMF shorted."""
        return self.inner | self.outer

    @property
    def unloaded(self) -> Ratio:
        """What of its EMF stands at its ends with nothing joined."""
        return self.outer / (self.inner + self.outer)


A = Coil(6.2e3, 2.6, 120e-12, 900e3)
B = Coil(7.9e3, 4.1, 90e-12, 1.3e6)
PLUG = farad(CABLE) | ohm(AMPLIFIER)


def gains(parts: str, leads: str, knobs: dict[str, float] | None = None) -> tuple[dict[str, np.ndarray], np.ndarray]:
    """Each coil's transfer to the tip, and the impedance there, of a build written in short."""
    lines = "".join(f"  - {one.strip()}\n" for one in leads.strip().splitlines())
    text = LOAD + "parts:\n" + "".join(f"  {one.strip()}\n" for one in parts.strip().splitlines())
    made = built(text + "  output: jack-mono-open\nleads:\n" + lines)
    _, found = response_of(made, {"output": "mono"}, knobs, FREQUENCIES)
    return dict(zip(found.sources, found.transfers.T, strict=True)), found.impedance


def agree(found: np.ndarray, formula: Ratio) -> None:
    expected = formula.at(FREQUENCIES)
    assert np.abs(found / expected - 1).max() <= AGREE


def test_a_coil_into_cable_and_amplifier() -> None:
    found, seen = gains(f"a: {A.text()}", "a.finish -> output.tip\na.start -> output.sleeve")
    agree(found["a"], A.unloaded * PLUG / (A.seen + PLUG))
    agree(seen, A.seen | PLUG)


def test_the_poles_of_a_coil_with_its_cable_stand_where_the_peak_is() -> None:
    found, _ = gains(f"a: {A.text()}", "a.finish -> output.tip\na.start -> output.sleeve")
    whole, leak = A.farad + CABLE, 1 / A.loss + 1 / AMPLIFIER
    # (R + sL)(1/Rp + sC) + 1 = 0, the second-order form of one coil.
    poles = signal.TransferFunction(
        [1.0], [A.henry * whole, A.ohm * whole + A.henry * leak, 1 + A.ohm * leak]).poles
    natural, damping = abs(poles[0]), -poles[0].real / abs(poles[0])
    peak = natural / (2 * np.pi) * np.sqrt(1 - 2 * damping**2)
    near = FREQUENCIES[np.abs(found["a"]).argmax()]
    assert near == pytest.approx(peak, rel=0.06)
    level = 1 / abs((A.ohm + 2j * np.pi * near * A.henry) * (leak + 2j * np.pi * near * whole) + 1)
    assert np.abs(found["a"]).max() == pytest.approx(level, rel=AGREE)


@pytest.mark.parametrize("turn", [0, 2.5, 5, 7.5, 10])
def test_a_tone_branch_with_a_linear_pot(turn: float) -> None:
    found, _ = gains(
        f"a: {A.text()}\ntone: pot-24, 250k linear\ncap: capacitor-film, 22n",
        "a.finish -> output.tip\na.start -> output.sleeve\ntone.wiper -> output.tip\ntone.zero -> cap.one\n"
        "cap.other -> output.sleeve", {"tone": turn})
    branch = (ohm(250e3 * turn / 10) if turn else ohm(0)) + farad(22e-9)
    rest = PLUG | branch
    agree(found["a"], A.unloaded * rest / (A.seen + rest))


LAWS = {
    "linear": lambda turn: turn / 10,
    "log 10%": lambda turn: 0.1 * turn / 5 if turn <= 5 else 0.1 + 0.9 * (turn - 5) / 5,
    "log": lambda turn: 0.15 * turn / 5 if turn <= 5 else 0.15 + 0.85 * (turn - 5) / 5,
    "reverse log": lambda turn: 0.85 * turn / 5 if turn <= 5 else 0.85 + 0.15 * (turn - 5) / 5,
}
"""Fraction of the track between zero and wiper: two even pieces (common practice, no source)."""


@pytest.mark.parametrize("turn", [1, 3, 5, 8])
@pytest.mark.parametrize("law", LAWS)
def test_a_volume_divides_by_the_law_of_its_pot(law: str, turn: float) -> None:
    found, seen = gains(
        f"a: {A.text()}\nvolume: pot-24, 500k {law}",
        "a.finish -> volume.ten\na.start -> output.sleeve\nvolume.wiper -> output.tip\nvolume.zero -> output.sleeve",
        {"volume": turn})
    share = LAWS[law](turn)
    below, above = ohm(500e3 * share) | PLUG, A.seen + ohm(500e3 * (1 - share))
    agree(found["a"], A.unloaded * below / (above + below))
    agree(seen, above | below)


def test_a_volume_at_0_is_silent_and_at_10_a_plain_load() -> None:
    parts = f"a: {A.text()}\nvolume: pot-24, 500k log"
    leads = ("a.finish -> volume.ten\na.start -> output.sleeve\nvolume.wiper -> output.tip\n"
             "volume.zero -> output.sleeve")
    silent, _ = gains(parts, leads, {"volume": 0})
    assert not any(np.abs(curve).max() for curve in silent.values())
    full, _ = gains(parts, leads)
    rest = PLUG | ohm(500e3)
    agree(full["a"], A.unloaded * rest / (A.seen + rest))


@pytest.mark.parametrize("turn", [2, 5, 9])
@pytest.mark.parametrize("kind", ["parallel", "series", "capacitor"])
def test_a_treble_bleed_across_ten_and_wiper(kind: str, turn: float) -> None:
    part = {"parallel": "bleed-parallel, 150k 680p", "series": "bleed-series, 150k 680p",
            "capacitor": "capacitor-film, 1n"}[kind]
    network = {"parallel": ohm(150e3) | farad(680e-12), "series": ohm(150e3) + farad(680e-12),
               "capacitor": farad(1e-9)}[kind]
    found, _ = gains(
        f"a: {A.text()}\nvolume: pot-24, 250k linear\nbleed: {part}",
        "a.finish -> volume.ten\na.start -> output.sleeve\nvolume.wiper -> output.tip\nvolume.zero -> output.sleeve\n"
        "bleed.one -> volume.ten\nbleed.other -> volume.wiper", {"volume": turn})
    above = A.seen + (ohm(250e3 * (1 - turn / 10)) | network)
    below = ohm(250e3 * turn / 10) | PLUG
    agree(found["a"], A.unloaded * below / (above + below))


def test_coils_in_series() -> None:
    found, seen = gains(f"a: {A.text()}\nb: {B.text()}",
                        "a.finish -> output.tip\na.start -> b.finish\nb.start -> output.sleeve")
    for name, own in (("a", A), ("b", B)):
        agree(found[name], own.unloaded * PLUG / (A.seen + B.seen + PLUG))
    agree(seen, (A.seen + B.seen) | PLUG)


def test_coils_side_by_side() -> None:
    found, seen = gains(
        f"a: {A.text()}\nb: {B.text()}",
        "a.finish -> output.tip\na.start -> output.sleeve\nb.finish -> output.tip\nb.start -> output.sleeve")
    for name, own, other in (("a", A, B), ("b", B, A)):
        rest = PLUG | other.seen
        agree(found[name], own.unloaded * rest / (own.seen + rest))
    agree(seen, A.seen | B.seen | PLUG)


def test_a_coil_the_other_way_round_has_the_opposite_sign() -> None:
    found, _ = gains(f"a: {A.text()}\nb: {B.text()}",
                     "a.finish -> output.tip\na.start -> b.start\nb.finish -> output.sleeve")
    agree(found["a"], A.unloaded * PLUG / (A.seen + B.seen + PLUG))
    agree(-found["b"], B.unloaded * PLUG / (A.seen + B.seen + PLUG))


def test_a_buffer_hears_its_input_and_drives_the_cable_from_its_output_resistance() -> None:
    found, seen = gains(
        f"a: {A.text()}\nboard: {{symbol: buffer-board, values: {{input: 1M5, output: 2k2}}}}\nbattery: battery-9v",
        "a.finish -> board.in\na.start -> board.ground\nboard.ground -> output.sleeve\nboard.out -> output.tip\n"
        "battery.plus -> board.plus\nbattery.minus -> board.ground")
    into = ohm(1.5e6)
    agree(found["a"], A.unloaded * into / (A.seen + into) * PLUG / (ohm(2.2e3) + PLUG))
    agree(seen, ohm(2.2e3) | PLUG)


def test_a_contact_transducer_is_a_capacitance_into_its_load() -> None:
    found, _ = gains("saddle: {symbol: contact-transducer, values: {capacitance: 1n2}}",
                     "saddle.hot -> output.tip\nsaddle.shield -> output.sleeve")
    agree(next(iter(found.values())), PLUG / (farad(1.2e-9) + PLUG))


def test_two_volumes_with_one_selector_in_the_middle() -> None:
    """Each volume at 5, linear: the other pickup's branch loads the tip from its wiper."""
    found, _ = gains(
        f"a: {A.text()}\nb: {B.text()}\none: pot-24, 500k linear\ntwo: pot-24, 250k linear",
        "a.finish -> one.ten\na.start -> output.sleeve\none.wiper -> output.tip\none.zero -> output.sleeve\n"
        "b.finish -> two.ten\nb.start -> output.sleeve\ntwo.wiper -> output.tip\ntwo.zero -> output.sleeve",
        {"one": 5, "two": 4})
    up, other = A.seen + ohm(250e3), B.seen + ohm(150e3)
    below = ohm(250e3) | ohm(100e3) | PLUG
    for name, own, above, across in (("a", A, up, other), ("b", B, other, up)):
        rest = below | across
        agree(found[name], own.unloaded * rest / (above + rest))
