"""What is asked of a circuit without its whole chart is what the chart says; equal circuits give one answer."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sampled import read_of

from diagramgen.circuit.netlist import template_of
from diagramgen.circuit.state_table import circuit_of, drawn, sounding, state_table
from diagramgen.circuit.states import state_space
from diagramgen.circuit.values import SOUNDING, elements_of, knobs_of, source_name

SAMPLES = ["three-singles-lever", "two-pickups-toggle", "two-pickups-toggle-found", "bass-active", "left-handed"]


def without(build, count):
    """The build without every ``count``-th lead: some coil is mostly silent then."""
    return replace(build, leads=tuple(lead for i, lead in enumerate(build.leads) if i % count))


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("count", [3, 100])
def test_coils_that_sound_are_those_of_the_chart(name, count):
    build = without(read_of(name).build, count)
    coils = {source_name(p, e) for p, e in elements_of(build, *SOUNDING)}
    for knob in list(knobs_of(build))[:3]:
        for turn in (0.0, 5.0, 10.0):
            heard = {h.coil for r in state_table(build, {knob: turn}).results for h in r.sound.sounding}
            assert sounding(build, {knob: turn}, coils) == heard
            assert sounding(build, {knob: turn}, sorted(coils)[:1]) == heard & set(sorted(coils)[:1])


@pytest.mark.parametrize("name", ["bass-active", "baritone"])
def test_what_the_battery_gives_is_what_the_chart_says(name):
    build = read_of(name).build
    plugs = {d.keys[0]: [p[0] for p in d.positions]
             for d in state_space(build, all_plugs=True).switches if d.kind == "plug"}
    whole = state_table(build, select=plugs)
    most = {(("output", plug),): max((r.current for r in whole.results if r.plug == plug), default=0.0)
            for plug in ("out", "mono", "stereo")}
    assert drawn(build, plugs) == most
    assert most[("output", "mono"),] > 0


def circuit(build):
    return circuit_of(template_of(build), state_space(build))


@pytest.mark.parametrize("name", SAMPLES)
def test_circuits_are_one_where_only_leads_look_or_run_otherwise(name):
    build = read_of(name).build
    lead = next(one for one in build.leads if one.start.known and one.end.known)
    other = next(c.colour for c in build.leads if c.colour and c.colour != lead.colour)
    looks = replace(lead, tag="X1", colour=other, place=replace(lead.place, line=lead.place.line + 40))
    assert circuit(build) == circuit(replace(build, leads=tuple(looks if x is lead else x for x in build.leads)))


@pytest.mark.parametrize("name", SAMPLES)
def test_circuits_differ_where_a_value_the_cable_or_a_connection_does(name):
    build = read_of(name).build
    own = circuit(build)
    load = replace(build.load, cable_length=build.load.cable_length + 1.0)
    assert circuit(replace(build, load=load)) != own
    part, element = next(elements_of(build, "track"))
    louder = replace(part, values={**part.values, element.values["resistance"]: 123_456.0})
    assert circuit(replace(build, parts={**build.parts, part.name: louder})) != own
    bare = without(build, 2)
    assert circuit(bare) != own
    coil, winding = next((p, e.values["winding"]) for p, e in elements_of(build, "coil") if "winding" in e.values)
    wound = [replace(coil, values={**coil.values, winding: way}) for way in ("clockwise", "anticlockwise")]
    assert any(circuit(replace(build, parts={**build.parts, coil.name: part})) != own for part in wound)
