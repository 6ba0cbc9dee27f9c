"""States in the order a person steps through them; plugs, momentary buttons, controls that move together."""

from __future__ import annotations

import time

import pytest
from circuits import built

from diagramgen.circuit.netlist import template_of
from diagramgen.circuit.nets import connect
from diagramgen.circuit.state_table import state_table
from diagramgen.circuit.states import TooMany, each_classes, state_space

GUITAR = """
parts:
  neck: single-coil
  bridge: single-coil
  selector: toggle-short
  volume: pot-24-push-pull, 500k log
  kill: push-button-momentary
  output: jack-stereo-open
leads:
  - neck.finish -> selector.up
  - bridge.finish -> selector.down
  - neck.start -> volume.case
  - bridge.start -> volume.case
  - selector.common -> volume.ten
  - volume.zero -> volume.case
  - volume.wiper -> output.tip
  - volume.case -> output.sleeve
  - kill.one -> output.tip
  - kill.other -> volume.case
"""


def test_the_selector_steps_first_then_the_pull_then_the_button_then_the_plug() -> None:
    states = state_space(built(GUITAR))
    assert [d.keys[0] for d in states.switches] == ["output", "kill", "volume", "selector"]
    assert states.count == 3 * 2 * 2 * 3
    first = [states.state(i) for i in range(7)]
    assert [s["selector"] for s in first[:4]] == ["up", "middle", "down", "up"]
    assert [s["volume"] for s in first[:7]] == ["down"] * 3 + ["up"] * 3 + ["down"]
    assert {s["output"] for s in first} == {"mono"}
    assert len({tuple(states.state(i).items()) for i in range(states.count)}) == states.count


def test_a_button_is_marked_where_it_is_held() -> None:
    states = state_space(built(GUITAR))
    held = [i for i in range(states.count) if states.momentary(i)]
    assert len(held) == states.count // 2
    assert all(states.state(i)["kill"] == "held" for i in held)


def test_a_mono_jack_is_no_control_unless_asked_for() -> None:
    made = built(GUITAR.replace("jack-stereo-open", "jack-mono-open"))
    assert "output" not in state_space(made).state(0)
    assert state_space(made, all_plugs=True).count == 3 * state_space(made).count


def test_controls_that_move_together_are_one() -> None:
    made = built("""
parts:
  one: pot-24-push-pull, 500k log
  two: pot-24-push-pull, 500k log
  output: jack-mono-open
leads:
  - one.wiper -> output.tip
moves together:
  - [one.pull, two.pull]
""")
    assert [state_space(made).state(i) for i in range(state_space(made).count)] == [
        {"one": "down", "two": "down"}, {"one": "up", "two": "up"}]


def test_words_for_combinations_are_positions() -> None:
    made = built("""
parts:
  ring: pickup-ring-two-slides
  output: jack-mono-open
leads:
  - ring.out -> output.tip
""")
    assert [s["ring"] for _, s in state_space(made).each()] == ["series", "parallel", "a", "b"]


def test_the_joined_nets_of_every_state_are_those_of_the_connection_graph() -> None:
    made = built(GUITAR)
    # A wiper in the middle of its track joins nothing, as in the graph.
    here, states = template_of(made, {"volume": 5}), state_space(made)
    for i, classes in enumerate(each_classes(here, states.switches)):
        graph = connect(made, states.state(i))
        for a in ("selector.common", "kill.one", "volume.a common", "output.ring"):
            for b in ("selector.up", "kill.other", "volume.a near", "output.sleeve", "volume.ten"):
                assert (classes[here.lug(a)] == classes[here.lug(b)]) == graph.joined(a, b), (a, b, states.state(i))


def test_equal_networks_are_solved_once() -> None:
    found = state_table(built(GUITAR))
    assert found.count == 36
    assert found.networks == 4
    assert found.result(0).reading == found.result(3).reading


def test_a_selection_holds_controls_still() -> None:
    found = state_table(built(GUITAR), select={"selector": "middle", "output": ["mono"]})
    assert found.count == 4
    assert all(s["selector"] == "middle" for s, _ in found.each())
    with pytest.raises(ValueError, match=r"no switching control 'selecter'.*selector"):
        state_table(built(GUITAR), select={"selecter": "up"})
    with pytest.raises(ValueError, match="no position 'centre'"):
        state_table(built(GUITAR), select={"selector": "centre"})


def many(switches: int) -> str:
    parts = "".join(f"  s{i}: toggle-mini-spdt-on-off-on\n" for i in range(switches))
    leads = "".join(f"  - s{i}.common -> output.tip\n  - s{i}.throw 1 -> coil.start\n" for i in range(switches))
    return (f"parts:\n  coil: single-coil\n  output: jack-mono-open\n{parts}leads:\n  - coil.finish -> output.tip\n"
            f"  - coil.start -> output.sleeve\n{leads}")


def test_more_than_100000_states_ask_for_a_selection() -> None:
    made = built(many(11))
    with pytest.raises(TooMany, match="177147 states are more than 100000"):
        state_table(made)
    assert state_table(made, select={"s0": "1"}).count == 59049


def test_tens_of_thousands_of_states_take_seconds() -> None:
    made = built(many(9))
    start = time.process_time()
    found = state_table(made)
    assert found.count == 3**9
    assert found.networks == 2
    # A plain loop over the connection graph takes minutes here; the bound is generous for a slow machine.
    assert time.process_time() - start < 60


@pytest.mark.parametrize(("one", "other", "kind"), [
    ("push-button-momentary", "push-button-momentary", "momentary"),
    ("push-button-momentary", "toggle-mini-spdt-on-on", "switch"),
    ("toggle-mini-spdt-on-on", "toggle-mini-spdt-on-on", "switch"),
])
def test_controls_that_move_together_are_a_button_only_where_all_of_them_are(one: str, other: str, kind: str) -> None:
    made = built(f"parts:\n  a: {one}\n  b: {other}\n  output: jack-mono-open\nleads:\n"
                 "  - output.tip -> parked\nmoves together:\n  - [a, b]\n")
    (digit,) = state_space(made).switches
    assert (digit.kind, digit.keys) == (kind, ("a", "b"))


def test_a_button_turns_slower_than_a_switch_and_a_plug_slower_than_both_however_many_positions_they_have() -> None:
    made = built("parts:\n  kill: push-button-momentary\n  pair: toggle-mini-spdt-on-on\n  output: jack-stereo-open\n"
                 "leads:\n  - output.tip -> parked\n")
    assert [d.keys[0] for d in state_space(made).switches] == ["output", "kill", "pair"]
