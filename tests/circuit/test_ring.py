"""What is heard at the ring of a stereo jack: with a stereo plug only, and apart from the tip."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from circuits import built
from click.testing import CliRunner

from diagramgen.app.main import group
from diagramgen.circuit.outputs import Output
from diagramgen.circuit.state_table import StateResult, response_of, state_table

RING = Output("output", "ring")

TWO = """format: 1
parts:
  pickup: single-coil, 6k5
  saddle: {symbol: contact-transducer, values: {capacitance: 1n}}
  output: jack-stereo-open
leads:
  - pickup.finish -> output.tip
  - pickup.start -> output.sleeve
  - saddle.hot -> output.ring
  - saddle.shield -> output.sleeve
"""


def by_plug(text: str = TWO) -> dict[str, StateResult]:
    return {state["output"]: result for state, result in state_table(built(text)).each()}


def test_a_transducer_on_the_ring_is_heard_there_with_a_stereo_plug_only() -> None:
    found = by_plug()
    assert found["stereo"].sound.network == "pickup"
    assert [h.coil for h in found["stereo"].at(RING).sound.sounding] == ["saddle"]
    assert [one.output.contact for one in found["mono"].heard] == ["tip"]
    assert found["out"].heard == ()


def test_the_level_at_the_ring_is_that_of_a_capacitance_into_cable_and_amplifier() -> None:
    hertz = np.array([100.0, 1000.0])
    _, response = response_of(built(TWO), {"output": "stereo"}, None, hertz, RING)
    # Default load: 5 m of 100 pF/m, 1 megohm.
    s = 2j * np.pi * hertz
    load = 1 / (s * 500e-12 + 1e-6)
    at = response.sources.index("saddle")
    np.testing.assert_allclose(response.transfers[:, at], load / (load + 1 / (s * 1e-9)), rtol=1e-9)


def test_a_ring_with_a_battery_only_is_no_output() -> None:
    text = TWO.replace("saddle: {symbol: contact-transducer, values: {capacitance: 1n}}", "battery: battery-9v")
    text = text.replace("saddle.hot -> output.ring", "battery.minus -> output.ring").replace(
        "saddle.shield", "battery.plus")
    assert {one.output.contact for r in by_plug(text).values() for one in r.heard} == {"tip"}


def test_a_jack_without_a_ring_has_none() -> None:
    text = TWO.replace("jack-stereo-open", "jack-mono-open").replace("  - saddle.hot -> output.ring\n", "")
    assert state_table(built(text)).outputs == (Output("output"),)


def test_states_that_differ_at_the_ring_only_are_two_results() -> None:
    text = TWO.replace("  output:", "  kill: toggle-mini-spdt-on-on\n  output:") + (
        "  - kill.common -> output.ring\n  - kill.throw 1 -> output.sleeve\n")
    found = {(s["output"], s["kill"]): r for s, r in state_table(built(text)).each()}
    one, other = (found["stereo", k] for k in sorted({k for _, k in found}))
    assert one.at(RING).sound.silent is not other.at(RING).sound.silent
    assert one.like != other.like


@pytest.mark.parametrize("plug", ["mono", "stereo"])
def test_the_command_says_the_ring_in_words_and_in_json(plug: str, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(TWO, encoding="utf-8")
    words = ["sounds", str(path), "--state", f"output={plug}"]
    told = CliRunner().invoke(group, words)
    assert ("at the ring of output: saddle" in told.output) is (plug == "stereo")
    assert ("at the ring of output: not heard with a mono plug" in told.output) is (plug == "mono")
    entry = json.loads(CliRunner().invoke(group, [*words, "--json", "--response"]).stdout)["states"][0]
    assert entry["output"] == "output.tip"
    assert entry["network"] == "pickup"
    assert [one["output"] for one in entry["other_outputs"]] == ["output.ring"] * (plug == "stereo")
    for one in entry["other_outputs"]:
        assert one["network"] == "saddle"
        assert one["meter"] == "not meaningful"
        assert len(one["response"]["db"]) == len(entry["response"]["db"])


def test_the_response_of_a_state_may_name_the_plug_of_a_jack_whose_contacts_never_change() -> None:
    made = built("parts:\n  one: single-coil\n  output: jack-mono-open\nleads:\n  - one.finish -> output.tip\n"
                 "  - one.start -> output.sleeve\n")
    net, response = response_of(made, {"output": "mono"}, None, np.array([100.0]))
    assert net.sources == response.sources == ("one",)
    assert abs(response.transfers[0, 0]) == pytest.approx(1.0, rel=0.05)
