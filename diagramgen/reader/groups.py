"""Groups: parts and leads written once and placed with their ends named.

A placing ``tone: {group: tone-branch, hot: volume.ten, ground: volume.case}`` becomes the parts
``tone-pot`` and ``tone-cap`` and the leads between them. Inside a group ``end.hot`` stands for the lug
given where it is placed; a lug the group gives may be used elsewhere by name: ``volume.out``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from diagramgen.kernel import resources
from diagramgen.kernel.diagnostics import Diagnostics, Location, nearest
from diagramgen.kernel.geometry import Point, turned
from diagramgen.kernel.provenance import Sources
from diagramgen.model.build import End
from diagramgen.reader.codes import INP_310, INP_311, INP_312, INP_313, INP_314
from diagramgen.reader.parts import GROUP_ENDS
from diagramgen.reader.tables import GROUP
from diagramgen.yamlfile.nodes import ScalarNode, decode, parse
from diagramgen.yamlfile.schema_fields import NAME, Field, Located, Number, Record, Values

INSIDE = "end"
"""``end.hot`` inside a group: the lug given for its end 'hot'."""
READY = Record("a ready group", (
    Field("format", Number(1, 999, whole=True), "Version of this format."),
    Field("group", NAME, "Its name; the file has the same name.", required=True),
    *GROUP.fields,
))


@dataclass(frozen=True)
class RawPart:
    """A part before its symbol is looked up; ``origin`` tells of the group it came from, for messages."""

    values: Values
    place: Location
    origin: str = ""
    group: str = ""
    """The placing it belongs to, or ''."""


@dataclass(frozen=True)
class RawLead:
    """A lead before its ends are looked up."""

    values: Values
    place: Location
    origin: str = ""
    unread: str = ""
    """What is written there, where its ends could not be read; '' where they could."""
    stretches: int = 1
    """Leads it stands for where it could not be read; 0: nobody knows."""


@dataclass
class Expanded:
    """Parts and leads with every placing written out."""

    parts: dict[str, RawPart] = field(default_factory=dict)
    leads: list[RawLead] = field(default_factory=list)
    gives: dict[tuple[str, str], End] = field(default_factory=dict)
    """(placing, name) -> the lug inside it."""
    placings: dict[str, Location] = field(default_factory=dict)
    """Name under which a group is placed -> its place in the file."""
    outer: set[Location] = field(default_factory=set)
    """Places of the ends that placings name: faults there are no fault of a group."""
    failed: set[str] = field(default_factory=set)
    """Placings whose parts are missing because of faults already said."""


def ready_files() -> dict[str, Path]:
    """Name -> file of every ready group."""
    try:
        return {p.stem: p for p in sorted((resources.folder("samples") / "groups").glob("*.yaml"))}
    except FileNotFoundError:
        return {}


@lru_cache(maxsize=64)
def _ready_bytes(path: Path) -> bytes:
    return path.read_bytes()


def ready_group(name: str, say: Diagnostics, sources: Sources | None = None) -> Values | None:
    """A ready group's values; faults of its file go to ``say``."""
    path = ready_files()[name]
    data = _ready_bytes(path)
    if sources is not None:
        sources.note(f"group:{name}", data)
    text = decode(data, path.name, say)
    if text is None:
        return None
    say.know(path.name, text)
    node = parse(text, path.name, say)
    return None if node is None else READY.read(node, say)


def expand(top: Values, sources: Sources, say: Diagnostics) -> Expanded:
    """Write every placing out; leads of groups come after those of the file, in the order of the placings."""
    result = Expanded()
    own: dict[str, Located[Values]] = top.get("groups", {})
    placed: list[tuple[str, Located[Values]]] = []
    for name, given in top.get("parts", {}).items():
        if given.value.has("group"):
            placed.append((name, given))
            result.placings[name] = given.place
        else:
            result.parts[name] = RawPart(given.value, given.place)
    result.leads += [RawLead(g.value, g.place) for g in top.get("leads", ())]
    read: dict[str, Values | None] = {}
    for name, given in placed:
        group = given.value.get("group")
        if group not in read:
            read[group] = _find(group, given.value.at("group"), own, sources, say)
        definition = read[group]
        if definition is None:
            result.failed.add(name)
            result.leads.append(RawLead(given.value, given.place, f" (group {group})",
                                        f"every lead of the group {group} placed as {name}", 0))
        else:
            _place(name, given, definition, result, say)
    return result


def _find(
    group: str, place: Location, own: Mapping[str, Located[Values]], sources: Sources, say: Diagnostics
) -> Values | None:
    if group in own:
        return own[group].value
    if group in ready_files():
        return ready_group(group, say, sources)
    say.add(INP_310, place, f"there is no group '{group}'", nearest(group, [*own, *ready_files()], limit=20))
    return None


def _place(name: str, given: Located[Values], group: Values, result: Expanded, say: Diagnostics) -> None:
    ends = _ends(name, given, group, say)
    result.outer |= {end.place for end in ends.values()}
    word = given.value.get("group")
    members = set(group.get("parts"))

    def inside(end: End, origin: str) -> End | None:
        """An end of the group's own lines as it reads in the whole build."""
        if end.part == INSIDE:
            found = ends.get(end.lug)
            if found is None and end.lug not in (e for e in group.get("ends", {})):
                say.add(INP_311, given.place, f"a lead of the group uses end.{end.lug}, which is no end of it{origin}",
                        nearest(end.lug, group.get("ends", {})))
            return found
        if not end.known:
            return replace(end, place=given.place)
        if end.part not in members:
            say.add(INP_311, given.place,
                    f"a lead of the group uses the part '{end.part}', which is not in it{origin}",
                    nearest(end.part, [*members, INSIDE]))
            return None
        return End(f"{name}-{end.part}", end.lug, given.place)

    for member, part in group.get("parts").items():
        full = f"{name}-{member}"
        origin = f" (group {word}, {part.place})"
        if full in result.parts:
            say.add(INP_312, given.place, f"placing '{name}' makes a part '{full}', but there is one already",
                    "Rename one of the two.")
            continue
        values = _member(member, part.value, given.value, members, say)
        between = values.get("between")
        if between is not None:
            pair = tuple(inside(end, origin) for end in between)
            values = values.plus({"between": None if None in pair else pair})
        result.parts[full] = RawPart(values, given.place, origin, name)
    for lead in group.get("leads", ()):
        origin = f" (group {word}, {lead.place})"
        raw = _lead(lead.value, lambda e, o=origin: inside(e, o), given.place)
        count = max(1, len(lead.value.get("bus", ())) - 1)
        unread = f"a lead of the group {word} placed as {name}" if raw is None else ""
        result.leads.append(RawLead(raw or lead.value, given.place, origin, unread, count))
    for lug, g in group.get("gives", {}).items():
        end = inside(g.value, f" (group {word}, {g.place})")
        if end is not None:
            result.gives[(name, lug)] = end


def _ends(name: str, given: Located[Values], group: Values, say: Diagnostics) -> dict[str, End]:
    """The lugs given for the ends; missing and unknown ends are said."""
    wanted = group.get("ends", {})
    offered: dict[str, Located[End]] = given.value.get(GROUP_ENDS, {})
    for end, g in offered.items():
        if end not in wanted:
            say.add(INP_313, g.place, f"the group '{given.value.get('group')}' has no end '{end}'",
                    nearest(end, [*wanted, "at", "turned", "in", "values"]))
    missing = [end for end in wanted if end not in offered]
    if missing:
        say.add(INP_313, given.place, f"'{name}' leaves open where {' and '.join(missing)} of the group "
                f"'{given.value.get('group')}' goes", f"Add {missing[0]} with a lug: {missing[0]}: volume.ten.")
    return {end: g.value for end, g in offered.items() if end in wanted}


def _member(member: str, part: Values, placing: Values, members: set[str], say: Diagnostics) -> Values:
    """A member's values with the placing's position, turn, cavity and value laid over."""
    more: dict[str, Any] = {}
    places: dict[str, Location] = {}
    at, turn = placing.get("at"), placing.get("turned", 0.0)
    own: Point | None = part.get("at")
    if at is not None and own is not None:
        more["at"], places["at"] = at.plus(turned(turn)(own)), placing.at("at")
    elif own is not None:
        more["at"] = None
    if turn:
        more["turned"], places["turned"] = math.remainder(part.get("turned", 0.0) + turn, math.tau), placing.at(
            "turned")
    for key in ("in", "through"):
        if placing.has(key) and not part.has("between"):
            more[key], places[key] = placing.get(key), placing.at(key)
    for word, given in placing.get("values", {}).items():
        if word not in members:
            if member == min(members):
                say.add(INP_314, given.place, f"the group has no part '{word}'", nearest(word, members))
        elif word == member:
            node: ScalarNode = given.value
            more["value"], places["value"] = (node,), node.place
    return part.plus(more, places)


def _lead(values: Values, inside: Any, place: Location) -> Values | None:
    """A group's lead with its ends and named parts as they read in the whole build."""
    more: dict[str, Any] = {}
    for key in ("from", "to"):
        if values.has(key):
            end = inside(values.get(key))
            if end is None:
                return None
            more[key] = end
    for key in ("bus", "shield to"):
        if values.has(key):
            ends = [inside(g.value) for g in values.get(key)]
            if key == "bus" and None in ends:
                return None
            more[key] = tuple(Located(e, place) for e in ends if e is not None)
    return values.plus(more, dict.fromkeys(more, place))
