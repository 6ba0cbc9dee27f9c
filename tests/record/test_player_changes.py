"""What the customer's record says of pulls, pushes and buttons, and of sounds only some positions give.

The builds are small ones of common wirings (common practice, no source); what is said of them is held against the
solver's own curves where it names figures.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from circuits import built
from sampled import proof_of

from diagramgen.circuit import switch_effects as effects
from diagramgen.circuit.state_table import state_table
from diagramgen.features.record import state_cells as playercells
from diagramgen.job import state_chart as playerchart
from diagramgen.job.state_chart import PlayerChart, player_chart

HEAD = """
parts:
  output: jack-mono-open
  volume: {volume}, 500k log
{parts}
leads:
  - volume.wiper -> output.tip
  - volume.zero -> volume.case
  - volume.case -> output.sleeve
{leads}
"""


def sounds(parts: str, leads: str, volume: str = "pot-24-push-pull") -> PlayerChart:
    lines = [block.strip().splitlines() for block in (parts, leads)]
    made = HEAD.format(volume=volume, parts="\n".join(f"  {one.strip()}" for one in lines[0]),
                       leads="\n".join(f"  - {one.strip()}" for one in lines[1]))
    return player_chart(state_table(built(made)))


def bypass(bleed: str = "capacitor-film, 1n") -> PlayerChart:
    return sounds(f"""bridge: single-coil
        bleed: {bleed}, between volume.ten and volume.a near""", """bridge.finish -> volume.ten
        bridge.start -> volume.case
        volume.a common -> volume.wiper""")


def test_a_pull_that_takes_a_treble_bleed_in_is_said_though_the_coils_are_the_same():
    made = bypass()
    assert [s.words for s in made.states] == ["bridge"]
    assert len(made.changes) == 1
    assert made.changes[0].startswith("Volume. Pulled: treble bleed on; with volume at 5: about ")
    assert "more treble against bass" in made.changes[0]
    assert made.changes[0].endswith("Pushed: off. Same coils.")


def test_a_pull_that_takes_a_treble_bleed_out_says_how_much_treble_goes_with_the_volume_part_way_down():
    made = sounds("""bridge: single-coil
        bleed: capacitor-film, 1n, between volume.ten and volume.a far""", """bridge.finish -> volume.ten
        bridge.start -> volume.case
        volume.a common -> volume.wiper""")
    said = made.changes[0]
    assert said.startswith("Volume. Pushed: treble bleed on. Pulled: off; with volume at 5: ")
    # The capacitor shorts the upper part of the track for treble; without it that is lost (first principles).
    assert "less treble against bass" in said


def test_a_switch_that_is_wired_to_nothing_makes_no_difference_and_it_is_said():
    made = sounds("bridge: single-coil", """bridge.finish -> volume.ten
        bridge.start -> volume.case""")
    assert made.changes == ("Volume. Pushed or pulled: no difference in sound, each knob at 10, 5 and 0.",)
    assert [s.stands for s in made.states] == [()]


def test_a_pull_that_splits_is_shown_and_said():
    made = sounds("bridge: dual-coil", """bridge.a start -> volume.ten
        bridge.a finish -> bridge.b finish
        bridge.a finish -> volume.a common
        volume.a near -> volume.case
        bridge.b start -> volume.case
        bridge.bare -> volume.case""")
    assert [s.words for s in made.states] == ["bridge, both coils in series", "bridge slug coil alone"]
    assert made.changes == ("Volume. Pulled: bridge slug coil alone instead of bridge, both coils in series.",)


PHASE = ("""neck: {{symbol: single-coil{neck}}}
    bridge: {{symbol: single-coil{bridge}}}""", """neck.finish -> volume.ten
    neck.start -> volume.case
    bridge.finish -> volume.a common
    bridge.start -> volume.b common
    volume.a far -> volume.ten
    volume.b near -> volume.ten
    volume.b far -> volume.case
    volume.a near -> volume.case""")


def test_a_phase_switch_gives_two_sounds_where_the_kicks_are_known():
    kick = ", values: {kick: plus}"
    made = sounds(PHASE[0].format(neck=kick, bridge=kick), PHASE[1])
    assert [(s.words, s.hum.partition(";")[0]) for s in made.states] == [
        ("neck and bridge in parallel", made.states[0].hum.partition(";")[0]),
        ("neck and bridge in parallel, bridge out of phase", "out of phase: thin")]


def test_a_phase_switch_gives_two_sounds_where_no_kick_is_known_and_neither_is_called_out_of_phase():
    made = sounds(PHASE[0].format(neck="", bridge=""), PHASE[1])
    assert [s.words for s in made.states] == [
        "neck and bridge in parallel",
        "neck and bridge in parallel; against volume pushed: one turned round against the other"]
    assert not any("out of phase" in s.hum for s in made.states)


def test_a_kill_button_is_said_and_its_position_is_not_drawn():
    made = sounds("""bridge: single-coil
        kill: push-button-momentary""", """bridge.finish -> volume.ten
        bridge.start -> volume.case
        kill.one -> output.tip
        kill.other -> output.sleeve""", "pot-24")
    assert [s.words for s in made.states] == ["bridge"]
    assert [c for c in made.changes if c.startswith("Kill")] == ["Kill. Held in: silent."]


def test_a_kill_switch_that_stays_is_a_sound_of_its_own_and_nothing_else_is_drawn_beside_it():
    made = sounds("""bridge: single-coil
        neck: single-coil
        selector: toggle-upright
        kill: slide-dpdt""", """bridge.finish -> selector.down
        neck.finish -> selector.up
        selector.up centre -> selector.down centre
        selector.up centre -> volume.ten
        bridge.start -> volume.case
        neck.start -> volume.case
        kill.a common -> output.tip
        kill.a 1 -> output.sleeve""", "pot-24")
    silent = [s for s in made.states if s.words == "silent"]
    assert [[t.name for t in s.stands] for s in silent] == [["kill"]]
    assert len(made.states) == 4


def test_a_switch_between_two_tone_capacitors_is_said_with_the_knob_that_brings_it_out():
    made = sounds("""bridge: single-coil
        tone: pot-24, 500k log
        small: capacitor-film, 10n, between tone.zero and volume.a far
        large: capacitor-film, 100n, between tone.zero and volume.a near""", """bridge.finish -> volume.ten
        bridge.start -> volume.case
        tone.wiper -> volume.ten
        volume.a common -> volume.case""")
    assert [s.words for s in made.states] == ["bridge"]
    assert made.changes[0].startswith("Volume. Pulled, with tone at 0: ")
    assert made.changes[0].endswith("Same coils.")


def test_two_positions_with_one_sound_are_drawn_once_and_the_other_is_named():
    made = sounds("""bridge: single-coil
        neck: single-coil
        selector: lever-open-5""", """bridge.finish -> selector.a 1
        neck.finish -> selector.a 3
        bridge.start -> volume.case
        neck.start -> volume.case
        selector.a common -> volume.ten""", "pot-24")
    words = [s.words for s in made.states]
    assert len(words) == len(set(words)) == made.sounds
    assert all(s.also == "" or s.also.startswith("also with selector ") for s in made.states)


def test_a_pickup_that_is_heard_in_a_position_not_drawn_is_never_called_not_heard(monkeypatch):
    monkeypatch.setattr(playerchart, "MOST", 2)
    found = proof_of("three-singles-lever").chart
    assert found is not None
    made = player_chart(found)
    assert (len(made.states), made.sounds) == (2, 5)
    assert made.turned == ()


@pytest.mark.parametrize("name", ["baritone", "left-handed", "three-singles-lever", "two-pickups-toggle"])
def test_every_sound_of_the_chart_is_shown_once_with_or_without_promises(name):
    found = proof_of(name).chart
    assert found is not None
    for one in (found, replace(found, build=replace(found.build, wanted=()))):
        made = player_chart(one)
        told = {r.like for r in one.results if r.plug == "mono"}
        assert len(made.states) == made.sounds == len(told)
        words = [s.words for s in made.states]
        assert len(words) == len(set(words))


def test_of_more_sounds_than_fit_those_the_build_names_come_first_and_the_rest_is_counted(monkeypatch):
    monkeypatch.setattr(playerchart, "MOST", 10)
    found = proof_of("baritone").chart
    assert found is not None
    made = player_chart(found)
    assert (len(made.states), made.sounds) == (10, 24)
    # The sample names these two of the middle position and all four of each pickup.
    assert [s.words for s in made.states if "and" in s.words] == [
        "neck and bridge in parallel, both coils of each in series",
        "neck lighter coil and bridge heavier coil in parallel"]


def test_nothing_is_claimed_of_a_switch_where_knobs_are_too_many_to_turn(monkeypatch):
    monkeypatch.setattr(effects, "MOST_SOLVED", 0)
    made = sounds("bridge: single-coil", """bridge.finish -> volume.ten
        bridge.start -> volume.case""")
    assert made.changes == ()


def test_a_bypassed_preamp_is_told_by_the_octaves_it_raises_though_level_and_treble_are_the_same_on_the_average():
    made = player_chart(state_table(built("""
parts:
  mode: pot-24-push-pull, 250k log
  preamp: buffer-board
  battery: battery-9v
  split: bass-split
  output: jack-stereo-open
leads:
  - split.a finish -> split.b finish
  - split.b start -> mode.ten
  - split.a start -> mode.case
  - mode.zero -> mode.case
  - mode.wiper -> mode.a far
  - mode.a common -> output.tip
  - mode.wiper -> preamp.in
  - preamp.out -> mode.a near
  - mode.case -> output.sleeve
  - preamp.ground -> output.sleeve
  - battery.plus -> preamp.plus
  - battery.minus -> output.ring
""")))
    assert "hardly" not in " ".join(made.changes)
    # Without the cable on the pickup the buffered sound reaches higher (first principles).
    assert any(re.search(r"\d dB (more|less) above 5 kHz", said) for said in made.changes), made.changes


def test_one_octave_that_falls_and_the_next_that_rises_do_not_cancel():
    gains = np.where(effects.GRID < 2500, 0.0, np.where(effects.GRID < 5000, -4.0, 12.0))
    assert list(effects._octaves(gains, 0.0)) == ["4 dB less from 2.5 kHz to 5 kHz", "12 dB more above 5 kHz"]
    assert list(effects._octaves(gains * 0 - 3.0, -3.0)) == []


@pytest.mark.parametrize(("kind", "look"), [("three-coil", False), ("bass-split", False), ("dual-coil", True)])
def test_only_coils_whose_names_tell_no_place_are_looked_for_on_the_pickup(kind, look):
    pickup = built(f"parts:\n  it: {kind}\n  volume: pot-24\nleads:\n  - volume.zero -> volume.case\n").parts["it"]
    coils = tuple((e.name, e.says) for e in pickup.symbol.elements if e.kind == "coil")
    key = " ".join(playercells._key(PlayerChart((), (playerchart.PickupLook("it", "it", coils, False),), 0)))
    assert coils[0][1] in key
    assert ("the pickup itself shows" in key) == look
