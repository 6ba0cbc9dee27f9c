"""A build with all that is on two lugs exchanged, so that advice can be solved before it is given."""

from __future__ import annotations

from dataclasses import replace

from diagramgen.build.model import Build, End


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
