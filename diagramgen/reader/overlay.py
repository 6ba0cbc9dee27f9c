"""A build written as changes to another: ``changes to: base.yaml``, then what is taken out and what is put in.

The base is read by itself first, so that its leads keep the tags they have there and what is taken out can be
found in it; then its nodes and those of the changes are put together and read as one build. Every place stays that
of the file a line stands in.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePath
from typing import Any

from diagramgen.kernel.diagnostics import Diagnostics, Location, nearest
from diagramgen.kernel.provenance import Sources
from diagramgen.model.build import UNKNOWN, Build, End, Lead, UnreadLead
from diagramgen.reader.assemble import lug_named
from diagramgen.reader.codes import INP_341, INP_342, INP_343, INP_344
from diagramgen.reader.groups import RawLead
from diagramgen.reader.tables import CHANGES
from diagramgen.reader.unread import Found
from diagramgen.reader.upgrade import upgraded
from diagramgen.yamlfile.nodes import MappingNode, Node, ScalarNode, SequenceNode, decode, parse
from diagramgen.yamlfile.schema_fields import Located, Values

BASE, OUT, IN = "changes to", "take out", "put in"
_OWN = (BASE, OUT, IN)
Reader = Callable[[bytes, str, Sources, Diagnostics], Build | None]
"""Reads a build from a file's bytes."""
Key = tuple[Location, End, End]


@dataclass(frozen=True)
class Overlay:
    """What a file of changes makes of its base."""

    root: MappingNode
    """Base and changes as one build file."""
    base: Build
    dropped: frozenset[Key]
    """Leads of the base that are taken out, by their place and ends."""

    def keep(self, raws: Sequence[RawLead]) -> list[RawLead]:
        """The lead lines, without those of which nothing is left."""
        places = {lead.place for lead in self.base.leads}
        left = {lead.place for lead in self.base.leads if _key(lead) not in self.dropped}
        return [r for r in raws if r.place not in places or r.place in left]

    def tagged(self, leads: Sequence[Found]) -> list[Found]:
        """The leads that are left, those of the base with the tags they have there."""
        tags = {_key(lead): lead.tag for lead in self.base.leads}
        left = [lead for lead in leads if _key(lead) not in self.dropped]
        return [replace(lead, tag=tags[key], pinned=True) if (key := _key(lead)) in tags else lead for lead in left]

    def unpinned(self, leads: Sequence[Found]) -> tuple[Found, ...]:
        """The leads with only those tags pinned that stand in a file."""
        loose = {_key(lead) for lead in self.base.leads if not lead.pinned}
        return tuple(replace(lead, pinned=False) if _key(lead) in loose else lead for lead in leads)


def _key(lead: Found) -> Key:
    nobody = End(UNKNOWN, "", lead.place)
    return (lead.place, nobody, nobody) if isinstance(lead, UnreadLead) else (lead.place, lead.start, lead.end)


def overlaid(root: MappingNode, file: str, sources: Sources, read: Reader, say: Diagnostics) -> Overlay | None:
    """The base with the changes laid over it; None after a problem was said."""
    top = CHANGES.read(MappingNode(tuple(e for e in root.entries if e[0].text.lower() in _OWN), root.place), say)
    for key, _ in root.entries:
        if key.text.lower() in ("parts", "leads", "lugs"):
            say.add(INP_341, key.place, f"a file of changes has no '{key.text}' of its own",
                    "Write them under 'put in' and 'take out'.")
    if top is None or say.has_errors:
        return None
    name, place = top.get(BASE), top.at(BASE)
    data = sources.read(name, place, say)
    found = None if data is None else _base(data, str(PurePath(file).parent / name), place, (sources, read), say)
    if found is None:
        return None
    base, nodes = found
    out = top.get(OUT) or Values(root.place, {}, {})
    parts = _parts_out(out.get("parts", ()), base, say)
    dropped = _leads_out(out.get("leads", ()), parts, base, say)
    return Overlay(_merged(nodes, root, parts), base, dropped)


def _base(
    data: bytes, file: str, place: Location, means: tuple[Sources, Reader], say: Diagnostics
) -> tuple[Build, MappingNode] | None:
    aside = Diagnostics()
    text = decode(data, file, aside)
    node = None if text is None else parse(text, file, aside)
    if isinstance(node, MappingNode) and node.get(BASE) is not None:
        say.add(INP_342, place, f"'{file}' is a file of changes itself", "Name the whole build it begins from, and "
                "write all changes to that one.")
        return None
    build = means[1](data, file, means[0].beside(), aside)
    if text is not None:
        say.know(file, text)
    if aside.has_errors or build is None or not isinstance(node, MappingNode):
        say.extend(aside.sorted())
        say.add(INP_342, place, f"'{file}', which is to be changed, has errors of its own", "Mend them first.")
        return None
    # Base and changes may have been written in different formats; what was to be said of it was said above.
    return build, upgraded(node, Diagnostics()) or node


def _parts_out(given: Sequence[Located[str]], base: Build, say: Diagnostics) -> frozenset[str]:
    """Names under 'parts' of the base that are taken out: parts, or groups with all that is in them."""
    placings = _placings(base)
    for one in given:
        if one.value not in base.parts and one.value not in placings:
            say.add(INP_343, one.place, f"'{one.value}' cannot be taken out: there is no such part in '{base.file}'",
                    nearest(one.value, [*base.parts, *placings]))
        elif one.value in base.parts and any(one.value.startswith(f"{p}-") for p in placings):
            say.add(INP_343, one.place, f"'{one.value}' is a part of a group and cannot be taken out alone",
                    f"Take the whole group out: {', '.join(placings)}.")
    return frozenset(g.value for g in given)


def _placings(base: Build) -> tuple[str, ...]:
    """Names of the groups the base places: their parts were written where the group is placed."""
    together: dict[Location, list[str]] = {}
    for name, part in base.parts.items():
        together.setdefault(part.place, []).append(name)
    found = []
    for names in together.values():
        if len(names) > 1:
            words = [n.split("-") for n in names]
            same = [w[0] for w in zip(*words, strict=False) if len(set(w)) == 1]
            found.append("-".join(same))
    return tuple(found)


def _leads_out(given: Sequence[Located[Any]], parts: frozenset[str], base: Build, say: Diagnostics) -> frozenset[Key]:
    dropped = {_key(lead) for lead in base.leads if _on(lead, parts)}
    for one in given:
        found = [lead for lead in base.leads if _meant(lead, one.value, base)]
        if not found:
            said = one.value
            words = said if isinstance(said, str) else f"from {said.get('from')} to {said.get('to')}"
            say.add(INP_344, one.place, f"there is no lead {words} in '{base.file}'",
                    "Write it as it stands there: its two ends, or its tag.")
        elif len(found) > 1:
            say.add(INP_344, one.place, f"{len(found)} leads of '{base.file}' are meant by this: "
                    f"{', '.join(lead.tag for lead in found)}", "Say its colour as well, or its tag.")
        dropped |= {_key(lead) for lead in found}
    return frozenset(dropped)


def _on(lead: Lead, parts: frozenset[str]) -> bool:
    return any(e.part == p or e.part.startswith(f"{p}-") for e in (lead.start, lead.end) if e.known for p in parts)


def _meant(lead: Lead, said: Values | str, base: Build) -> bool:
    """Whether a lead is the one said, by its tag or by its ends and, where given, its colour."""
    if isinstance(said, str):
        return lead.tag == said
    if not said.has("from") or not said.has("to"):
        return False
    ends = {str(_true(said.get(key), base)) for key in ("from", "to")}
    colour = said.get("colour")
    return ends == {str(lead.start), str(lead.end)} and colour in (None, lead.colour)


def _true(end: End, base: Build) -> End:
    """The end with the lug's own name, where it has one."""
    part = base.parts.get(end.part)
    lug = lug_named(part.symbol, end.lug) if part is not None else None
    return replace(end, lug=lug) if lug else end


def _merged(base: MappingNode, root: MappingNode, out: frozenset[str]) -> MappingNode:
    """One file: the base's keys, those of the changes in their place, parts and leads taken out and put in."""
    new = root.get(IN)
    added = new if isinstance(new, MappingNode) else MappingNode((), root.place)
    # What was metered on the base, and told of the work on it, is not true of what is made from it.
    merged: dict[str, tuple[ScalarNode, Node]] = {k.text.lower(): (k, v) for k, v in base.entries
                                              if k.text.lower() not in ("record", "results")}
    merged |= {k.text.lower(): (k, v) for k, v in root.entries if k.text.lower() not in _OWN}
    for key in ("parts", "cables", "channels"):
        own, more = merged.get(key), added.get(key)
        kept = {k.text.lower(): (k, v) for k, v in (_entries(own[1]) if own else ())}
        if key == "parts":
            kept = {name: pair for name, pair in kept.items() if name not in out}
        kept |= {k.text.lower(): (k, v) for k, v in _entries(more)}
        if own or more:
            head = own or (ScalarNode(key, added.place), added)
            merged[key] = (head[0], MappingNode(tuple(kept.values()), head[1].place))
    more = added.get("leads")
    if isinstance(more, SequenceNode):
        own = merged.get("leads", (ScalarNode("leads", more.place), SequenceNode((), more.place)))
        before = own[1].items if isinstance(own[1], SequenceNode) else ()
        merged["leads"] = (own[0], SequenceNode((*before, *more.items), own[1].place))
    return MappingNode(tuple(merged.values()), root.place)


def _entries(node: Node | None) -> tuple[tuple[ScalarNode, Node], ...]:
    return node.entries if isinstance(node, MappingNode) else ()


__all__ = ["BASE", "Overlay", "overlaid"]
