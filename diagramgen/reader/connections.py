"""From what was read to leads of the model: ends found, colours taken from the cables, kinds, tags."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from diagramgen.kernel.colours import BARE, LeadColour
from diagramgen.kernel.diagnostics import Diagnostics, Location, nearest
from diagramgen.kernel.geometry import Point
from diagramgen.model.build import UNKNOWN, Cable, Channel, End, Lead, Part, UnreadLead
from diagramgen.reader.assemble import Parts, lug_kinds
from diagramgen.reader.codes import INP_301, INP_306, INP_321, INP_322, INP_323, INP_324, INP_325, INP_326, INP_327
from diagramgen.reader.groups import RawLead
from diagramgen.reader.unread import Found, kept, unread
from diagramgen.yamlfile.schema_fields import Values


@dataclass(frozen=True)
class Surroundings:
    """What a lead line may name."""

    parts: Parts
    cables: Mapping[str, Cable]
    channels: Mapping[str, Channel]
    faulty: frozenset[str]
    """Cables and channels given but of no use; their faults are said."""
    cloth: bool
    """The hook-up wire is cloth-covered."""
    kinds: dict[str, dict[str, str]] = field(default_factory=dict)

    def lug_kind(self, end: End) -> str:
        """What takes the solder at an end: eyelet, conductor, leg ...; '' for no lug."""
        part = self.parts.parts.get(end.part)
        if part is None:
            return ""
        if end.part not in self.kinds:
            self.kinds[end.part] = lug_kinds(part.symbol)
        return self.kinds[end.part].get(end.lug, "")


def make_leads(raws: Sequence[RawLead], around: Surroundings, say: Diagnostics) -> list[Found]:
    """Leads without their automatic tags, in the order given; a bus becomes its stretches."""
    result: list[Found] = []
    buses = 0
    for raw in raws:
        buses += raw.values.has("bus")
        bus = f"bus {buses}" if raw.values.has("bus") else ""
        if raw.unread:
            ends = tuple(raw.values.get(key) for key in ("from", "to") if raw.values.has(key))
            result += [_not_read(ends, raw, bus, around)] * max(1, raw.stretches)
            continue
        pairs = pairwise(g.value for g in raw.values.get("bus")) if bus else [
            (raw.values.get("from"), raw.values.get("to"))]
        for pair in pairs:
            lead = make_lead(pair, raw, bus, around, say)
            result.append(lead or _not_read(pair, raw, bus, around))
    return result


def _not_read(ends: Sequence[End], raw: RawLead, bus: str, around: Surroundings) -> UnreadLead:
    """What a lead at fault would have been: its number is kept."""
    aside = Diagnostics()
    if raw.stretches == 0:
        return unread(raw.unread, raw, "wire")
    if raw.origin:
        # The ends of a group's own line are named as inside the group; only what was said of it counts.
        ends = ()
    found = [around.parts.find(e, aside) for e in ends]
    nobody = End(UNKNOWN, "", raw.place)
    start, end = [*(f or e for f, e in zip(found, ends, strict=True)), nobody, nobody][:2]
    colour = _colour(start, end, raw.values, around, aside)
    kind = _kind(start, end, colour, raw.values, bus, around, aside)
    legs = [f for f in found if f is not None and around.lug_kind(f) == "leg"]
    return unread(raw.unread or " -> ".join(str(e) for e in ends), raw, kind, legs)


def make_lead(
    pair: tuple[End, End], raw: RawLead, bus: str, around: Surroundings, say: Diagnostics
) -> Lead | None:
    """One lead between two ends; None after a problem with an end was said."""
    v = raw.values
    start, end = (around.parts.find(e, say, raw.origin) for e in pair)
    if start is None or end is None or not _two_ends(start, end, raw, say):
        return None
    colour = _colour(start, end, v, around, say)
    kind = _kind(start, end, colour, v, bus, around, say)
    if kind == "bare" and colour is None:
        colour = LeadColour(BARE)
    _fitting(kind, colour, v, say)
    tag = v.get("tag", "") if not bus else ""
    return Lead(
        tag=tag,
        pinned=bool(tag),
        start=start,
        end=end,
        colour=colour,
        kind=kind,
        gauge=v.get("gauge"),
        diameter=v.get("od"),
        length=v.get("length"),
        cloth=v.get("cloth", around.cloth and kind == "wire"),
        cable=_cable(start, end, v, around, say),
        shield_to=_shield(kind, v, raw.origin, around, say),
        shield_cut=v.get("shield cut", False),
        via=tuple(g.value for g in v.get("via", ()) if isinstance(g.value, Point)),
        channels=_channels(v, around, say),
        along_wall=v.get("along wall", False),
        over=_named_parts("over", v, around, say),
        under=_named_parts("under", v, around, say),
        apart_from=tuple(g.value for g in v.get("apart from", ())),
        twisted_with=v.get("twisted with", ""),
        reused=v.get("reused", False),
        bus=bus,
        remark=v.get("note", ""),
        place=raw.place,
    )


def _two_ends(start: End, end: End, raw: RawLead, say: Diagnostics) -> bool:
    if start == end and start.known:
        say.add(INP_321, raw.place, f"this lead goes from {start} to itself{raw.origin}",
                "Name the lug at its other end, or the word unknown.")
        return False
    if not start.known and not end.known:
        say.add(INP_321, raw.place, f"neither end of this lead is a lug{raw.origin}", "Name one lug at least.")
        return False
    return True


def _colour(start: End, end: End, v: Values, around: Surroundings, say: Diagnostics) -> LeadColour | None:
    """The colour said, or that of the conductor; a lead cannot have another colour than its conductor."""
    said: LeadColour | None = v.get("colour")
    own: list[tuple[End, LeadColour]] = []
    for e in (start, end):
        part = around.parts.parts.get(e.part)
        if part is not None and e.lug in part.colours:
            own.append((e, part.colours[e.lug]))
    if said is None:
        return own[0][1] if own else None
    if own and said not in [c for _, c in own]:
        e, colour = own[0]
        say.add(INP_322, v.at("colour"), f"this lead is said to be {said.word}, but {e} is {colour.word} "
                "by the colours of its part")
    return said


def _kind(
    start: End, end: End, colour: LeadColour | None, v: Values, bus: str, around: Surroundings, say: Diagnostics
) -> str:
    """The kind said, or the one that follows from the lugs."""
    lugs = (around.lug_kind(start), around.lug_kind(end))
    if v.has("kind"):
        kind: str = v.get("kind")
        if kind == "leg" and "leg" not in lugs:
            say.add(INP_323, v.at("kind"), f"neither {start} nor {end} is the leg of a component",
                    "A leg belongs to a part hung by its own legs, such as a capacitor.")
        if kind == "bend" and start.known and end.known and start.part != end.part:
            say.add(INP_323, v.at("kind"), f"a lug of '{start.part}' cannot be bent to a lug of '{end.part}'",
                    "A lug bends to its own part; for the rest write a lead, or bare.")
        if kind in ("bend", "leg", "bridge", "sleeved") and not (start.known and end.known):
            say.add(INP_323, v.at("kind"), f"{_SPOKEN[kind]} joins two lugs, and one end here is none",
                    "Leave the kind out until both ends are known.")
        return kind
    if bus or (colour is not None and colour.bare):
        return "bare"
    if lugs == ("conductor", "conductor"):
        return "sleeved"
    wire_said = any(v.has(key) for key in ("colour", "gauge", "od", "length", "cloth", "shield to", "cable"))
    if "leg" in lugs and not wire_said and start.known and end.known:
        return "leg"
    return "wire"


_SPOKEN = {"bare": "a bare wire", "leg": "a component's leg", "bend": "a bent lug", "bridge": "a solder bridge",
           "sleeved": "a sleeved joint", "wire": "hook-up wire", "shielded": "shielded wire"}


def _fitting(kind: str, colour: LeadColour | None, v: Values, say: Diagnostics) -> None:
    """Remarks that the kind of lead cannot have."""
    if colour is not None and colour.bare and kind in ("wire", "shielded"):
        say.add(INP_324, v.at("colour"), f"{_SPOKEN[kind]} has an insulation, so it is not bare",
                "Delete one of the two words.")
    elif colour is not None and not colour.bare and kind in ("bare", "leg", "bend", "bridge") and v.has("colour"):
        say.add(INP_324, v.at("colour"), f"{_SPOKEN[kind]} has no insulation, so it is not {colour.word}",
                "Delete one of the two words.")
    for key in ("shield to", "shield cut"):
        if v.has(key) and kind != "shielded":
            say.add(INP_324, v.at(key), f"'{key}' belongs to a shielded lead", "Add the word shielded.")
    if kind in ("leg", "bend", "bridge", "sleeved"):
        for key in ("gauge", "od", "length", "cloth", "twisted with"):
            if v.has(key):
                say.add(INP_324, v.at(key), f"no wire is cut for {_SPOKEN[kind]}, so '{key}' says nothing",
                        "Delete it.")


def _cable(start: End, end: End, v: Values, around: Surroundings, say: Diagnostics) -> str:
    name: str = v.get("cable", "")
    if name and name not in around.cables:
        if name not in around.faulty:
            say.add(INP_325, v.at("cable"), f"there is no cable '{name}'",
                    nearest(name, around.cables) or "Describe it under 'cables'.")
        name = ""
    if name:
        return name
    return next((e.part for e in (start, end) if around.lug_kind(e) == "conductor"), "")


def _shield(kind: str, v: Values, origin: str, around: Surroundings, say: Diagnostics) -> tuple[End, ...]:
    found = (around.parts.find(g.value, say, origin) for g in v.get("shield to", ()))
    return tuple(e for e in found if e is not None and e.known) if kind == "shielded" else ()


def _channels(v: Values, around: Surroundings, say: Diagnostics) -> tuple[str, ...]:
    result = []
    for g in v.get("via", ()):
        if isinstance(g.value, Point):
            continue
        if g.value in around.channels:
            result.append(g.value)
        elif g.value not in around.faulty:
            say.add(INP_306, g.place, f"there is no channel '{g.value}'",
                    nearest(g.value, around.channels) or "For a place write two numbers: via 40 12.")
    return tuple(result)


def _named_parts(key: str, v: Values, around: Surroundings, say: Diagnostics) -> tuple[str, ...]:
    result = []
    for g in v.get(key, ()):
        if g.value in around.parts.parts:
            result.append(g.value)
        elif g.value not in around.parts.failed:
            say.add(INP_301, g.place, f"there is no part '{g.value}'", nearest(g.value, around.parts.parts))
    return tuple(result)


def _legs(part: Part) -> list[str]:
    return [n for n, kind in lug_kinds(part.symbol).items() if kind == "leg"][:2]


def plain_lead(start: End, end: End, kind: str, colour: LeadColour | None, place: Location, cable: str = "") -> Lead:
    """A lead of which nothing more is said."""
    return Lead(tag="", pinned=False, start=start, end=end, colour=colour, kind=kind, gauge=None, diameter=None,
                length=None, cloth=False, cable=cable, shield_to=(), shield_cut=False, via=(), channels=(),
                along_wall=False, over=(), under=(), apart_from=(), twisted_with="", reused=False, bus="", remark="",
                place=place)


def fold_legs(parts: Parts, leads: Sequence[Found]) -> list[Found]:
    """A component whose two legs are said one by one hangs between their lugs, as if ``between`` were written.

    Changes ``parts`` in place; returns the leads that are left.
    Legs that are more than plain (a tag or remark of their own) stay leads. Of two legs of which one could not be
    read, the other stays a lead, under the name it will have: neither takes a number.
    """
    dropped: set[int] = set()
    leads = _leg_names(parts, leads)
    on_lug = _ends_by_lug(leads)
    for name, part in list(parts.parts.items()):
        if not part.symbol.between_lugs or part.between is not None:
            continue
        found = [on_lug.get((name, lug), []) for lug in _legs(part)]
        if len(found) != 2 or any(len(ends) != 1 for ends in found):
            continue
        (i, first), (j, second) = found[0][0], found[1][0]
        plain = all(_plain_leg(leads[k]) for k in (i, j))
        if plain and i != j and first != second:
            parts.parts[name] = replace(part, between=(first, second))
            dropped |= {i, j}
    return [lead for i, lead in enumerate(leads) if i not in dropped]


def _plain_leg(lead: Found) -> bool:
    return isinstance(lead, Lead) and lead.kind == "leg" and not lead.pinned and not lead.remark


def _leg_names(parts: Parts, leads: Sequence[Found]) -> list[Found]:
    """The leads, with the legs of a component of which one could not be read named after it."""
    result = list(leads)
    on_lug = _ends_by_lug(leads)
    lost = {(lead.leg.part, lead.leg.lug): i for i, lead in enumerate(leads)
            if isinstance(lead, UnreadLead) and lead.leg}
    for name in dict.fromkeys(part for part, _ in lost):
        part = parts.parts[name]
        if not part.symbol.between_lugs or part.between is not None or len(_legs(part)) != 2:
            continue
        found = [[*(i for i, _ in on_lug.get((name, lug), [])), *([lost[name, lug]] if (name, lug) in lost else [])]
                 for lug in _legs(part)]
        if any(len(indices) != 1 for indices in found):
            continue
        legs = [(n, i, result[i]) for n, (i,) in enumerate(found, start=1)]
        if all(_plain_leg(lead) or isinstance(lead, UnreadLead) for _, _, lead in legs):
            for n, i, lead in legs:
                result[i] = replace(lead, tag=f"{name} leg {n}")
    return result


def _ends_by_lug(leads: Sequence[Found]) -> dict[tuple[str, str], list[tuple[int, End]]]:
    """Lug -> every lead on it: its index and its other end."""
    result: dict[tuple[str, str], list[tuple[int, End]]] = {}
    for i, lead in enumerate(leads):
        if isinstance(lead, UnreadLead):
            continue
        for mine, other in ((lead.start, lead.end), (lead.end, lead.start)):
            result.setdefault((mine.part, mine.lug), []).append((i, other))
    return result


def give_tags(leads: Sequence[Found], say: Diagnostics) -> tuple[Found, ...]:
    """Tags W01, W02, ... (J01, ... for what needs no wire) in order, past the pinned ones.

    A lead that could not be read keeps its number: it is not given to the next.
    """
    pinned: dict[str, Location] = {}
    for lead in leads:
        if not lead.pinned:
            continue
        first = pinned.setdefault(_plain_tag(lead.tag), lead.place)
        if first != lead.place:
            say.add(INP_326, lead.place, f"the tag {lead.tag} is given twice; first on line {first.line}")
    counts = {"W": 0, "J": 0}
    result: list[Found] = []
    for lead in leads:
        if lead.tag or (isinstance(lead, UnreadLead) and not lead.counts):
            result.append(lead)
            continue
        letter = "W" if lead.is_wire else "J"
        counts[letter] += 1
        while f"{letter}{counts[letter]}" in pinned:
            counts[letter] += 1
        result.append(replace(lead, tag=f"{letter}{counts[letter]:02d}"))
    return tuple(result)


def _plain_tag(tag: str) -> str:
    """The tag without leading zeros in its number: W7 and W07 are one tag."""
    return re.sub(r"(?<=[A-Z])0+(?=\d)", "", tag)


def check_tags(leads: Sequence[Found], say: Diagnostics) -> None:
    """Tags named by 'apart from' and 'twisted with' must exist."""
    tags = [lead.tag for lead in leads]
    for lead in kept(leads):
        for tag in (*lead.apart_from, *([lead.twisted_with] if lead.twisted_with else [])):
            if tag == lead.tag:
                say.add(INP_327, lead.place, f"the lead {tag} names itself", "Name the other lead.")
            elif tag not in tags:
                say.add(INP_327, lead.place, f"there is no lead {tag}",
                        "Give the other lead a tag of its own: 'tag W07'.")
