"""Rules of single states, knobs, colours and grounds: each on a good sample with one lead or value changed.

What counts as wrong is common practice, no source; the corner of a transducer with its load is 1 / (2 pi R C).
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from builders import codes, only
from circuits import built

from diagramgen.circuit.proof import prove
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
RULES = {f"C{n}" for n in (240, 241, 242, 243, 244, 245, 247, 248, 250)}
LOOSE, TOP, TOGGLE = "no-cavity", "holes-in-top", "two-pickups-toggle"


@cache
def text(name: str) -> str:
    return (SAMPLES / f"{name}.yaml").read_text(encoding="utf-8")


def said(name: str, *changes: tuple[str, str]) -> Diagnostics:
    """What the proof of a sample says after changes of its text, each of which must meet one place."""
    made = text(name)
    for old, new in changes:
        assert made.count(old) == 1, old
        made = made.replace(old, new)
    say = Diagnostics()
    prove(built(made, SAMPLES), say)
    return say


GOOD = sorted(p.stem for p in SAMPLES.glob("*.yaml") if p.stem != "wrong-on-purpose")


@pytest.mark.parametrize("name", GOOD)
def test_a_good_sample_breaks_no_rule_of_states_and_knobs(name: str) -> None:
    assert RULES.isdisjoint(codes(said(name)))


def test_leads_of_a_braided_pickup_exchanged_make_its_baseplate_hot_and_the_states_are_named() -> None:
    say = said(TOP, ("neck.hot -> neck-volume.ten", "neck.hot -> neck-volume.case"),
               ("neck.braid -> neck-volume.case", "neck.braid -> neck-volume.ten"))
    problem = only(say, "CIR-240")
    assert problem.severity is Severity.ERROR
    assert "baseplate of neck carries signal in selector up and 1 more state" in problem.message


def test_a_cover_on_the_series_link_of_its_pickup_is_hot() -> None:
    say = said(TOGGLE, ("neck.bare -> neck-volume.case", "neck.bare -> neck.a finish"))
    assert "baseplate of neck" in only(say, "CIR-240").message


def test_a_tone_without_its_capacitor_shorts_hot_to_ground_at_0() -> None:
    say = said(LOOSE, ("  - volume.case -> tone.case, bare", "  - volume.case -> tone.case, bare\n"
                                                            "  - tone.zero -> tone.case, bend"))
    assert "tone at 0 shorts hot to ground" in only(say, "CIR-241").message


def test_a_pickup_without_its_ground_lead_hangs_on_hot_in_the_states_that_switch_it_on() -> None:
    say = said(TOGGLE, ("  - neck.b start -> neck-volume.case\n", ""))
    # Of two coils in series the one on hot is named.
    message = only(say, "CIR-242").message
    assert message.startswith("neck.a hangs on hot")
    assert "selector up and 1 more state" in message


def test_a_tone_wired_to_its_10_end_turns_the_wrong_way() -> None:
    say = said(LOOSE, ("between tone.zero and tone.case", "between tone.ten and tone.case"))
    problem = only(say, "CIR-243")
    assert "tone turns the wrong way" in problem.message
    assert "log track is then used backwards" in problem.message


def test_a_volume_with_its_ends_exchanged_turns_the_wrong_way() -> None:
    say = said(LOOSE, ("pickup.finish -> volume.ten", "pickup.finish -> volume.zero"),
               ("volume.ten -> tone.wiper", "volume.zero -> tone.wiper"),
               ("volume.zero -> volume.case, bend", "volume.ten -> volume.case, bend"))
    assert "volume turns the wrong way" in only(say, "CIR-243").message


def test_a_reverse_log_volume_has_its_track_backwards_and_a_linear_one_is_no_fault() -> None:
    old = "volume: pot-24, 250k log"
    assert "volume has its reverse log track backwards" in only(
        said(LOOSE, (old, "volume: pot-24, 250k reverse log")), "CIR-244").message
    assert "CIR-244" not in codes(said(LOOSE, (old, "volume: pot-24, 250k linear")))


def test_a_tone_whose_wiper_is_on_ground_changes_nothing() -> None:
    say = said(LOOSE, ("volume.ten -> tone.wiper", "volume.case -> tone.wiper"))
    assert "turning tone changes nothing" in only(say, "CIR-245").message


def test_ordinary_volumes_mute_each_other_and_volumes_with_the_pickup_on_the_wiper_do_not() -> None:
    notes = [p for p in said(TOP).sorted() if p.code == "CIR-246"]
    assert [(p.severity, "selector middle" in p.message) for p in notes] == [(Severity.NOTE, True)] * 2
    say = said(TOP, ("neck.hot -> neck-volume.ten", "neck.hot -> neck-volume.wiper"),
               ("neck-volume.wiper -> selector.up", "neck-volume.ten -> selector.up"),
               ("bridge.hot -> bridge-volume.ten", "bridge.hot -> bridge-volume.wiper"),
               ("bridge-volume.wiper -> selector.down", "bridge-volume.ten -> selector.down"))
    assert {"CIR-246", *RULES}.isdisjoint(codes(say))


def test_a_master_volume_mutes_no_other_pickup() -> None:
    assert "CIR-246" not in codes(said("left-handed"))


def test_a_25k_volume_is_a_low_load_for_a_passive_coil() -> None:
    problem = only(said(LOOSE, ("volume: pot-24, 250k log", "volume: pot-24, 25k log")), "CIR-247")
    # 25k beside the 1 M of the amplifier.
    assert "24.4 kΩ, less than 10 times its 6.5 kΩ" in problem.message


def test_a_transducer_at_the_amplifier_loses_its_bass_and_before_a_buffer_of_10_megohm_it_does_not() -> None:
    made = built("parts:\n  saddle: {symbol: contact-transducer, value: 800p}\n  output: jack-mono-open\nleads:\n"
                 "  - saddle.hot -> output.tip\n  - saddle.shield -> output.sleeve\n")
    say = Diagnostics()
    prove(made, say)
    # 1 / (2 pi 1 M 800p) = 199 Hz.
    assert "below 199 Hz" in only(say, "CIR-248").message
    assert "CIR-248" not in codes(said("baritone"))


def test_one_colour_for_two_nets_at_a_part_is_a_warning() -> None:
    say = said(LOOSE, ("volume.wiper -> output.tip, red", "volume.wiper -> output.tip, yellow"))
    problem = only(say, "CIR-250")
    assert problem.severity is Severity.WARNING
    assert "at volume two yellow leads" in problem.message


def test_a_second_ground_wire_makes_a_ring_and_is_only_a_note() -> None:
    assert "CIR-251" not in codes(said(LOOSE))
    say = said(LOOSE, ("  - volume.case -> tone.case, bare",
                       "  - volume.case -> tone.case, bare\n  - volume.case -> output.sleeve, black"))
    problem = only(say, "CIR-251")
    assert problem.severity is Severity.NOTE
    assert "in a ring" in problem.message


def test_nuts_on_a_metal_plate_are_a_second_way_beside_ground_wires() -> None:
    assert "nuts on metal" in only(said("three-singles-lever"), "CIR-251").message


def test_each_coil_of_a_dual_coil_is_judged_with_its_neighbour_as_no_break() -> None:
    # Two coils of 4k in series into 25k beside the 1 M of the amplifier: each of them drives 24.4k.
    made = built("""
parts:
  pickup: dual-coil, 4k 4k
  volume: pot-24, 25k log
  output: jack-mono-open
leads:
  - pickup.a start -> volume.ten
  - pickup.a finish -> pickup.b finish
  - pickup.b start -> volume.zero
  - volume.zero -> output.sleeve
  - volume.wiper -> output.tip
""")
    say = Diagnostics()
    prove(made, say)
    found = [p.message for p in say.sorted() if p.code == "CIR-247"]
    assert [m.split(",")[0] for m in found] == [f"pickup.{coil} works into 24.4 kΩ" for coil in "ab"]


def test_a_contact_that_leads_bridge_is_named_with_the_leads_that_bridge_it() -> None:
    made = built("""
parts:
  pickup: single-coil
  mute: toggle-mini-spdt-on-on
  output: jack-mono-open
leads:
  - pickup.finish -> mute.common, tag A
  - pickup.start -> output.sleeve, tag B
  - mute.common -> output.tip, tag C
  - mute.throw 1 -> output.tip, tag D
""")
    say = Diagnostics()
    prove(made, say)
    remedy = only(say, "CIR-252").remedy
    assert "mute.common, C, output.tip, D, mute.throw 1" in remedy or (
        "mute.throw 1, D, output.tip, C, mute.common" in remedy), remedy


def test_more_states_than_are_solved_at_once_ask_for_a_selection() -> None:
    switches = "".join(f"  s{i}: toggle-mini-spdt-on-on\n" for i in range(17))  # 2^17 = 131072 states
    leads = "".join(f"  - s{i}.common -> output.tip\n" for i in range(17))
    say = Diagnostics()
    found = prove(built(f"parts:\n{switches}  pickup: single-coil\n  output: jack-mono-open\nleads:\n{leads}"
                        "  - pickup.finish -> output.tip\n  - pickup.start -> output.sleeve\n"), say)
    assert found is None
    assert "131072 states are more than 100000" in only(say, "CIR-205").message
