"""What is heard at the ring of a stereo jack: with a stereo plug only, and apart from the tip."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from circuits import built
from click.testing import CliRunner

from diagramgen.circuit.chart import Result, chart, response_of
from diagramgen.cli import group

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


def by_plug(text: str = TWO) -> dict[str, Result]:
    return {state["output"]: result for state, result in chart(built(text)).each()}


def test_a_transducer_on_the_ring_is_heard_there_with_a_stereo_plug_only() -> None:
    found = by_plug()
    assert found["stereo"].sound.network == "pickup"
    ring = found["stereo"].ring
    assert ring is not None
    assert [h.coil for h in ring.sounding] == ["saddle"]
    assert found["mono"].ring is None
    assert found["out"].ring is None


def test_the_level_at_the_ring_is_that_of_a_capacitance_into_cable_and_amplifier() -> None:
    hertz = np.array([100.0, 1000.0])
    _, response = response_of(built(TWO), {"output": "stereo"}, None, hertz, "ring")
    # Default load: 5 m of 100 pF/m, 1 megohm.
    s = 2j * np.pi * hertz
    load = 1 / (s * 500e-12 + 1e-6)
    at = response.sources.index("saddle")
    np.testing.assert_allclose(response.transfers[:, at], load / (load + 1 / (s * 1e-9)), rtol=1e-9)


def test_a_ring_with_a_battery_only_is_silent() -> None:
    text = TWO.replace("saddle: {symbol: contact-transducer, values: {capacitance: 1n}}", "battery: battery-9v")
    text = text.replace("saddle.hot -> output.ring", "battery.minus -> output.ring").replace(
        "saddle.shield", "battery.plus")
    ring = by_plug(text)["stereo"].ring
    assert ring is not None
    assert ring.silent


def test_a_jack_without_a_ring_has_none() -> None:
    text = TWO.replace("jack-stereo-open", "jack-mono-open").replace("  - saddle.hot -> output.ring\n", "")
    assert {r.ring for _, r in chart(built(text)).each()} == {None}


def test_states_that_differ_at_the_ring_only_are_two_results() -> None:
    text = TWO.replace("  output:", "  kill: toggle-mini-spdt-on-on\n  output:") + (
        "  - kill.common -> output.ring\n  - kill.throw 1 -> output.sleeve\n")
    found = {(s["output"], s["kill"]): r for s, r in chart(built(text)).each()}
    one, other = (found["stereo", k] for k in sorted({k for _, k in found}))
    assert one.ring is not None
    assert other.ring is not None
    assert one.ring.silent is not other.ring.silent
    assert one.like != other.like


@pytest.mark.parametrize("plug", ["mono", "stereo"])
def test_the_command_says_the_ring_in_words_and_in_json(plug: str, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(TWO, encoding="utf-8")
    words = ["sounds", str(path), "--state", f"output={plug}"]
    told = CliRunner().invoke(group, words)
    assert ("at the ring: saddle" in told.output) is (plug == "stereo")
    entry = json.loads(CliRunner().invoke(group, [*words, "--json", "--response"]).stdout)["states"][0]
    if plug == "mono":
        assert entry["ring"] is None
    else:
        assert entry["ring"]["network"] == "saddle"
        assert len(entry["ring"]["response"]["db"]) == len(entry["response"]["db"])
        assert entry["network"] == "pickup"


def test_the_response_of_a_state_may_name_the_plug_of_a_jack_whose_contacts_never_change() -> None:
    made = built("parts:\n  one: single-coil\n  output: jack-mono-open\nleads:\n  - one.finish -> output.tip\n"
                 "  - one.start -> output.sleeve\n")
    net, response = response_of(made, {"output": "mono"}, None, np.array([100.0]))
    assert net.sources == response.sources == ("one",)
    assert abs(response.transfers[0, 0]) == pytest.approx(1.0, rel=0.05)
