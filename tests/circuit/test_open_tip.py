"""A tip that hangs open is told apart from a muted one: a cable picks up hum there (common practice, no source)."""

from __future__ import annotations

import pytest
from circuits import built

from diagramgen.circuit.coil_words import OPEN_CONTACT, SILENT, heard_words
from diagramgen.circuit.proof import prove
from diagramgen.circuit.state_table import state_table
from diagramgen.circuit.switch_effects import Effects, effect_words
from diagramgen.features.testpage.plan import plug_readings
from diagramgen.kernel.diagnostics import Diagnostics, Problem

KILL = """format: 1
title: kill
parts:
  volume: pot-24, 500k log
  kill: slide-dpdt
  neck: single-coil, 6k8
  output: jack-mono-open
leads:
  - neck.finish -> volume.ten
  - neck.start -> volume.case
  - volume.zero -> volume.case, bend
  - volume.wiper -> LIVE
  - kill.a common -> PLUG
  - kill.a 2 -> volume.case, black
  - volume.case -> output.sleeve, black
"""
OPENS = (("LIVE", "kill.a common"), ("kill.a common -> PLUG", "kill.a 1 -> output.tip"))
MUTES = (("LIVE", "kill.a 1"), ("PLUG", "output.tip"))
WANTED = "wanted:\n  - {when: {kill: 2}, sounds: silent}\n"


def said(changes: tuple[tuple[str, str], ...], wanted: str = "") -> dict[str, Problem]:
    """The findings of the proof by code."""
    text = KILL + wanted
    for old, new in changes:
        text = text.replace(old, new)
    say = Diagnostics()
    prove(built(text), say)
    return {p.code: p for p in say.sorted()}


def test_a_wanted_silence_that_leaves_the_tip_open_is_warned_of() -> None:
    found = said(OPENS, WANTED)
    assert "output.tip hangs open in kill 2" in found["CIR-232"].message
    assert "CIR-210" not in found


@pytest.mark.parametrize("wanted", ["", WANTED])
def test_a_tip_that_is_joined_to_its_sleeve_is_no_open_tip(wanted: str) -> None:
    assert "CIR-232" not in said(MUTES, wanted)


def test_silence_nobody_asked_for_says_that_the_plug_reads_open() -> None:
    found = said(OPENS)
    assert "The plug reads open" in found["CIR-210"].remedy
    assert "CIR-232" not in found


@pytest.mark.parametrize(("changes", "words"), [(OPENS, OPEN_CONTACT), (MUTES, SILENT)])
def test_every_paper_says_of_the_position_whether_it_is_silent_or_open(
    changes: tuple[tuple[str, str], ...], words: str
) -> None:
    text = KILL
    for old, new in changes:
        text = text.replace(old, new)
    found = state_table(built(text))
    result = next(r for _, r in found.each() if not r.sound.sounding)
    assert heard_words(result.at(found.outputs[0]), found.build) == words
    assert {one.sounds for one in plug_readings(found)} == {"neck", words}
    (effect,) = (Effects(found).of(i) for i, d in enumerate(found.space.switches) if d.kind == "switch")
    assert effect_words(effect, found.build).endswith(f"{words}.")
