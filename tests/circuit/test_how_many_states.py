"""A finding names the first state that shows it and says how many more there are."""

from __future__ import annotations

import pytest
from builders import only
from circuits import built

from diagramgen.circuit.proof import prove
from diagramgen.kernel.diagnostics import Diagnostics

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
    (OPPOSED, "CIR-249", "one and two sound out of phase in {}"),
    (HANGING, "CIR-242", "two hangs on hot by one end, its other end open, in {}"),
    (OPEN, "CIR-210", "silent in {}: no coil reaches the tip"),
    (SHORTED, "CIR-213", "hot is shorted to ground in {}"),
])
def test_the_number_of_states_is_said(text: str, code: str, words: str, states: int) -> None:
    say = Diagnostics()
    prove(built(text.replace("  output:", f"{IDLE[states]}  output:")), say)
    before, after = words.split("{}")
    message = only(say, code).message
    assert message.startswith(before)
    assert message.endswith(ENDS[states] + after)
    assert "more" not in message.removesuffix(ENDS[states] + after)


def test_the_way_of_a_short_is_named_and_a_wiper_at_the_end_of_its_track_is_said_to_be_it() -> None:
    say = Diagnostics()
    prove(built(SHORTED), say)
    assert "The way: output.tip, " in only(say, "CIR-213").remedy
    assert "mute.throw 1, " in only(say, "CIR-213").remedy
    assert "wiper" not in only(say, "CIR-213").remedy
    # At rest, at 10, the wiper stands on the end that is grounded.
    pot = SHORTED.replace("  output:", "  volume: pot-24, 250k log\n  output:").replace(
        "mute.throw 1 -> output.sleeve", "mute.throw 1 -> volume.wiper\n  - volume.ten -> output.sleeve")
    say = Diagnostics()
    prove(built(pot), say)
    assert "volume.wiper, along the track's end to volume.ten, " in only(say, "CIR-213").remedy


@pytest.mark.parametrize(("pots", "words"), [
    (1, "the case of p1 carries signal"), (2, "the case of p1 and the case of p2 carry signal"),
    (3, "the case of p1 and the case of p2 and the case of p3 carry signal"),
    (4, "the case of p1 and the case of p2 and the case of p3 and more carry signal"),
])
def test_three_pieces_of_hot_metal_are_named_and_that_there_are_more(pots: int, words: str) -> None:
    parts = "".join(f"  p{i + 1}: pot-24, 250k log\n" for i in range(pots))
    joins = "".join(f"  - p{i + 1}.case -> p{i + 2}.case\n" for i in range(pots - 1))
    say = Diagnostics()
    prove(built(MUTE.replace("HOT", "mute.throw 2").replace("FAR", "parked").replace("parts:\n", f"parts:\n{parts}")
                + joins + "  - p1.case -> mute.throw 2\n"), say)
    problem = only(say, "CIR-240")
    assert problem.message.startswith(words)
    assert problem.place.line == 2


def test_the_place_of_a_finding_about_coils_is_the_line_of_the_first_of_them() -> None:
    say = Diagnostics()
    prove(built(OPPOSED), say)
    assert only(say, "CIR-249").place.line == 2


@pytest.mark.parametrize(("wires", "more"), [(3, False), (6, False), (7, True)])
def test_six_wires_of_a_ring_of_ground_are_named_and_that_there_are_more(wires: int, more: bool) -> None:
    joints = "".join(f"  j{i}: splice\n" for i in range(wires - 1))
    names = ["output.sleeve", *(f"j{i}.joint" for i in range(wires - 1))]
    ring = "".join(f"  - {a} -> {b}\n" for a, b in zip(names, names[1:] + names[:1], strict=True))
    say = Diagnostics()
    prove(built(HANGING.replace("two.start -> parked", "two.start -> output.sleeve").replace(
        "kick: minus", "kick: plus").replace("  output:", f"{joints}  output:") + ring), say)
    message = only(say, "CIR-251").message
    assert message.count(",") == min(wires, 6) - 1
    assert ("and more" in message) is more
