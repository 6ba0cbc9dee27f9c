"""A finding names the first state that shows it and says how many more there are."""

from __future__ import annotations

import pytest
from builders import only
from circuits import built

from diagramgen.circuit.proof import prove
from diagramgen.problems import Collector

IDLE = {1: "", 2: "  idle: toggle-mini-spdt-on-on\n", 3: "  idle: toggle-mini-spdt-on-off-on\n"}
ENDS = {1: "", 2: " and 1 more state", 3: " and 2 more states"}
OPPOSED = """parts:
  one: {symbol: single-coil, value: 6k, values: {kick: plus}}
  two: {symbol: single-coil, value: 6k, values: {kick: minus}}
  output: jack-mono-open
leads:
  - one.finish -> output.tip
  - one.start -> output.sleeve
  - two.finish -> output.tip
  - two.start -> output.sleeve
"""
HANGING = OPPOSED.replace("two.start -> output.sleeve", "two.start -> parked")
MUTE = """parts:
  one: {symbol: single-coil, value: 6k}
  mute: toggle-mini-spdt-on-on
  output: jack-mono-open
leads:
  - one.finish -> HOT
  - one.start -> output.sleeve
  - mute.common -> output.tip
  - mute.throw 1 -> FAR
"""
OPEN = MUTE.replace("HOT", "mute.throw 2").replace("FAR", "parked")
SHORTED = MUTE.replace("HOT", "output.tip").replace("FAR", "output.sleeve")


@pytest.mark.parametrize("states", [1, 2, 3])
@pytest.mark.parametrize(("text", "code", "words"), [
    (OPPOSED, "C249", "one and two sound out of phase in {}"),
    (HANGING, "C242", "two hangs on hot by one end, its other end open, in {}"),
    (OPEN, "C210", "silent in {}: no coil reaches the tip"),
    (SHORTED, "C213", "hot is shorted to ground in {}"),
])
def test_the_number_of_states_is_said(text: str, code: str, words: str, states: int) -> None:
    say = Collector()
    prove(built(text.replace("  output:", f"{IDLE[states]}  output:")), say)
    before, after = words.split("{}")
    message = only(say, code).message
    assert message.startswith(before)
    assert message.endswith(ENDS[states] + after)
    assert "more" not in message.removesuffix(ENDS[states] + after)


def test_the_way_of_a_short_is_named_and_a_wiper_at_the_end_of_its_track_is_said_to_be_it() -> None:
    say = Collector()
    prove(built(SHORTED), say)
    assert "The way: output.tip, " in only(say, "C213").remedy
    assert "mute.throw 1, " in only(say, "C213").remedy
    assert "wiper" not in only(say, "C213").remedy
    # At rest, at 10, the wiper stands on the end that is grounded.
    pot = SHORTED.replace("  output:", "  volume: pot-24, 250k log\n  output:").replace(
        "mute.throw 1 -> output.sleeve", "mute.throw 1 -> volume.wiper\n  - volume.ten -> output.sleeve")
    say = Collector()
    prove(built(pot), say)
    assert "The way: through a wiper at the end of its track." in only(say, "C213").remedy
