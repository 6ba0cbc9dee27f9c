"""A lead left out is told, a control must do what its kind is for, and what is right or meant draws no word.

Which leads are common practice has no source; the figures of the first rules are worked out by hand.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from builders import codes, only
from circuits import built, sample

from diagramgen.circuit.advice import exchanged
from diagramgen.circuit.proof import prove
from diagramgen.circuit.repair.search import Change, applied
from diagramgen.circuit.rules.connections import check_connections
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.model.build import Build

ROOT = Path(__file__).resolve().parents[2]
CASES = sorted((ROOT / "benchmarks" / "cases" / "omissions").glob("*.yaml"))
QUICK = [path for path in CASES if path.stem in {
    "volume-alone", "bass-two-volumes", "kill-button", "tapped-coil", "bleed-on-the-pull", "blend-passive",
    "spin-a-split", "neck-blended-in", "plain-pot-between-two", "bass-cut", "two-jacks", "board-before-the-volume"}]


def case(name: str) -> Build:
    return sample(ROOT / "benchmarks" / "cases" / "omissions" / f"{name}.yaml")


def said(build: Build) -> Diagnostics:
    say = Diagnostics()
    check_connections(build, say)
    prove(build, say)
    return say


def without(build: Build, lead: str) -> Build:
    """The build without one lead, written as in its file."""
    left = tuple(one for one in build.leads if f"{one.start} -> {one.end}" != lead)
    assert len(left) == len(build.leads) - 1, lead
    return applied(build, Change("", left))


def meant(build: Build, part: str) -> Build:
    return replace(build, parts={**build.parts, part: replace(build.parts[part], meant="so")})


@pytest.mark.parametrize("path", CASES, ids=lambda p: p.stem)
def test_a_whole_build_draws_no_warning(path: Path) -> None:
    assert [p.text() for p in said(sample(path)).sorted() if p.severity is not Severity.NOTE] == []


@pytest.mark.parametrize("path", QUICK, ids=lambda p: p.stem)
def test_every_lead_that_is_left_out_is_told_without_any_promise(path: Path) -> None:
    build = replace(sample(path), wanted=())
    before = {(p.code, p.message) for p in said(build).sorted()}
    silent = []
    for i, lead in enumerate(build.leads):
        less = applied(build, Change("", (*build.leads[:i], *build.leads[i + 1 :])))
        new = [p for p in said(less).sorted() if (p.code, p.message) not in before]
        ends = (str(lead.start), str(lead.end))
        if not any(p.severity is not Severity.NOTE or any(e in p.message for e in ends) for p in new):
            silent.append(ends)
    assert silent == []


@pytest.mark.parametrize(("name", "lead", "says"), [
    # By hand: 250k in series before 1 M is 1.9 dB.
    ("volume-alone", "volume.zero -> volume.case", "(1.9 dB at 80 Hz)"),
    # By hand: the 150k of the bleed beside the track of 500k is 115k, before 1 M 0.95 dB.
    ("tone-on-the-ten-end", "volume.zero -> volume.case", "(1.0 dB at 80 Hz)"),
    ("bass-two-volumes", "neck-volume.zero -> neck-volume.case", "neck-volume at 0 takes only"),
    ("volumes-that-do-not-mute", "bridge-volume.zero -> bridge-volume.case", "bridge-volume at 0 takes only"),
    ("spin-a-split", "knobs.front zero -> knobs.case", "knobs.front at 0 takes only"),
])
def test_a_volume_whose_0_end_has_no_lead_does_not_silence_and_the_lug_is_named(
    name: str, lead: str, says: str
) -> None:
    problem = only(said(without(case(name), lead)), "CIR-253")
    assert problem.severity is Severity.WARNING
    assert says in problem.message
    assert f"No lead ends on {lead.split(' -> ', maxsplit=1)[0]}" in problem.remedy


def test_behind_a_board_the_0_end_makes_so_little_difference_that_the_volume_does_hardly_anything() -> None:
    build = case("board-before-the-volume")
    assert "volume does hardly anything" in only(said(without(build, "volume.zero -> volume.case")), "CIR-254").message


def test_the_only_volume_with_input_and_output_exchanged_is_told_and_one_that_keeps_the_other_pickup_is_not() -> None:
    alone = exchanged(case("volume-alone"), "volume.ten", "volume.wiper")
    assert "pickup on the wiper and its output on the 10 end" in only(said(alone), "CIR-255").message
    assert "CIR-255" not in codes(said(meant(alone, "volume")))
    assert "CIR-255" not in codes(said(case("bass-two-volumes")))


@pytest.mark.parametrize(("name", "lead", "code", "says"), [
    ("kill-button", "volume.wiper -> kill.one", "CIR-256", "pressing kill changes nothing"),
    ("rotary-of-capacitors", "volume.ten -> rotary.a common", "CIR-256", "switching rotary changes nothing"),
    ("three-way-lever", "lever.a 2 -> lever.a 3", "CIR-257", "give the same, whatever else is set"),
    ("rotary-of-capacitors", "strip.tag b -> large.one", "CIR-258", "choke carries nothing in any state"),
    ("kill-button", "guard.other -> volume.case", "CIR-258", "guard carries nothing in any state"),
    ("master-volume-phase-and-split", "volume.a near -> volume.case", "CIR-120", "no lead ends on volume.a far"),
    ("rotary-of-sounds", "rotary.c common -> volume.case", "CIR-120", "none ends on rotary.c common"),
    ("lamp-and-kill-switch", "kill.throw 2 -> volume.case", "CIR-270", "kill.throw 2"),
    ("left-handed-three-coils", "rotary.a 1 -> rotary.a 4", "CIR-270", "rotary.a 4"),
    ("blend-passive", "blend.front ten -> blend.case", "CIR-116", "no lead ends on blend.front ten"),
])
def test_a_lead_left_out_of_a_switch_a_component_or_a_blend_is_told(name: str, lead: str, code: str, says: str) -> None:
    found = [p for p in said(without(case(name), lead)).sorted() if p.code == code]
    assert any(says in p.message for p in found), [p.text() for p in found]


def test_a_bleed_that_lost_a_lead_on_the_pull_is_told_though_the_pull_is_promised() -> None:
    build = sample(ROOT / "samples" / "baritone.yaml")
    less = without(build, "volume.a common -> volume.wiper")
    assert "bleed carries nothing in any state" in only(said(less), "CIR-258").message


def test_a_bleed_of_hardly_anything_changes_nothing_at_half_turn() -> None:
    build = built(SPARE.replace("680p", "1p").replace("150k", "20M"))
    assert "bleed changes the treble of volume at half turn by under" in only(said(build), "CIR-271").message
    assert "CIR-271" not in codes(said(built(SPARE)))


SPARE = """
parts:
  bridge: single-coil, 7k clockwise north
  volume: pot-24, 500k log
  bleed: bleed-parallel, 150k 680p, between volume.ten and volume.wiper
  output: jack-mono-open
leads:
  - bridge.finish -> volume.ten
  - bridge.start -> output.sleeve
  - volume.zero -> output.sleeve
  - volume.wiper -> output.tip
"""


def test_a_position_whose_leg_was_left_out_gives_what_another_gives() -> None:
    build = case("rotary-of-capacitors")
    small = replace(build.parts["small"], between=None)
    assert "rotary: 1 and 2 give the same" in only(
        said(replace(build, parts={**build.parts, "small": small})), "CIR-257").message


def test_positions_that_are_promised_one_by_one_may_be_alike_and_a_pull_that_does_nothing_may_not() -> None:
    same = case("three-way-lever")
    less = without(same, "lever.a 2 -> lever.a 3")
    text = built("parts:\n  lever: lever-inline-3\n  a: single-coil\n  output: jack-mono-open\nleads:\n"
                 "  - a.finish -> lever.a 1\n  - lever.a 1 -> lever.a 2\n  - lever.a 2 -> lever.a 3\n"
                 "  - a.start -> output.sleeve\n  - lever.a common -> output.tip\n"
                 "wanted:\n  - {when: {lever: 1}, sounds: a}\n  - {when: {lever: 2}, sounds: a}\n")
    assert "CIR-257" in codes(said(less))
    assert "CIR-257" not in codes(said(meant(less, "lever")))
    assert "CIR-257" not in codes(said(replace(less, wanted=tuple(
        replace(text.wanted[0], when={"lever": at}, sounds="bridge") for at in ("1", "2")))))
    assert "CIR-256" in codes(said(text))


def test_a_phase_switch_is_no_idle_switch_where_no_kick_is_known() -> None:
    build = case("master-volume-phase-and-split")
    bare = replace(build, wanted=(), parts={name: replace(part, values={}) for name, part in build.parts.items()})
    assert {"CIR-256", "CIR-257"}.isdisjoint(codes(said(bare)))


def test_a_board_without_ground_or_supply_is_told_though_another_still_sounds() -> None:
    build = replace(sample(ROOT / "samples" / "baritone.yaml"), wanted=())
    assert "magnetic.ground is not on the sleeve" in only(
        said(without(build, "magnetic.ground -> tone.case")), "CIR-259").message
    assert "magnetic never has its supply" in only(
        said(without(build, "piezo.plus -> magnetic.plus")), "CIR-259").message


def test_what_is_meant_is_read_in_a_line_and_nothing_is_said_of_it() -> None:
    text = SPARE.replace("  - volume.zero -> output.sleeve\n", "")
    assert "CIR-253" in codes(said(built(text)))
    told = built(text.replace("volume: pot-24, 500k log", "volume: pot-24, 500k log, meant only a little quieter at 0"))
    assert told.parts["volume"].meant == "only a little quieter at 0"
    assert "CIR-253" not in codes(said(told))


def test_a_string_safety_network_of_resistor_beside_capacitor_is_no_ungrounded_metal() -> None:
    found = codes(said(case("kill-button")))
    assert "CIR-118" in found
    assert {"CIR-107", "CIR-108", "CIR-111"}.isdisjoint(found)


def test_where_a_knob_off_10_sounds_that_is_said_and_the_ends_are_to_be_exchanged() -> None:
    build = exchanged(case("volume-alone"), "volume.zero", "volume.ten")
    problem = only(said(build), "CIR-211")
    assert problem.message == "nothing is heard in any state with volume at 10; with it at 0 bridge sounds"
    assert problem.remedy == "Exchange what is on volume.zero and volume.ten."


def test_a_pot_with_a_free_lug_is_said_to_have_no_lead_there_and_not_to_have_its_track_backwards() -> None:
    """Pickup and output on the wiper, the 10 end free: a resistor to ground, that loses little from 10 to 5."""
    build = built("parts:\n  a: single-coil\n  volume: pot-24, 500k log\n  output: jack-mono-open\nleads:\n"
                  "  - a.finish -> volume.wiper\n  - a.start -> output.sleeve\n  - volume.wiper -> output.tip\n"
                  "  - volume.zero -> output.sleeve\n")
    assert "CIR-244" not in codes(said(build))
    assert "CIR-241" in codes(said(build))


def test_a_braided_pickup_behind_a_phase_switch_is_not_told_to_exchange_its_leads() -> None:
    build = built("""
parts:
  neck: dual-coil-braided
  bridge: single-coil
  flip: toggle-mini-dpdt-on-on
  selector: toggle-short
  output: jack-mono-open
leads:
  - neck.hot -> flip.a common
  - neck.braid -> flip.b common
  - flip.a 1 -> flip.b 2
  - flip.a 2 -> flip.b 1
  - flip.a 1 -> selector.up
  - flip.b 1 -> output.sleeve
  - bridge.finish -> selector.down
  - bridge.start -> output.sleeve
  - selector.frame -> output.sleeve
  - selector.common -> output.tip
""")
    remedy = only(said(build), "CIR-240").remedy
    assert "no exchange of its leads helps" in remedy
    assert "free that end from it" in remedy


def test_the_idle_stretch_of_a_tapped_winding_draws_no_word_and_shorting_it_is_not_advised() -> None:
    build = case("tapped-coil")
    assert "CIR-242" not in codes(said(build))
    hanging = [p for p in said(without(build, "bridge.start -> volume.case")).sorted() if p.code == "CIR-242"]
    assert hanging
    assert all("Never short part of a winding" in p.remedy and "or short the coil" not in p.remedy for p in hanging)


def test_a_contact_that_only_a_wiper_at_its_end_bridges_is_not_idle() -> None:
    assert "CIR-252" not in codes(said(case("neck-blended-in")))


def test_coils_in_series_beside_another_pickup_see_no_low_load() -> None:
    """Each other coil by itself counts as open or shorted: the series coil shorted, the one beside open."""
    assert "CIR-247" not in codes(said(case("bleed-on-the-pull")))


def test_a_knob_of_the_second_jack_is_judged_there() -> None:
    text = SPARE.replace("  output: jack-mono-open\n", "  output: jack-mono-open\n  level: pot-24, 250k log\n"
                         "  other: single-coil, 6k clockwise north\n  second: jack-mono-open\n") + (
        "  - other.finish -> level.ten\n  - other.start -> second.sleeve\n  - level.wiper -> second.tip\n"
        "  - second.sleeve -> output.sleeve\n")
    assert "level at 0 takes only" in only(said(built(text)), "CIR-253").message
    whole = said(built(text + "  - level.zero -> output.sleeve\n"))
    assert {"CIR-245", "CIR-253"}.isdisjoint(codes(whole))


def test_metal_that_a_nut_grounds_is_named_by_its_lug() -> None:
    build = sample(ROOT / "samples" / "three-singles-lever.yaml")
    assert "only nuts or screws ground lever.frame, volume.case" in only(
        said(without(build, "volume.case -> neck-tone.case")), "CIR-105").message
