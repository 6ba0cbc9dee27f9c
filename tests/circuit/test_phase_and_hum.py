"""Phase and hum from winding, magnet and kick: the sign algebra, and what stays unknown."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from circuits import built

from diagramgen.circuit.check_wanted import same_network
from diagramgen.circuit.polarity import coil_signs, contradictions
from diagramgen.circuit.sounds import Sound
from diagramgen.circuit.state_table import state_table

ROWS = tomllib.loads((Path(__file__).parent.parent / "data" / "circuits.toml").read_text(encoding="utf-8"))[
    "phase"]["sign_algebra"]["table"]

PAIR = """
parts:
  one: {{symbol: single-coil, value: 6k, values: {{turns: 8000{one}}}}}
  two: {{symbol: single-coil, value: 6k, values: {{turns: 8000{two}}}}}
  output: jack-mono-open
leads:
  - one.finish -> output.tip
  - one.start -> output.sleeve
  - two.{hot} -> output.tip
  - two.{cold} -> output.sleeve
"""


def pair(one: str, two: str, reversed_leads: bool = False) -> Sound:
    hot, cold = ("start", "finish") if reversed_leads else ("finish", "start")
    return state_table(built(PAIR.format(one=more(one), two=more(two), hot=hot, cold=cold))).result(0).sound


def more(values: str) -> str:
    return f", {values}" if values else ""


def signs(winding: int, magnet: int) -> str:
    return f"winding: {'clockwise' if winding > 0 else 'anticlockwise'}, magnet: {'north' if magnet > 0 else 'south'}"


@pytest.mark.parametrize("row", ROWS, ids=lambda r: str(r[0]))
def test_the_sign_algebra_of_two_coils(row: list[str]) -> None:
    """Faraday: string sign = winding x magnet x connection, hum sign = winding x connection."""
    words = row[0]
    wm, connection = words.split(", c ")
    winding = 1 if wm.startswith(("w m same", "w same")) else -1
    magnet = 1 if wm in ("w m same", "w opp m same") else -1
    sound = pair(signs(1, 1), signs(winding, magnet), connection == "reversed")
    assert {"in": "in phase", "out": "out of phase"}[sound.phase] == row[1]
    assert {"cancels": "hum cancels", "full": "hum adds"}[sound.hum] == row[2]


def test_kick_and_magnet_of_two_single_coils_make_them_quiet_and_in_phase() -> None:
    sound = pair("kick: plus, magnet: north", "kick: plus, magnet: south")
    assert (sound.phase, sound.hum) == ("in", "cancels")


def test_kick_alone_settles_phase_and_leaves_hum_unknown() -> None:
    sound = pair("kick: plus", "kick: plus")
    assert (sound.phase, sound.hum, sound.hum_percent) == ("in", "unknown", None)


def test_nothing_given_leaves_both_unknown() -> None:
    sound = pair("", "")
    assert (sound.phase, sound.hum) == ("unknown", "unknown")
    assert [h.sign for h in sound.sounding] == [None, None]


def test_winding_alone_settles_hum_and_leaves_phase_unknown() -> None:
    sound = pair("winding: clockwise", "winding: anticlockwise")
    assert (sound.phase, sound.hum) == ("unknown", "cancels")


def test_a_single_coil_hums_in_full_whatever_is_known_of_it() -> None:
    made = built("parts:\n  one: single-coil\n  output: jack-mono-open\nleads:\n  - one.finish -> output.tip\n"
                 "  - one.start -> output.sleeve\n")
    sound = state_table(made).result(0).sound
    assert (sound.phase, sound.hum, sound.hum_percent) == ("single", "full", 100.0)


def test_a_kick_that_contradicts_winding_and_magnet_is_found() -> None:
    one = more("kick: minus, winding: clockwise, magnet: north")
    made = built(PAIR.format(one=one, two="", hot="finish", cold="start"))
    assert [part.name for part, _ in contradictions(made)] == ["one"]


DUAL = """
parts:
  pickup: {{symbol: dual-coil, value: 4.0k 4.0k{values}}}
  mode: pot-24-push-pull, 500k log
  output: jack-mono-open
leads:
  - pickup.{ends[0]} -> mode.ten
  - pickup.{ends[1]} -> pickup.{ends[2]}, sleeved
  - pickup.{ends[1]} -> mode.a common
  - mode.a near -> mode.case
  - pickup.{ends[3]} -> mode.case
  - mode.zero -> mode.case
  - mode.wiper -> output.tip
  - mode.case -> output.sleeve
"""
RIGHT = ("a start", "a finish", "b finish", "b start")
FLIPPED = ("a start", "a finish", "b start", "b finish")


def dual(ends: tuple[str, ...] = RIGHT, values: str = "") -> dict[str, Sound]:
    found = state_table(built(DUAL.format(ends=ends, values=values)))
    return {s["mode"]: r.sound for s, r in found.each()}


def test_a_dual_coil_is_quiet_in_series_and_hums_when_split() -> None:
    sounds = dual()
    assert sounds["down"].network == "pickup.a + pickup.b"
    assert (sounds["down"].phase, sounds["down"].hum) == ("in", "most")
    assert (sounds["up"].network, sounds["up"].phase, sounds["up"].hum) == ("pickup.a", "single", "full")
    assert sounds["down"].assumed


def test_one_coil_flipped_in_series_is_out_of_phase_and_hums() -> None:
    sound = dual(FLIPPED)["down"]
    assert (sound.network, sound.phase, sound.hum) == ("pickup.a - pickup.b", "out", "full")
    assert [h.sign for h in sound.sounding] in ([1, -1], [-1, 1])


def test_a_kick_metered_on_one_coil_turns_the_other_with_it() -> None:
    made = built(DUAL.format(ends=RIGHT, values=", values: {a kick: minus}"))
    usual, metered = coil_signs(built(DUAL.format(ends=RIGHT, values=""))), coil_signs(made)
    assert usual["pickup.a"].string == 1
    assert (metered["pickup.a"].string, metered["pickup.b"].string) == (-1, 1)
    assert not metered["pickup.a"].string_assumed
    assert metered["pickup.b"].string_assumed
    assert dual(RIGHT, ", values: {a kick: minus}")["down"].phase == "in"


def test_a_shorted_coil_and_a_hanging_coil_do_not_sound() -> None:
    made = built("""
parts:
  one: single-coil
  shorted: single-coil
  hanging: single-coil
  output: jack-mono-open
leads:
  - one.finish -> output.tip
  - one.start -> shorted.start
  - shorted.finish -> shorted.start
  - shorted.start -> output.sleeve
  - hanging.finish -> output.tip
""")
    sound = state_table(made).result(0).sound
    assert [h.coil for h in sound.sounding] == ["one"]
    assert sound.network == "one"


def test_a_capacitor_in_series_is_named_and_a_load_is_not() -> None:
    made = built("""
parts:
  one: {symbol: single-coil, values: {kick: plus}}
  two: {symbol: single-coil, values: {kick: plus}}
  cap: capacitor-film, 22n
  tone: pot-24, 500k log
  shunt: capacitor-film, 22n
  output: jack-mono-open
leads:
  - one.finish -> cap.one
  - cap.other -> output.tip
  - one.start -> two.finish
  - two.start -> output.sleeve
  - output.tip -> tone.wiper
  - tone.zero -> shunt.one
  - shunt.other -> output.sleeve
""")
    assert state_table(made).result(0).sound.network == "one + two + cap"


def test_a_bridge_of_coils_is_described_as_neither_series_nor_parallel() -> None:
    names = "abcde"
    parts = "".join(f"  {n}: {{symbol: single-coil, value: {4 + i}k}}\n" for i, n in enumerate(names))
    made = built(f"""
parts:
{parts}  output: jack-mono-open
leads:
  - a.start -> output.sleeve
  - b.start -> output.sleeve
  - a.finish -> c.start
  - b.finish -> d.start
  - e.start -> a.finish
  - e.finish -> b.finish
  - c.finish -> output.tip
  - d.finish -> output.tip
""")
    text = state_table(made).result(0).sound.network
    assert text.endswith(": neither series nor parallel")
    assert text.startswith("a, b, c, d")


TWO_DUALS = """
parts:
  one: {{symbol: dual-coil, value: 4k 4k{one}}}
  two: {{symbol: {kind}, value: {value}{two}}}
  output: jack-mono-open
leads:
  - one.a start -> output.tip
  - one.a finish -> one.b finish, sleeved
  - one.b start -> output.sleeve
{leads}
"""
WHOLE = """  - two.a start -> output.tip
  - two.a finish -> two.b finish, sleeved
  - two.b start -> output.sleeve"""
SPLIT = """  - two.a start -> output.tip
  - two.a finish -> output.sleeve"""
SINGLE = """  - two.finish -> output.tip
  - two.start -> output.sleeve"""


def duals(leads: str, one: str = "", two: str = "", kind: str = "dual-coil", value: str = "4k 4k") -> Sound:
    given = [f", values: {{{v}}}" if v else "" for v in (one, two)]
    made = built(TWO_DUALS.format(one=given[0], two=given[1], leads=leads, kind=kind, value=value))
    return state_table(made).result(0).sound


def test_one_unmetered_pickup_against_another_is_unknown_though_each_is_in_phase_with_itself() -> None:
    sound = duals(WHOLE)
    assert (sound.phase, sound.hum) == ("unknown", "most")


def test_a_kick_metered_on_one_pickup_alone_does_not_settle_the_phase_of_two() -> None:
    assert duals(WHOLE, "a-kick: plus").phase == "unknown"


@pytest.mark.parametrize(("other", "phase"),
                         [("a-kick: plus", "in"), ("a-kick: minus", "out"), ("b-kick: minus", "in")])
def test_a_kick_metered_on_a_coil_of_each_pickup_settles_the_phase_of_two(other: str, phase: str) -> None:
    sound = duals(WHOLE, "a-kick: plus", other)
    assert (sound.phase, sound.hum, sound.assumed) == (phase, "most", True)


def test_hum_of_a_split_pickup_beside_a_whole_one_needs_no_metering() -> None:
    sound = duals(SPLIT)
    assert (sound.phase, sound.hum) == ("unknown", "partly")


def test_hum_of_two_pickups_that_both_leave_some_is_unknown_until_both_windings_are_known() -> None:
    half = SPLIT.replace("two", "one") + "\n" + SPLIT
    text = TWO_DUALS.partition("  - one.a start")[0] + half
    both = "a-kick: plus, a-magnet: {}"
    for one, two, hum in (("", "", "unknown"), ("a-kick: plus", "a-kick: plus", "unknown"),
                          (both.format("north"), both.format("south"), "most"),
                          (both.format("north"), both.format("north"), "full")):
        given = [f", values: {{{v}}}" if v else "" for v in (one, two)]
        made = built(text.format(one=given[0], two=given[1], kind="dual-coil", value="4k 4k"))
        assert state_table(made).result(0).sound.hum == hum


def test_a_metered_single_coil_beside_an_unmetered_dual_coil_is_of_unknown_phase() -> None:
    sound = duals(SINGLE, "", "kick: plus, magnet: north", "single-coil", "6k")
    assert (sound.phase, sound.hum) == ("unknown", "partly")


def test_a_connection_of_unmetered_pickups_that_fits_but_for_signs_cannot_be_proved() -> None:
    sound = duals(WHOLE)
    names = {"one.a": "one.a", "one.b": "one.b", "two.a": "two.a", "two.b": "two.b"}
    assert same_network("(one.a + one.b) || (two.a + two.b)", sound, names, signed=True) is None
    assert same_network("(one.a + one.b) || (two.a + two.b)", sound, names, signed=False) is True


TWO_AND_ONE = """
parts:
  one: {{symbol: dual-coil, value: 4k 4k, values: {{a kick: plus, b kick: {own}}}}}
  two: {{symbol: single-coil, value: 6k, values: {{kick: minus}}}}
  output: jack-mono-open
leads:
  - one.a finish -> output.tip
  - one.a start -> output.sleeve
  - one.b finish -> output.tip
  - one.b start -> output.sleeve
  - two.finish -> output.tip
  - two.start -> output.sleeve
"""
THREE = """
parts:
  one: {symbol: single-coil, value: 6k, values: {kick: plus}}
  two: {symbol: single-coil, value: 6k, values: {kick: plus}}
  three: {symbol: single-coil, value: 6k, values: {kick: minus}}
  output: jack-mono-open
leads:
""" + "".join(f"  - {n}.finish -> output.tip\n  - {n}.start -> output.sleeve\n" for n in ("one", "two", "three"))


@pytest.mark.parametrize(("text", "phase"), [
    (TWO_AND_ONE.format(own="plus"), "out"), (TWO_AND_ONE.format(own="minus"), "mixed"), (THREE, "mixed"),
])
def test_only_two_pickups_each_in_phase_with_itself_can_oppose_each_other(text: str, phase: str) -> None:
    """Of three, or where a pickup's own coils oppose, the word is mixed (docs/circuit.md)."""
    assert state_table(built(text)).result(0).sound.phase == phase
