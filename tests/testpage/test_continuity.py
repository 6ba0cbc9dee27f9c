"""What the technician is told to find joined and apart is so in the circuit, and every switch is covered."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from circuits import built
from circuits import sample as read

from diagramgen.circuit.nets import connect
from diagramgen.circuit.states import state_space
from diagramgen.features.testpage.continuity import Switched, switched, wired
from diagramgen.model.build import Build

SAMPLES = Path(__file__).parents[2] / "samples"
NAMES = ("baritone", "bass-active", "three-singles-lever", "two-pickups-toggle", "left-handed", "holes-in-top",
         "no-cavity", "one-volume")


def sample(name: str) -> Build:
    return read(SAMPLES / f"{name}.yaml")


def rows(name: str) -> dict[tuple[str, str], Switched]:
    return {(one.control, one.position): one for one in switched(sample(name))}


@pytest.mark.parametrize("name", NAMES)
def test_what_is_called_joined_is_joined_and_what_is_called_apart_is_not(name: str) -> None:
    build = sample(name)
    alone = connect(build)
    for one in wired(build):
        assert all(alone.joined(one.lugs[0], lug) for lug in one.lugs)
    for row in switched(build):
        graph = connect(build, row.state)
        assert all(graph.joined(group[0], lug) for group in row.joined for lug in group)
        assert not any(graph.joined(pair.one, pair.other) for pair in row.apart)


@pytest.mark.parametrize("name", NAMES)
def test_joints_and_switch_positions_by_themselves_prove_every_state(name: str) -> None:
    """The nets of any state are those of the leads with each switch's rows added: nothing else joins anything."""
    build = sample(name)
    states = state_space(build)
    found = rows(name)
    controls = list(dict.fromkeys(control for control, _ in found))
    named = sorted({lug for row in found.values() for group in row.joined for lug in group})
    alone = connect(build)
    for index in range(0, states.count, 7):
        state = states.state(index)
        position = dict(zip((digit.keys[0] for digit in states.switches),
                            (d.words[n] for d, n in zip(states.switches, states.numbers(index), strict=True)),
                            strict=True))
        of = {lug: alone.net_at(lug) for lug in named}
        for control in controls:
            key = next(k for k in position if build.parts[k.partition(".")[0]].says == control.partition(",")[0])
            row = found.get((control, position[key]))
            for group in row.joined if row else ():
                first, others = of[group[0]], {of[lug] for lug in group}
                of = {lug: first if net in others else net for lug, net in of.items()}
        graph = connect(build, state)
        for a in named:
            assert [of[a] == of[b] for b in named] == [graph.joined(a, b) for b in named], (state, a)


def test_a_five_way_joins_two_pickups_in_two_and_the_third_reads_through_its_own_coil() -> None:
    # By hand, knobs at 10: bridge 6.3k and middle 5.9k beside the volume's 250k, then 5.8k of the neck.
    row = rows("three-singles-lever")["lever", "2"]
    assert row.joined == (("bridge.finish", "middle.finish", "volume.ten", "middle-tone.wiper"),)
    neck = next(pair for pair in row.apart if pair.one == "neck.finish")
    assert neck.other == "volume.ten"
    assert neck.reading.ohms == pytest.approx(1 / (1 / 6300 + 1 / 5900 + 1 / 250e3) + 5800, rel=1e-6)
    assert not any("bridge" in pair.one or "middle.finish" in pair.one for pair in row.apart)


def test_series_links_are_named_and_read_one_coil_to_the_sleeve() -> None:
    # By hand: from the link of two coils one of them leads to ground, the other and the volume's 500k lie beside it.
    links = [one for one in wired(sample("two-pickups-toggle")) if one.what == "series link"]
    assert [one.lugs for one in links] == [("neck.a finish", "neck.b finish"), ("bridge.a finish", "bridge.b finish")]
    assert links[0].sleeve is not None
    assert links[0].sleeve.ohms == pytest.approx(1 / (1 / 4000 + 1 / (3900 + 500e3)), rel=1e-6)


def test_a_bridge_forgotten_between_two_centres_leaves_the_position_out() -> None:
    # Common practice, no source: the two centre lugs of an upright toggle are often not joined inside.
    text = (SAMPLES / "two-pickups-toggle.yaml").read_text(encoding="utf-8")
    whole = {one.position: one.joined for one in switched(built(text, SAMPLES))}
    without = built(text.replace("  - selector.up centre -> selector.down centre, bare\n", ""), SAMPLES)
    broken = {one.position: one.joined for one in switched(without)}
    assert whole["down"] == (("bridge-volume.wiper", "output.tip"),)
    assert broken["down"] == ()


def test_the_plug_is_a_switch_of_the_battery() -> None:
    # Common practice, no source: a mono plug joins ring to sleeve, a stereo plug does not.
    found = rows("bass-active")
    assert found["output", "mono plug in"].joined == (("battery.minus", "output.sleeve"),)
    for position in ("stereo plug in", "plug out"):
        assert found["output", position].joined == ()
        assert [(pair.one, pair.other) for pair in found["output", position].apart] == [
            ("battery.minus", "output.sleeve")]


def test_other_switches_are_held_where_the_pair_can_be_read() -> None:
    row = rows("baritone")["neck mode", "series"]
    # With the selector up a board lies across; down, the ring is read by itself.
    assert row.state["selector"] == "down"
    assert {pair.reading.kind for pair in row.apart} == {"value"}


def test_a_build_with_impossible_values_gets_no_continuity_at_all() -> None:
    text = (SAMPLES / "no-cavity.yaml").read_text(encoding="utf-8")
    build = built(text, SAMPLES)
    assert list(wired(build))
    part = replace(build.parts["volume"], values={**build.parts["volume"].values, "track": -1.0})
    assert not list(wired(replace(build, parts={**build.parts, "volume": part})))
