"""A network of coils in words: what every sheet, page and record says in place of the notation of the files."""

from __future__ import annotations

from dataclasses import replace

import pytest
from circuits import built
from sampled import proof_of

from diagramgen.circuit.coil_words import (
    assumed_words,
    coil_names,
    element_called,
    in_words,
    network_words,
    one_winding,
    sound_words,
)
from diagramgen.circuit.sounds import SILENCE
from diagramgen.circuit.state_table import state_table


@pytest.mark.parametrize(("text", "said"), [
    ("bridge.a", "bridge lighter coil alone"),
    ("neck.a + neck.b", "neck, both coils in series"),
    ("neck.a || neck.b", "neck, both coils in parallel"),
    ("(neck.a + neck.b) || (bridge.a + bridge.b)", "neck and bridge in parallel, both coils of each in series"),
    ("neck.a || neck.b || bridge.a || bridge.b", "all coils of neck and bridge in parallel"),
    ("neck.a || (bridge.a + bridge.b)", "neck lighter coil and bridge (both coils in series) in parallel"),
    ("neck.a || neck.b || (bridge.a + bridge.b)",
     "neck (both coils in parallel) and bridge (both coils in series) in parallel"),
    ("(neck.a || saddle) + bridge.a", "(neck lighter coil and saddle in parallel) and bridge lighter coil in series"),
    ("neck.a - neck.b", "neck, both coils in series, neck heavier coil out of phase"),
    ("(neck.a + neck.b) || (-bridge.a - bridge.b)",
     "neck and bridge in parallel, both coils of each in series, bridge out of phase"),
    ("(neck.a + neck.b) || -(bridge.a + bridge.b)",
     "neck and bridge in parallel, both coils of each in series, bridge out of phase"),
    ("neck.a + cap", "neck lighter coil through cap"),
    ("neck.a || neck.b || cap", "neck (both coils in parallel) with cap across it"),
    ("silent", "silent"),
    ("no [network] at all", "no [network] at all"),
])
def test_words_for_a_network(text, said):
    assert network_words(text, proof_of("baritone").build) == said


def test_coils_are_called_by_their_pickup_and_their_own_name_where_it_has_several():
    names = coil_names(proof_of("baritone").build)
    assert (names["neck.a"], names["saddle"]) == ("neck lighter coil", "saddle")
    bass = built("parts:\n  pickup: bass-split\n").parts["pickup"]
    assert element_called(bass, bass.symbol.elements[0]) == "pickup (low strings)"


def test_a_winding_with_a_tap_is_one_winding_and_two_coils_are_not():
    parts = built("parts:\n  a: single-coil-tapped\n  b: dual-coil\n  c: single-coil\n").parts
    assert [one_winding(parts[name]) for name in "abc"] == [True, False, False]
    build = built("parts:\n  bridge: single-coil-tapped\n")
    assert network_words("bridge.inner + bridge.outer", build) == "bridge, whole winding"
    assert network_words("bridge", build) == "bridge, whole winding"
    assert network_words("bridge.inner", build) == "bridge tapped (start to tap)"


def test_two_of_three_coils_are_named_and_never_called_all():
    build = built("parts:\n  neck: three-coil\n  bridge: three-coil\n")
    assert network_words("neck.a + neck.b + bridge.a + bridge.b", build) == (
        "neck (neck side and middle in series) and bridge (neck side and middle in series) in series")
    assert network_words("neck.a + neck.b + neck.c", build) == "neck, all three coils in series"


def test_which_coil_works_against_another_is_said_only_where_the_phase_is_known():
    found = proof_of("three-singles-lever")
    sound = next(r.sound for r in found.chart.results if r.sound.network == "middle || bridge")
    turned = replace(sound, network="middle || -bridge")
    said = sound_words(replace(turned, phase="out"), found.build)
    assert said == "middle and bridge in parallel, bridge out of phase"
    assert sound_words(replace(turned, phase="unknown"), found.build) == "middle and bridge in parallel"


def test_a_coil_that_is_hardly_heard_is_said_apart():
    found = proof_of("three-singles-lever")
    sound = next(r.sound for r in found.chart.results if r.sound.network == "middle || bridge")
    faint = replace(sound, sounding=(sound.sounding[0], replace(sound.sounding[1], weak=True)))
    assert sound_words(faint, found.build) == "middle; faintly bridge"
    assert sound_words(faint, found.build, faintly=False) == "middle"


def test_silence_and_what_is_neither_series_nor_parallel_have_words():
    build = proof_of("three-singles-lever").build
    assert sound_words(SILENCE, build) == "silent"
    sound = next(r.sound for r in proof_of("three-singles-lever").chart.results if len(r.sound.sounding) == 2)
    odd = replace(sound, network="middle, bridge: neither series nor parallel")
    assert sound_words(odd, build) == "middle and bridge, joined neither in series nor in parallel"


@pytest.mark.parametrize(("text", "said"), [
    ("up: wanted neck.a + neck.b, the wiring gives neck.a || bridge.a",
     "up: wanted neck, both coils in series, the wiring gives neck lighter coil and bridge lighter coil in parallel"),
    ("it sounds (neck.a + neck.b).", "it sounds neck, both coils in series."),
    ("neck-volume of neck, neck.a-inductance, neck.shield", "neck-volume of neck, neck.a-inductance, neck.shield"),
    ("neck and bridge - both of them", "neck and bridge - both of them"),
])
def test_a_sentence_of_the_terminal_has_words_for_its_networks_on_paper(text, said):
    assert in_words(text, proof_of("baritone").build) == said


def test_values_nobody_gave_are_told_by_part_and_not_by_key():
    build = proof_of("baritone").build
    coils = ("neck.a", "neck.b", "bridge.a", "bridge.b")
    keys = [f"{name}-{value}" for name in coils for value in ("inductance", "loss")]
    said = assumed_words([*keys, "saddle.capacitance"], build)
    assert said == "neck and bridge: inductance, loss; saddle: capacitance"
    assert assumed_words(["neck.a-loss"], build) == "neck lighter coil: loss"


@pytest.mark.parametrize("name", ["baritone", "left-handed", "bass-active", "two-pickups-toggle", "no-cavity"])
def test_no_word_of_any_state_holds_the_notation_or_a_name_with_a_point(name):
    build = proof_of(name).build
    for knobs in ({}, {"tone.turn": 0.0} if "tone" in build.parts else {}):
        for result in state_table(build, knobs).results:
            said = sound_words(result.sound, build)
            assert not set(said) & set("|+."), said
