"""Treble bleeds are found from connections, whatever they are made of; a study takes them out and moves no lead."""

from __future__ import annotations

import numpy as np
import pytest
from circuits import built

from diagramgen.circuit.bleeds import Bleed, bleeds, without
from diagramgen.circuit.state_table import response_of
from diagramgen.model.build import Build

BARE = """
parts:
  pickup: single-coil, 7k
  volume: pot-24, 250k log
{parts}  output: jack-mono-open
leads:
  - pickup.finish -> volume.ten
  - pickup.start -> volume.case
  - volume.zero -> volume.case
  - volume.wiper -> output.tip
  - volume.case -> output.sleeve
{leads}"""


def made(parts: str = "", leads: str = "") -> Build:
    return built(BARE.format(parts="".join(f"  {p}\n" for p in parts.splitlines()),
                             leads="".join(f"  - {x}\n" for x in leads.splitlines())))


BLEEDS = {
    "one part side by side": ("b: bleed-parallel, 150k 680p, between volume.ten and volume.wiper", "", ("b",)),
    "one part in series": ("b: bleed-series, 150k 680p, between volume.wiper and volume.ten", "", ("b",)),
    "a capacitor": ("c: capacitor-film, 1n, between volume.ten and volume.wiper", "", ("c",)),
    "two parts side by side": ("c: capacitor-film, 1n\nr: resistor, 150k",
                               "c.one -> volume.ten\nc.other -> volume.wiper\nr.one -> c.one\nr.other -> c.other",
                               ("c", "r")),
    "two parts in series": ("c: capacitor-film, 1n\nr: resistor, 150k",
                            "c.one -> volume.ten\nc.other -> r.one\nr.other -> volume.wiper", ("c", "r")),
}


@pytest.mark.parametrize("name", BLEEDS)
def test_a_bleed_is_found_and_without_it_the_volume_is_plain(name: str) -> None:
    parts, leads, members = BLEEDS[name]
    build = made(parts, leads)
    assert list(bleeds(build, {})) == [Bleed("volume.turn", members)]
    hertz = np.geomspace(80, 20e3, 21)
    _, plain = response_of(made(), {}, {"volume": 4}, hertz)
    _, removed = response_of(without(build, Bleed("volume.turn", members)), {}, {"volume": 4}, hertz)
    _, whole = response_of(build, {}, {"volume": 4}, hertz)
    np.testing.assert_allclose(np.abs(removed.transfers), np.abs(plain.transfers), rtol=1e-5)
    assert abs(whole.transfers[10, 0] / plain.transfers[10, 0]) > 1.05


def test_a_tone_capacitor_and_a_resistor_alone_are_no_bleed() -> None:
    tone = made("tone: pot-24, 250k log\ncap: capacitor-film, 22n",
                "tone.wiper -> volume.ten\ntone.zero -> cap.one\ncap.other -> volume.case")
    assert list(bleeds(tone, {})) == []
    assert list(bleeds(made("r: resistor, 150k, between volume.ten and volume.wiper"), {})) == []
