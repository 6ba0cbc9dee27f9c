"""What each position gives in a player's words and pictures, held against the file's own promises."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from sampled import proof_of

from diagramgen.job.state_chart import PlayerChart, player_chart

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


@cache
def chart_of(name: str) -> PlayerChart:
    found = proof_of(name).chart
    assert found is not None
    return player_chart(found)


def row(name: str, **words: str):
    wanted = {key.replace("_", " "): word for key, word in words.items()}
    return next(s for s in chart_of(name).states if {t.name: t.word for t in s.stands}.items() >= wanted.items())


def test_the_coils_filled_are_those_that_sound():
    assert row("two-pickups-toggle", selector="up").sounding == ("neck.a", "neck.b")
    assert row("two-pickups-toggle", selector="middle").sounding == ("neck.a", "neck.b", "bridge.a", "bridge.b")
    assert row("baritone", selector="down", bridge_mode="b").sounding == ("bridge.b",)


@pytest.mark.parametrize(("name", "words", "said", "hum"), [
    ("two-pickups-toggle", {"selector": "up"}, "neck, both coils in series", "most hum goes"),
    ("two-pickups-toggle", {"selector": "middle"},
     "neck and bridge in parallel, both coils of each in series", "most hum goes"),
    ("baritone", {"selector": "up", "neck_mode": "a"}, "neck lighter coil alone", "hums"),
    ("baritone", {"selector": "up", "neck_mode": "parallel"}, "neck, both coils in parallel",
     "% left (wire unknown; 1 % if the same)"),
    ("three-singles-lever", {"lever": "2"}, "middle and bridge in parallel", "quiet"),
    ("left-handed", {"volume": "pulled", "selector": "away from 2"}, "bridge slug coil alone", "hums"),
])
def test_words(name, words, said, hum):
    found = row(name, **words)
    assert found.words == said
    assert hum in found.hum


def test_controls_look_as_they_are():
    looks = {t.look for s in chart_of("baritone").states for t in s.stands}
    assert looks == {"ring", "toggle"}
    assert {t.look for s in chart_of("left-handed").states for t in s.stands} == {"bat", "pull"}
    assert {t.look for s in chart_of("three-singles-lever").states for t in s.stands} == {"lever"}
    ring = next(t for t in row("baritone", selector="up", neck_mode="a").stands if t.look == "ring")
    # The symbol's own table of modes: slide a toward the bridge, slide b toward the neck.
    assert ring.inner == (1, 0)


def test_a_pickup_that_only_a_knob_brings_in_is_said_with_its_knob():
    assert chart_of("baritone").turned == (
        "Saddle: not heard with the knobs as they stand here; it comes in as transducer blend is turned down.",)


def test_pickups_stand_from_neck_to_bridge_and_transducers_last():
    assert [p.part for p in chart_of("three-singles-lever").pickups] == ["neck", "middle", "bridge"]
    assert [p.strip for p in chart_of("baritone").pickups] == [False, False, True]
