"""Lead lines that could not be read: left out of the build, with the number each will have once it is mended.

A tag given by the order of the file would otherwise slip by one after every line at fault, and a sheet printed in
spite of errors would name other leads than the final one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.model.build import End, Lead, UnreadLead
from diagramgen.reader.groups import RawLead
from diagramgen.reader.leads import legible
from diagramgen.yamlfile.nodes import MappingNode, Node, SequenceNode
from diagramgen.yamlfile.schema_fields import Values

Found = Lead | UnreadLead


def all_lines(node: Node | None, read: Sequence[RawLead]) -> list[RawLead]:
    """The file's own lead lines in its order: those that were read, and what can be told of the others."""
    if not isinstance(node, SequenceNode):
        said = "every line under 'leads'"
        return [*read] if node is None else [RawLead(Values(node.place, {}, {}), node.place, "", said, 0)]
    by_place = {raw.place: raw for raw in read}
    return [_line(item, by_place.get(item.place)) for item in node.items]


def _line(item: Node, raw: RawLead | None) -> RawLead:
    if raw is not None:
        short = _stops(item) > len(raw.values.get("bus", ()))
        # A stop that could not be read is not passed by: the wire would be drawn where it does not run.
        return replace(raw, unread=legible(item)[1], stretches=_stops(item) - 1) if short else raw
    values, text = legible(item)
    return RawLead(values, item.place, "", text or "an empty line", max(1, _stops(item) - 1))


def _stops(item: Node) -> int:
    """Lugs a bus wire passes, as written."""
    bus = item.get("bus") if isinstance(item, MappingNode) else None
    return len(bus.items) if isinstance(bus, SequenceNode) else 0


def unread(says: str, raw: RawLead, kind: str, ends: Sequence[End] = ()) -> UnreadLead:
    """The number kept for a lead that could not be read; ``kind`` is what it would have been."""
    tag = "" if raw.values.has("bus") else raw.values.get("tag", "")
    leg = next((e for e in ends if e.known), None) if kind == "leg" else None
    plain = kind == "leg" and not tag and not raw.values.has("note")
    return UnreadLead(tag, bool(tag), kind in ("wire", "shielded", "bare"), says, raw.place,
                      leg if plain else None, raw.stretches > 0)


def kept(leads: Sequence[Found]) -> tuple[Lead, ...]:
    """List the leads that could be read, in the order of the file."""
    return tuple(lead for lead in leads if isinstance(lead, Lead))


def lost(leads: Sequence[Found], say: Diagnostics) -> tuple[UnreadLead, ...]:
    """List the leads that could not be read, in the order of the file; none where no error is on record.

    After a line of which nobody knows how many leads it holds, leads without a pinned tag have none.
    """
    return tuple(_known(leads)) if say.has_errors else ()


def _known(leads: Sequence[Found]) -> Iterator[UnreadLead]:
    """The unread ones; after lines of which nobody knows how many leads they are, no number can be told."""
    certain = True
    for lead in leads:
        if isinstance(lead, UnreadLead):
            certain = certain and lead.counts
            yield lead if certain or lead.pinned else replace(lead, tag="")
