"""Lugs bent over to their case: drawn to the rim beside them, and said where the metal is too short.

Measures of the parts are typical ones of the shipped symbols; what a lug reaches follows from its own tongue.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from diagramgen import pipeline

HEAD = """format: 1
title: Bent lugs
cavity: {shape: {rounded: [110, 70], corner: 10}, depth: 40}
channels:
  jack: {at: [110, 35], diameter: 10, length: 40}
parts:
"""
LEADS = """  output: jack-mono-open, through jack
leads:
  - volume.wiper -> output.tip, red
  - volume.case -> output.sleeve, black
"""


def examined(tmp_path: Path, symbol: str, bend: str) -> pipeline.Proof:
    file = tmp_path / "bent.yaml"
    file.write_text(f"{HEAD}  volume: {symbol}, at 50 35\n{LEADS}  - {bend}, bend\n", encoding="utf-8")
    return pipeline.examine(file)


@pytest.mark.parametrize("symbol", ["pot-24, 500k log", "pot-24-push-pull, 500k log", "pot-24-push-push, 500k log"])
@pytest.mark.parametrize("turned", [False, True])
def test_a_bent_lug_comes_down_on_the_rim_beside_it(tmp_path: Path, symbol: str, turned: bool) -> None:
    pair = ["volume.zero", "volume.case"]
    proof = examined(tmp_path, symbol, " -> ".join(reversed(pair) if turned else pair))
    assert "W108" not in {p.code for p in proof.problems}
    layout = proof.layout
    assert layout is not None
    (bent,) = (one for one in layout.leads if one.lead.kind == "bend")
    part = layout.parts["volume"]
    lug, rim = part.lugs["zero"].at, bent.path.start if turned else bent.path.end
    assert (bent.path.end if turned else bent.path.start) == lug
    assert bent.path.length() < 9.0  # eyelet to rim; across the case it would be 24 mm and more
    centre = part.place.e, part.place.f
    assert 10.5 < ((rim.x - centre[0]) ** 2 + (rim.y - centre[1]) ** 2) ** 0.5 < 12.0  # case of 24 mm


def test_a_lug_too_short_for_its_case_is_said_with_what_to_do(tmp_path: Path) -> None:
    proof = examined(tmp_path, "pot-24-push-pull, 500k log", "volume.a far -> volume.case")
    (said,) = (p for p in proof.problems if p.code == "W108")
    assert "does not reach" in said.message
    assert "short wire" in said.remedy


def test_bad_wiring_names_the_one_lead_that_grounds_the_wiper(tmp_path: Path) -> None:
    file = tmp_path / "grounded.yaml"
    file.write_text(f"{HEAD}  volume: pot-24, 500k log, at 50 35\n{LEADS}".replace("> output.tip", "> output.sleeve"),
                    encoding="utf-8")
    (said,) = (p for p in pipeline.examine(file).problems if p.code == "C101" and "output.tip" in p.message)
    assert "shorted to ground by lead W01 on line 10 (volume.wiper -> output.sleeve)" in said.message
