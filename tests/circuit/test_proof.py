"""What solved states show to be wrong: batteries, rings, blends, silence, coils never heard (common practice)."""

from __future__ import annotations

import pytest
from builders import codes, only
from circuits import built

from diagramgen.circuit.proof import prove
from diagramgen.circuit.state_table import state_table
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics

ACTIVE = """
parts:
  neck: single-coil
  volume: pot-24, 250k log
  board: buffer-board
  battery: battery-9v
  output: jack-stereo-open
leads:
  - neck.finish -> volume.ten
  - neck.start -> volume.case
  - volume.zero -> volume.case
  - volume.wiper -> board.in
  - board.out -> output.tip
  - board.ground -> volume.case
  - volume.case -> output.sleeve
  - battery.plus -> board.plus
  - battery.minus -> {minus}
"""


def said(text: str) -> Diagnostics:
    say = Diagnostics()
    prove(built(text), say)
    return say


def test_a_battery_on_the_ring_is_off_unplugged_on_with_a_mono_plug_and_off_with_a_stereo_plug() -> None:
    found = {s["output"]: r.current for s, r in state_table(built(ACTIVE.format(minus="output.ring"))).each()}
    assert found["out"] == 0
    assert found["mono"] == pytest.approx(400e-6, rel=1e-3)
    assert found["stereo"] == 0
    problem = only(said(ACTIVE.format(minus="output.ring")), "CIR-221")
    assert problem.severity is Severity.NOTE


def test_a_battery_straight_to_ground_is_drained_with_the_plug_out() -> None:
    problem = only(said(ACTIVE.format(minus="volume.case")), "CIR-220")
    assert "0.4 mA" in problem.message
    assert problem.severity is Severity.ERROR


def test_a_battery_that_is_never_on_is_an_error() -> None:
    assert "CIR-222" in codes(said(ACTIVE.format(minus="parked")))


def test_an_active_output_has_no_ohm_figure() -> None:
    reading = state_table(built(ACTIVE.format(minus="output.ring"))).result(0).reading
    assert (reading.kind, reading.ohms) == ("not meaningful", None)
    assert "battery out" in reading.why


def test_a_board_without_supply_passes_nothing() -> None:
    found = {s["output"]: r.sound.network for s, r in state_table(built(ACTIVE.format(minus="output.ring"))).each()}
    assert found == {"mono": "neck", "stereo": "silent", "out": "silent"}


PIEZO = """
parts:
  neck: single-coil
  saddle: contact-transducer
  output: jack-stereo-open
leads:
  - neck.finish -> output.tip
  - neck.start -> output.sleeve
  - saddle.hot -> output.ring
  - saddle.shield -> output.sleeve
"""


def test_a_transducer_on_the_ring_is_an_ordinary_wiring_whose_price_is_told() -> None:
    say = said(PIEZO)
    problem = only(say, "CIR-226")
    assert problem.severity is Severity.NOTE
    assert "heard with a stereo plug only; a mono plug shorts it" in problem.message
    assert not say.has_errors


TRANSDUCER = """\
parts:
  saddle: contact-transducer
{part}  output: jack-mono-open
leads:
  - saddle.hot -> output.tip
  - saddle.shield -> output.sleeve
"""


def test_a_transducer_alone_has_no_ohm_figure() -> None:
    made = built(TRANSDUCER.format(part=""))
    reading = state_table(made).result(0).reading
    assert (reading.kind, reading.ohms) == ("not meaningful", None)
    assert "contact transducer is a capacitor" in reading.why


def test_a_capacitor_beside_a_transducer_makes_it_no_coil() -> None:
    made = built(TRANSDUCER.format(part="  cap: capacitor-film, 1n\n")
                 + "  - cap.one -> output.tip\n  - cap.other -> output.sleeve\n")
    reading = state_table(made).result(0).reading
    assert reading.kind == "not meaningful"
    assert "contact transducer is a capacitor" in reading.why


def test_a_coil_beside_a_transducer_is_metered_as_if_it_were_alone() -> None:
    # A capacitor is open to an ohmmeter.
    made = built(TRANSDUCER.format(part="  neck: single-coil, 6k5\n")
                 + "  - neck.finish -> output.tip\n  - neck.start -> output.sleeve\n")
    reading = state_table(made).result(0).reading
    assert reading.kind == "value"
    assert reading.ohms == pytest.approx(6500)


BLEND = """
parts:
  neck: single-coil, 7.0k
  bridge: single-coil, 7.0k
  blend: {{symbol: pot-blend, values: {{track: 250k, front law: {front}, rear law: {rear}}}}}
  output: jack-mono-open
leads:
  - neck.finish -> blend.rear {into[0]}
  - bridge.finish -> blend.front {into[1]}
  - neck.start -> output.sleeve
  - bridge.start -> output.sleeve
  - blend.rear zero -> output.sleeve
  - blend.front ten -> output.sleeve
  - blend.rear {out[0]} -> output.tip
  - blend.front {out[1]} -> output.tip
"""
WIPERS_IN = {"into": ("wiper", "wiper"), "out": ("ten", "zero")}
WIPERS_OUT = {"into": ("ten", "zero"), "out": ("wiper", "wiper")}


def test_a_blend_wired_to_its_wipers_has_no_finding() -> None:
    found = codes(said(BLEND.format(front="reverse blend", rear="blend", **WIPERS_IN)))
    assert "CIR-230" not in found
    assert "CIR-231" not in found


def test_a_blend_whose_wipers_are_the_output_is_silent_at_both_ends() -> None:
    problem = only(said(BLEND.format(front="reverse blend", rear="blend", **WIPERS_OUT)), "CIR-230")
    assert "silent at both ends of blend" in problem.message


def test_linear_gangs_in_a_blend_are_an_error_in_words() -> None:
    assert only(said(BLEND.format(front="linear", rear="linear", **WIPERS_IN)), "CIR-231").severity is Severity.ERROR


SWITCHED = """
parts:
  neck: single-coil
  bridge: single-coil
  selector: toggle-mini-spdt-on-off-on
  output: jack-mono-open
leads:
  - neck.finish -> selector.throw 1
  - neck.start -> output.sleeve
  - bridge.start -> output.sleeve
  - {bridge}
  - selector.common -> output.tip
"""


def test_a_position_that_is_silent_and_a_coil_never_heard_are_found() -> None:
    say = said(SWITCHED.format(bridge="bridge.finish -> parked"))
    assert "bridge is never heard" in only(say, "CIR-212").message
    assert "no coil reaches the tip" in only(say, "CIR-210").message


def test_silence_that_was_asked_for_is_no_finding() -> None:
    text = SWITCHED.format(bridge="bridge.finish -> selector.throw 2")
    say = said(text + "wanted:\n  - {when: {selector: off}, sounds: silent}\n")
    assert "CIR-210" not in codes(say)
    assert "CIR-212" not in codes(say)


def test_a_build_that_never_sounds_is_an_error() -> None:
    assert "CIR-211" in codes(said("parts:\n  neck: single-coil\n  output: jack-mono-open\nleads:\n"
                                "  - neck.finish -> output.tip\n"))


@pytest.mark.parametrize(("text", "code"), [
    ("parts:\n  neck: single-coil\nleads:\n  - neck.start -> parked\n", "CIR-203"),
    ("parts:\n  a: jack-mono-open\n  b: jack-mono-open\nleads:\n  - a.tip -> b.tip\n", "CIR-204"),
    ("parts:\n  a: jack-mono-open\nleads:\n  - a.tip -> parked\n", "CIR-206"),
])
def test_builds_without_jack_or_coil_and_with_two_jacks_are_named(text: str, code: str) -> None:
    assert code in codes(said(text))


def test_a_source_on_the_ring_is_heard_there_and_one_that_is_on_neither_is_never_heard() -> None:
    assert "CIR-212" not in codes(said(PIEZO))
    lost = PIEZO.replace("  output:", "  middle: single-coil\n  output:") + "  - middle.start -> output.sleeve\n"
    assert "middle is never heard" in only(said(lost), "CIR-212").message


def test_of_two_jacks_the_first_is_the_main_output_and_the_second_is_pointed_at() -> None:
    problem = only(said("parts:\n  a: jack-mono-open\n  b: jack-mono-open\nleads:\n  - a.tip -> b.tip\n"), "CIR-204")
    assert "there are 2 jacks; a is the main output" in problem.message
    assert "says at: b" in problem.remedy
    assert problem.place.line == 3


def test_a_coil_behind_a_capacitor_alone_has_no_load_to_judge() -> None:
    # No direct current finds a way from one of its ends to the other.
    assert "CIR-247" not in codes(said("parts:\n  one: single-coil\n  cap: capacitor-film, 22n\n"
                                      "  output: jack-mono-open\n"
                                    "leads:\n  - one.finish -> cap.one\n  - cap.other -> output.tip\n"
                                    "  - one.start -> output.sleeve\n"))
