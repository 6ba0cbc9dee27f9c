"""Whether a change that is to be advised breaks what works, found by solving the build with the change made."""

from __future__ import annotations

from dataclasses import replace

from diagramgen.circuit.check_wanted import words
from diagramgen.circuit.exchange_lugs import exchanged
from diagramgen.circuit.nets import connect
from diagramgen.circuit.state_table import Chart, chart
from diagramgen.kernel.diagnostics import Place
from diagramgen.model.build import Build, End
from diagramgen.reader.connections import plain_lead


def joined(build: Build, one: str, other: str) -> Build:
    """The build with one more lead, between two lugs written ``part.lug``."""
    place = Place(build.file)
    ends = [End(part, lug, place) for part, _, lug in (name.partition(".") for name in (one, other))]
    lead = plain_lead(ends[0], ends[1], "wire", None, place)
    return replace(build, leads=(*build.leads, replace(lead, tag="the lead advised")))


def silences(build: Build, changed: Build) -> str | None:
    """The first state, in words, in which a coil is heard no more after a change of leads; '' where there is none.

    None where the builds cannot be solved, or not state by state, so that nothing is known.
    """
    try:
        before, after = chart(build), chart(changed)
    except ValueError:
        return None
    if before.count != after.count:
        return None
    for index in range(before.count):
        if before.result(index).coils - after.result(index).coils:
            return words(before.space.state(index), before.space)
    return ""


def turned_round(found: Chart, part: str) -> Chart | None:
    """The build solved with the two leads of a pickup exchanged.

    None where it has not just two lugs whose leads go elsewhere, where an end of its coil is one with metal (its cover
    would be hot), or where that cannot be solved.
    """
    drawn = found.build.parts[part].symbol
    graph = connect(found.build)
    ends = dict.fromkeys(lug for e in drawn.elements if e.kind == "coil" for lug in e.ends.values())
    nets = {lug: graph.net_of(part, lug, True) for lug in ends}
    outer = [lug for lug in ends if not any(f"{part}.{other}" in nets[lug] for other in ends if other != lug)]
    if len(outer) != 2 or any(lug in metal.lugs for lug in outer for metal in drawn.metal):
        return None
    try:
        return chart(exchanged(found.build, *(f"{part}.{lug}" for lug in outer)), found.knobs)
    except ValueError:
        return None
