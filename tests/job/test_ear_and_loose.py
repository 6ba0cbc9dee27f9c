"""Taps, kicks and battery current at the finished plug, and what is metered loose: held against hand calculation."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from sampled import proof_of as proof

from diagramgen.analysis import examine
from diagramgen.circuit.coil_words import coil_names
from diagramgen.job.ear_test import TapTest, battery_tests, tap_tests
from diagramgen.job.loose_parts import loose_parts
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.provenance import Sources
from diagramgen.library import catalogue
from diagramgen.reader.reader import read_build

SAMPLES = Path(__file__).parents[2] / "samples"
NAMES = ("one-volume", "two-pickups-toggle", "baritone", "holes-in-top", "bass-active", "three-singles-lever",
         "left-handed", "no-cavity")


def taps(name: str) -> tuple[TapTest, ...]:
    found = proof(name).chart
    assert found is not None
    return tap_tests(found)


def changed(name: str, old: str, new: str) -> tuple[TapTest, ...]:
    text = (SAMPLES / f"{name}.yaml").read_text(encoding="utf-8")
    assert old in text
    found = examine(SAMPLES / f"{name}.yaml", data=text.replace(old, new, 1).encode())
    assert found.chart is not None
    return tap_tests(found.chart)


@pytest.mark.parametrize("name", NAMES)
def test_in_every_position_each_coil_is_either_loud_or_weaker(name: str) -> None:
    build = proof(name).build
    assert build is not None
    everyone = sorted(coil_names(build).values())
    for one in taps(name):
        assert sorted((*one.loud, *one.weaker)) == everyone
        said = re.findall(r"[^,;]+", re.sub(r"(plus|minus|not known, write it down): ", "", "; ".join(one.kicks)))
        told = [re.sub(r" \(usual.*\)", "", s.strip()) for s in said]
        assert told == [] or sorted(told) == sorted(one.loud)


def test_the_positions_of_a_selector_sound_their_own_pickup() -> None:
    up, middle, down = taps("two-pickups-toggle")
    assert (up.state, up.loud) == ("selector up", ("neck slug coil", "neck screw coil"))
    assert set(up.weaker) == set(down.loud)
    assert set(middle.loud) == set(up.loud) | set(down.loud)
    assert middle.weaker == ()


def test_a_coil_that_kicks_plus_on_its_finish_swings_minus_at_a_plug_joined_to_its_start() -> None:
    # By hand: a start on the hot lug, a finish on b finish; red is on the start, so the swing is the other way.
    up = taps("two-pickups-toggle")[0]
    assert up.kicks == ("minus: neck slug coil, neck screw coil (usual)",)


def test_a_coil_metered_the_other_way_kicks_the_other_way() -> None:
    # The coil that was metered turns; the kick of the other coil of that pickup was only usual beside it.
    assert changed("two-pickups-toggle", "{a-kick: plus}", "{a-kick: minus}")[0].kicks[0].startswith(
        "plus: neck slug coil")


def test_where_no_coil_of_a_pickup_was_metered_only_how_its_coils_swing_against_each_other_is_said() -> None:
    # The sense at the plug is then nobody's to know: between pickups nothing is guessed.
    metered = "    values: {a-kick: plus}                   # metered: kick, red on finish\n"
    up = changed("two-pickups-toggle", metered, "")[0]
    assert up.kicks == ("not known, write it down: neck slug coil, neck screw coil (usually the same way)",)


def test_a_kick_nobody_can_know_is_asked_for() -> None:
    kicks = [k for one in taps("no-cavity") for k in one.kicks]
    assert kicks
    assert all(k.startswith(("plus", "minus", "not known, write it down")) for k in kicks)


def test_no_kick_is_asked_where_a_stage_or_crystal_lies_between() -> None:
    assert all(one.kicks == () for one in taps("bass-active"))
    assert any(one.loud for one in taps("bass-active"))


def test_the_battery_gives_what_its_two_boards_draw_with_a_mono_plug_and_nothing_else() -> None:
    # Minus on the ring works with a mono plug only (common practice, no source). Two boards of 0.4 mA each, as their
    # symbol says (typical, from memory).
    found = proof("baritone").chart
    assert found is not None
    assert [(b.plug, b.expected) for b in battery_tests(found)] == [
        ("plug out", "0 mA"), ("mono plug in", "about 0.8 mA"), ("stereo plug in", "0 mA")]
    passive = proof("one-volume").chart
    assert passive is not None
    assert battery_tests(passive) == ()


@pytest.mark.parametrize("name", NAMES)
def test_what_is_metered_loose_can_be_written_into_the_file_under_the_keys_it_names(name: str) -> None:
    first = proof(name).build
    assert first is not None
    rows = loose_parts(first)
    assert rows
    for row in rows:
        part, _, keys = row.keys.partition(": values: ")
        assert part in first.parts
        for key in keys.split(", "):
            symbol = first.parts[part].symbol
            assert key in symbol.values, (row, key)
            assert row.kick or isinstance(symbol.values[key].value, float)
    assert len({row.says for row in rows}) == len(rows)


def test_a_value_written_back_narrows_the_band_to_two_per_cent() -> None:
    text = (b"format: 1\ntitle: t\nparts:\n  volume: pot-24, 500k log\n  neck: dual-coil\n"
            b"  output: jack-mono-open\nleads:\n  - neck.a start -> volume.ten\n")
    more = text.replace(b"neck: dual-coil\n", b"neck: {symbol: dual-coil, values: {a-resistance: 4120, a-kick: minus, "
                                              b"a-magnet: north}, metered: 3 May}\n")
    told = []
    for data in (text, more):
        build = read_build(data, "t.yaml", Sources(Path()), catalogue.shipped(), Diagnostics())
        assert build is not None
        told.append(next(r.told for r in loose_parts(build) if r.says == "neck slug coil"))
    assert told == ["4.2 kΩ, known by kind alone", "4.12 kΩ, metered 3 May; magnet north; kick minus"]


def test_a_transducer_behind_a_blend_is_tapped_with_the_blend_at_its_end() -> None:
    """At rest the blend gives the magnetic pickups alone: no listed position would ever let the saddle be heard."""
    *rest, last = taps("baritone")
    assert not any("saddle" in one.loud for one in rest)
    assert last.loud == ("saddle",)
    assert last.state.endswith("transducer blend at 0")
    assert all("at 0" not in one.state for one in taps("two-pickups-toggle"))
