"""A build with a lead more or with lugs exchanged, and what that breaks: advice is solved before it is given."""

from __future__ import annotations

from dataclasses import replace

from diagramgen.circuit.check_wanted import words
from diagramgen.circuit.nets import connect
from diagramgen.circuit.state_table import StateTable, state_table
from diagramgen.kernel.diagnostics import Location
from diagramgen.model.build import Build, End
from diagramgen.reader.connections import plain_lead


def joined(build: Build, one: str, other: str) -> Build:
    """The build with one more lead, between two lugs written ``part.lug``."""
    place = Location(build.file)
    ends = [End(part, lug, place) for part, _, lug in (name.partition(".") for name in (one, other))]
    lead = plain_lead(ends[0], ends[1], "wire", None, place)
    return replace(build, leads=(*build.leads, replace(lead, tag="the lead advised")))


def exchanged(build: Build, one: str, other: str) -> Build:
    """The build with every lead, leg and braid on ``one`` (``part.lug``) moved to ``other`` and the other way round."""

    def moved(end: End) -> End:
        to = {one: other, other: one}.get(str(end))
        if to is None:
            return end
        part, _, lug = to.partition(".")
        return End(part, lug, end.place)

    leads = tuple(replace(lead, start=moved(lead.start), end=moved(lead.end),
                          shield_to=tuple(moved(end) for end in lead.shield_to)) for lead in build.leads)
    parts = {name: replace(part, between=(moved(part.between[0]), moved(part.between[1]))) if part.between else part
             for name, part in build.parts.items()}
    return replace(build, leads=leads, parts=parts)


def silences(build: Build, changed: Build) -> str | None:
    """The first state, in words, in which a coil is heard no more after a change of leads; '' where there is none.

    None where the builds cannot be solved, or not state by state, so that nothing is known.
    """
    try:
        before, after = state_table(build), state_table(changed)
    except ValueError:
        return None
    if before.count != after.count:
        return None
    for index in range(before.count):
        if before.result(index).coils - after.result(index).coils:
            return words(before.space.state(index), before.space)
    return ""


def turned_round(found: StateTable, part: str) -> StateTable | None:
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
        return state_table(exchanged(found.build, *(f"{part}.{lug}" for lug in outer)), found.knobs)
    except ValueError:
        return None
