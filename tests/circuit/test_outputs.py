"""Builds with more than one output: two jacks, a tip and a ring, either with a battery; each judged by itself."""

from __future__ import annotations

import numpy as np
import pytest
from builders import codes, only
from circuits import built

from diagramgen.circuit.check_wanted import words
from diagramgen.circuit.net_roles import net_roles
from diagramgen.circuit.one_output import heard_at
from diagramgen.circuit.outputs import Output, loading, outputs
from diagramgen.circuit.proof import prove
from diagramgen.circuit.repair.search import applied, smallest_change
from diagramgen.circuit.signal_path import active_path
from diagramgen.circuit.state_table import response_of, state_table
from diagramgen.circuit.states import state_space
from diagramgen.circuit.switch_effects import Effects
from diagramgen.job.ear_test import tap_tests
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.library import catalogue
from diagramgen.model.build import Build
from diagramgen.reader.reader import read_build

TWO = """
parts:
  neck: single-coil, 6k5
  saddle: {symbol: contact-transducer, values: {capacitance: 1n}}
  selector: toggle-mini-spdt-on-on
  volume: pot-24, 250k log
  piezo-volume: pot-24, 1M log
  output: jack-mono-open
  piezo-out: jack-mono-open
leads:
  - neck.finish -> selector.throw 1
  - selector.common -> volume.ten
  - neck.start -> volume.case
  - volume.zero -> volume.case
  - volume.wiper -> output.tip
  - volume.case -> output.sleeve
  - saddle.hot -> piezo-volume.ten
  - saddle.shield -> piezo-volume.case
  - piezo-volume.zero -> piezo-volume.case
  - piezo-volume.wiper -> piezo-out.tip
  - piezo-volume.case -> piezo-out.sleeve
  - volume.case -> piezo-volume.case
"""
MAIN, SECOND, RING = Output("output"), Output("piezo-out"), Output("output", "ring")

STEREO = """
parts:
  neck: single-coil, 6k5
  saddle: {symbol: contact-transducer, values: {capacitance: 1n}}
  volume: pot-24, 250k log
  output: jack-stereo-open
leads:
  - neck.finish -> volume.ten
  - neck.start -> volume.case
  - volume.zero -> volume.case
  - volume.wiper -> output.tip
  - volume.case -> output.sleeve
  - saddle.hot -> output.ring
  - saddle.shield -> output.sleeve
"""

ACTIVE = """
parts:
  neck: single-coil, 6k5
  saddle: contact-transducer
  board: buffer-board
  battery: battery-9v
  output: {one}
  piezo-out: {other}
leads:
  - neck.finish -> output.tip
  - neck.start -> output.sleeve
  - saddle.hot -> board.in
  - saddle.shield -> board.ground
  - board.out -> piezo-out.tip
  - board.ground -> output.sleeve
  - output.sleeve -> piezo-out.sleeve
  - battery.plus -> board.plus
  - battery.minus -> {minus}
"""
MONO, OPEN = "jack-mono-open", "jack-stereo-open"


def said(made: Build) -> Diagnostics:
    say = Diagnostics()
    prove(made, say)
    return say


def test_each_jack_a_signal_reaches_is_an_output_and_a_ring_only_where_one_does() -> None:
    assert outputs(built(TWO)) == (MAIN, SECOND)
    assert outputs(built(STEREO)) == (MAIN, RING)
    assert outputs(built(ACTIVE.format(one=OPEN, other=MONO, minus="output.ring"))) == (MAIN, SECOND)
    assert outputs(built(TWO.replace("piezo-volume.wiper -> piezo-out.tip", "piezo-volume.wiper -> parked"))) == (MAIN,)


def test_what_one_output_gives_is_heard_and_metered_there_only() -> None:
    found = state_table(built(TWO))
    one, other = ([r.at(output).sound.network for _, r in found.each()] for output in (MAIN, SECOND))
    assert sorted(one) == ["neck", "silent"]
    assert other == ["saddle", "saddle"]
    assert {r.at(MAIN).reading.kind for _, r in found.each()} == {"value"}
    assert {r.at(SECOND).reading.kind for _, r in found.each()} == {"not meaningful"}


def test_a_state_silent_at_the_main_output_is_not_silent_where_another_sounds() -> None:
    found = said(built(TWO))
    assert not {"CIR-210", "CIR-211", "CIR-212", "CIR-213", "CIR-225", "CIR-245"} & set(codes(found))


def test_a_state_silent_at_every_output_is_silent() -> None:
    made = built(TWO.replace("  - piezo-volume.wiper -> piezo-out.tip", "  - selector.throw 1 -> piezo-out.tip\n"
                             "  - piezo-volume.wiper -> parked").replace("neck.finish -> selector.throw 1",
                                                                         "neck.finish -> selector.common").replace(
                             "selector.common -> volume.ten", "selector.throw 1 -> volume.ten"))
    problem = only(said(made), "CIR-210")
    assert "no coil reaches any output" in problem.message


def test_a_jack_at_which_nothing_is_heard_is_named() -> None:
    made = built(TWO.replace("saddle.hot -> piezo-volume.ten", "saddle.hot -> parked"))
    problem = only(said(made), "CIR-225")
    assert problem.severity is Severity.WARNING
    assert problem.message == "nothing is heard at piezo-out in any state"
    assert "never heard, in any state at any output" in only(said(made), "CIR-212").message


def test_plugs_of_outputs_that_do_not_meet_make_no_states() -> None:
    assert [d.kind for d in state_space(built(TWO)).switches] == ["switch"]
    assert loading(built(TWO)) == frozenset()


def test_two_jacks_on_one_net_load_each_other_so_their_plugs_are_states() -> None:
    made = built(TWO.replace("piezo-volume.wiper -> piezo-out.tip", "volume.wiper -> piezo-out.tip"))
    assert loading(made) == {"output", "piezo-out"}
    found = state_table(made)
    plugs = [d for d in found.space.switches if d.kind == "plug"]
    assert [[p[0] for p in d.positions] for d in plugs] == [["mono", "out"], ["mono", "out"]]
    peaks = {}
    for state, result in found.each():
        if state["selector"] == "1":
            peaks[state["output"], state["piezo-out"]] = result.at(MAIN).sound.peak_hz
    # A second cable of 500 pF on the same net pulls the resonance down.
    assert peaks["mono", "mono"] < peaks["mono", "out"]
    assert peaks["out", "mono"] is None


def test_a_state_names_the_plugs_in_words_where_several_are_told() -> None:
    found = state_table(built(TWO.replace("piezo-volume.wiper -> piezo-out.tip", "volume.wiper -> piezo-out.tip")))
    told = {words(state, found.space) for state, _ in found.each()}
    assert "piezo-out plug out, output plug out, selector 1" in told
    assert "selector 1" in told


def test_the_second_output_is_a_capacitance_into_its_own_pot_cable_and_amplifier() -> None:
    hertz = np.array([100.0, 1000.0])
    _, response = response_of(built(TWO), {}, None, hertz, SECOND)
    s = 2j * np.pi * hertz
    # Default load: 5 m of 100 pF/m, 1 megohm; the pot at 10 is 1 megohm across.
    load = 1 / (s * 500e-12 + 1e-6 + 1e-6)
    at = response.sources.index("saddle")
    np.testing.assert_allclose(response.transfers[:, at], load / (load + 1 / (s * 1e-9)), rtol=1e-9)


def test_a_ring_is_told_with_its_price_and_is_no_error() -> None:
    found = said(built(STEREO))
    problem = only(found, "CIR-226")
    assert problem.severity is Severity.NOTE
    assert problem.message.startswith("saddle: on the ring of output, heard with a stereo plug only")
    assert not found.has_errors
    assert "CIR-212" not in codes(found)


def test_a_ring_joined_to_the_tip_takes_the_tip_with_it_when_a_mono_plug_shorts_it() -> None:
    joined = "saddle.hot -> output.ring\n  - output.ring -> output.tip"
    made = built(STEREO.replace("saddle.hot -> output.ring", joined))
    problem = only(said(made), "CIR-227")
    assert problem.severity is Severity.WARNING
    assert "neck" in problem.message


def test_a_battery_on_the_ring_of_a_signal_is_an_error() -> None:
    made = built(ACTIVE.format(one=OPEN, other=MONO, minus="output.ring") + "  - saddle.hot -> output.ring\n")
    problem = only(said(made), "CIR-223")
    assert problem.severity is Severity.ERROR
    assert "shares the ring of output with the battery" in problem.message


def test_a_board_on_the_ring_is_shorted_by_a_mono_plug_and_that_is_a_warning() -> None:
    text = ACTIVE.format(one="jack-switched", other=MONO, minus="output.switch one") + (
        "  - output.switch other -> output.sleeve\n")
    text = text.replace("  piezo-out: jack-mono-open\n", "").replace("  - output.sleeve -> piezo-out.sleeve\n", "")
    found = said(built(text.replace("piezo-out.tip", "output.ring")))
    assert only(found, "CIR-228").severity is Severity.WARNING
    assert "CIR-226" in codes(found)
    assert "CIR-221" not in codes(found)


def test_an_output_whose_board_gets_its_battery_from_the_other_plug_says_so() -> None:
    found = said(built(ACTIVE.format(one=OPEN, other=MONO, minus="output.ring")))
    problem = only(found, "CIR-229")
    assert "nothing is heard at piezo-out while no plug is in output: board has no battery then" in problem.message
    assert not {"CIR-220", "CIR-222"} & set(codes(found))


def test_a_battery_that_its_own_plug_switches_leaves_the_other_output_alone() -> None:
    made = built(ACTIVE.format(one=MONO, other=OPEN, minus="piezo-out.ring"))
    found = said(made)
    assert not {"CIR-210", "CIR-220", "CIR-222", "CIR-229"} & set(codes(found))
    assert "a stereo plug in piezo-out leaves the battery off" in only(found, "CIR-221").message
    current = {state["piezo-out"]: (r.at(MAIN).sound.network, r.current > 0) for state, r in state_table(made).each()}
    assert current == {"mono": ("neck", True), "stereo": ("neck", False), "out": ("neck", False)}


def test_a_battery_no_plug_switches_is_drained_with_every_plug_out() -> None:
    found = said(built(ACTIVE.format(one=MONO, other=MONO, minus="output.sleeve")))
    assert "drained with every plug out: 0.4 mA" in only(found, "CIR-220").message


@pytest.mark.parametrize(("wish", "kept"), [
    ("{at: piezo-out, sounds: saddle}", True), ("{at: output, selector: 1, sounds: neck}", True),
    ("{at: piezo-out, sounds: neck}", False), ("{sounds: saddle}", False),
])
def test_a_wanted_sound_speaks_of_the_output_it_names(wish: str, kept: bool) -> None:
    found = said(built(f"{TWO}wanted:\n  - {wish}\n"))
    assert ("CIR-301" in codes(found)) is not kept


def test_a_wanted_sound_of_a_ring_speaks_of_a_stereo_plug() -> None:
    assert "CIR-301" not in codes(said(built(f"{STEREO}wanted:\n  - {{at: output.ring, sounds: saddle}}\n")))
    wrong = only(said(built(f"{STEREO}wanted:\n  - {{at: output.ring, sounds: neck}}\n")), "CIR-301")
    assert "wanted neck at the ring of output, the wiring gives saddle" in wrong.message


@pytest.mark.parametrize("name", ["piezo-otu", "output.ring", "neck", "output.sleeve"])
def test_a_wanted_sound_at_no_output_is_refused_with_the_nearest_name(name: str) -> None:
    say = Diagnostics()
    known = catalogue.shipped()
    known.say = say
    read_build(f"{TWO}wanted:\n  - {{at: {name}, sounds: neck}}\n".encode(), "hand.yaml", Sources(), known, say)
    problem = only(say, "INP-353")
    assert problem.message == f"'{name}' is no output"
    if name == "piezo-otu":
        assert "piezo-out" in problem.remedy


def test_a_jack_behind_a_buffer_does_not_load_the_one_at_its_input() -> None:
    text = ACTIVE.format(one=MONO, other=OPEN, minus="piezo-out.ring")
    made = built(text.replace("saddle.hot -> board.in", "saddle.hot -> board.in\n  - board.in -> output.tip").replace(
        "neck.finish -> output.tip", "neck.finish -> parked"))
    assert outputs(made) == (MAIN, SECOND)
    assert loading(made) == frozenset()


def test_positions_that_sound_alike_at_an_output_are_one_test_there() -> None:
    found = state_table(built(TWO))
    own = heard_at(found, SECOND)
    assert [(one.state, one.alike, one.loud) for one in tap_tests(own)] == [("selector 1", 1, ("saddle",))]
    assert len(tap_tests(heard_at(found, MAIN))) == 2


def test_a_ring_is_met_with_a_stereo_plug_in_its_jack_and_mono_plugs_elsewhere() -> None:
    states = state_space(built(STEREO))
    assert states.plugs_at(states.for_output([0], RING)) == (("output", "stereo"),)
    assert states.plugs_at(states.for_output([1], MAIN)) == (("output", "mono"),)
    own = heard_at(state_table(built(STEREO)), RING)
    assert [(state["output"], r.sound.network) for state, r in own.each()] == [("stereo", "saddle")]


def test_the_live_path_leads_to_every_output() -> None:
    live = active_path(built(TWO), {"selector": "1"}, None, {"neck", "saddle"})
    assert frozenset(("piezo-volume.wiper", "piezo-out.tip")) in live.joins
    assert frozenset(("volume.wiper", "output.tip")) in live.joins


def test_a_source_is_loaded_by_the_amplifier_on_its_own_output() -> None:
    made = built(TWO.replace("piezo-volume: pot-24, 1M log", "piezo-volume: pot-24, 100k log"))
    # 100 kilohm and 1 megohm side by side.
    assert "saddle works into 0.091 MΩ" in only(said(made), "CIR-248").message


def test_coils_out_of_phase_at_another_output_are_named_with_it() -> None:
    made = built("""
parts:
  neck: {symbol: single-coil, values: {kick: plus}}
  one: {symbol: single-coil, values: {kick: plus}}
  other: {symbol: single-coil, values: {kick: minus}}
  output: jack-mono-open
  second: jack-mono-open
leads:
  - neck.finish -> output.tip
  - neck.start -> output.sleeve
  - one.finish -> second.tip
  - other.finish -> second.tip
  - one.start -> second.sleeve
  - other.start -> second.sleeve
  - output.sleeve -> second.sleeve
""")
    assert "one and other sound out of phase at second" in only(said(made), "CIR-249").message


def test_what_is_on_a_ring_that_carries_a_signal_is_hot() -> None:
    roles = net_roles(built(STEREO))
    assert roles["saddle.hot"] == roles["output.ring"] == "hot"
    battery = net_roles(built(ACTIVE.format(one=OPEN, other=MONO, minus="output.ring")))
    assert battery["output.ring"] == "other"


def test_a_broken_promise_of_another_output_is_mended_there() -> None:
    made = built(TWO.replace("  - piezo-volume.wiper -> piezo-out.tip\n", "")
                 + "wanted:\n  - {at: piezo-out, sounds: saddle}\n  - {selector: 1, sounds: neck}\n")
    change = smallest_change(made).change
    assert change is not None
    assert "CIR-301" not in codes(said(applied(made, change)))
    assert "piezo-out.tip" in change.words


def test_a_selector_of_the_pickups_changes_nothing_at_the_jack_of_the_transducer() -> None:
    """Knobs turned or not: what it changes at the main jack is no word of the other one's paper."""
    found = state_table(built(TWO))
    at = next(i for i, d in enumerate(found.space.switches) if d.kind == "switch")
    assert Effects(heard_at(found, MAIN)).of(at).changes
    other = heard_at(found, SECOND)
    at = next(i for i, d in enumerate(other.space.switches) if d.kind == "switch")
    assert Effects(other).turned
    assert Effects(other).of(at).changes == ()
