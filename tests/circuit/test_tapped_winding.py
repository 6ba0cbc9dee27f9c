"""A tapped pickup has one winding with a lead on the way: one coil, for hum, for phase, in words and pictures."""

from __future__ import annotations

from dataclasses import replace

import pytest
from circuits import KNOWN, built

from diagramgen.circuit.check_wanted import check_wanted
from diagramgen.circuit.coil_words import network_words
from diagramgen.circuit.hum import PER_TURN
from diagramgen.circuit.sounds import Sound
from diagramgen.circuit.state_table import state_table
from diagramgen.circuit.windings import wound
from diagramgen.features.playerpage.compute import played
from diagramgen.job.ear_test import tap_tests
from diagramgen.job.state_chart import player_chart
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.model.build import Build

TAP = """parts:
  pickup: {{symbol: single-coil-tapped, values: {{{values}}}}}
  other: {{symbol: single-coil, value: 6k clockwise north}}
  mode: toggle-mini-spdt-on-on
  choice: toggle-mini-spdt-on-on
  output: jack-mono-open
leads:
  - pickup.finish -> mode.throw 1
  - pickup.tap -> mode.throw 2
  - mode.common -> choice.throw 1
  - other.finish -> choice.throw 2
  - choice.common -> output.tip
  - pickup.start -> output.sleeve
  - other.start -> output.sleeve
{wanted}
"""
WHOLE, TAPPED = {"mode": "1", "choice": "1"}, {"mode": "2", "choice": "1"}


def made(values: str = "", wanted: str = "") -> Build:
    values = values or "inner-loss: 600k"
    return built(TAP.format(values=values, wanted=wanted))


def sounds(values: str = "") -> dict[str, Sound]:
    return {s["mode"]: r.sound for s, r in state_table(made(values)).each() if s["choice"] == "1"}


@pytest.mark.parametrize("values", ["", "kick: plus", "winding: clockwise, magnet: north"])
def test_the_whole_winding_is_one_coil_that_hums_in_full_whatever_is_known_of_it(values: str) -> None:
    whole = sounds(values)["1"]
    assert (whole.network, whole.phase, whole.hum) == ("pickup", "single", "full")
    assert whole.hum_percent == pytest.approx(100, abs=0.01)


def test_start_to_tap_is_one_coil_as_well() -> None:
    tapped = sounds()["2"]
    assert (tapped.network, tapped.phase, tapped.hum) == ("pickup.inner", "single", "full")


def test_both_ends_grounded_and_the_tap_hot_play_the_sections_against_each_other() -> None:
    text = ("parts:\n  pickup: single-coil-tapped\n  output: jack-mono-open\nleads:\n  - pickup.tap -> output.tip\n"
            "  - pickup.start -> output.sleeve\n  - pickup.finish -> output.sleeve\n")
    sound = state_table(built(text)).result(0).sound
    assert (sound.phase, sound.network.count("||")) == ("out", 1)


def test_beside_another_pickup_the_whole_winding_is_one_name() -> None:
    text = ("parts:\n  one: single-coil-tapped\n  two: single-coil\n  output: jack-mono-open\nleads:\n"
            "  - one.finish -> output.tip\n  - one.start -> two.finish\n  - two.start -> output.sleeve\n")
    assert state_table(built(text)).result(0).sound.network == "one + two"
    part = text.replace("one.finish", "one.tap")
    assert state_table(built(part)).result(0).sound.network == "one.inner + two"


@pytest.mark.parametrize(("sounds_like", "codes"), [
    ("pickup", []), ("pickup.inner + pickup.outer", []), ("pickup.outer + pickup.inner", []),
    ("pickup.inner", ["CIR-301"]), ("pickup.inner || pickup.outer", ["CIR-301"]),
])
def test_a_promise_names_the_winding_or_its_sections(sounds_like: str, codes: list[str]) -> None:
    build = made(wanted="wanted:\n  - {when: {mode: 1, choice: 1}, phase: single, hum: full, "
                        f"sounds: {sounds_like}}}")
    say = Diagnostics()
    check_wanted(state_table(build), say)
    assert [p.code for p in say.sorted()] == codes


def test_readers_are_told_whole_winding_or_tapped() -> None:
    build = made()
    assert network_words("pickup", build) == "pickup, whole winding"
    assert network_words("pickup.inner", build) == "pickup tapped (start to tap)"
    states = player_chart(state_table(build)).states
    assert {s.words for s in states} == {"pickup, whole winding", "pickup tapped (start to tap)", "other"}
    assert {s.hum for s in states} == {"hums: one coil"}


def test_pictures_show_one_coil_lit_by_either_section() -> None:
    found = state_table(made())
    looks = player_chart(found)
    assert [len(p.coils) for p in looks.pickups] == [1, 1]
    assert {s.sounding for s in looks.states} == {("pickup",), ("other",)}
    lit = {o.coils for o in played(found.build, found, ()).outcomes}
    assert lit == {(("pickup", "sounds"),), (("other", "sounds"),)}


def test_all_poles_of_a_tapped_pickup_answer_a_tap_and_kick_alike() -> None:
    tests = tap_tests(state_table(made("kick: plus")))
    assert {t.loud for t in tests} == {("pickup",), ("other",)}
    assert all("pickup" not in t.weaker for t in tests if "pickup" in t.loud)
    assert {t.kicks for t in tests if "pickup" in t.loud} == {("plus: pickup",)}


def test_its_sections_are_of_one_wire_and_it_counts_as_a_single_coil() -> None:
    found = wound(made())
    assert {found[c].winding for c in ("pickup.inner", "pickup.outer")} == {"pickup"}
    assert found["pickup.inner"].per_turn == PER_TURN["single"]


def test_only_sections_end_to_start_of_one_sense_are_one_winding() -> None:
    tapped, dual = (KNOWN.get(name) for name in ("single-coil-tapped", "dual-coil"))
    assert tapped is not None
    assert dual is not None
    assert tapped.sections() == ("inner", "outer")
    assert dual.sections() == ()
    apart = replace(tapped.elements[1], ends={"start": "start", "finish": "finish"})
    assert replace(tapped, elements=(tapped.elements[0], apart)).sections() == ()
