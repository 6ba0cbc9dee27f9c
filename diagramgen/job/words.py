"""Lugs, kinds and ways of leads in the words of the shop."""

from __future__ import annotations

from diagramgen.layout.fit.wire_sizes import own_cable
from diagramgen.layout.model import Layout
from diagramgen.library.model import LugPattern
from diagramgen.model.build import PARKED, UNKNOWN, Build, End, Lead

KINDS = {
    "wire": "hook-up wire",
    "shielded": "shielded wire",
    "bare": "bare wire",
    "leg": "component leg",
    "bend": "lug bent to its case",
    "sleeved": "sleeved joint",
    "bridge": "bridge of solder",
}
SIGNAL = ("coil", "transducer")
"""Elements that make a part a pickup."""


def lug_word(build: Build, part: str, lug: str) -> str:
    """The word printed beside a lug."""
    found = build.parts.get(part)
    return found.symbol.lug_words.get(lug, lug) if found else lug


def end_words(build: Build, end: End) -> str:
    """An end as the shop says it: ``Volume wiper``; for no lug what is known of it."""
    if end.part == UNKNOWN:
        return "not known yet"
    if end.part == PARKED:
        return "capped and parked"
    part = build.parts.get(end.part)
    says = (part.says if part else "") or end.part
    word = lug_word(build, end.part, end.lug)
    called = says[:1].upper() + says[1:]
    return called if word.lower() == says.lower() else f"{called} {word}"


def kind_words(build: Build, lead: Lead) -> str:
    """What a lead is: ``hook-up wire``, ``conductor of the neck pickup cable``, ``lug bent to its case``."""
    if lead.kind == "sleeved":
        return KINDS["sleeved"]
    owner = own_cable(lead, build)
    if owner and lead.is_wire:
        says = build.parts[owner].says or owner
        return f"conductor of the {says} cable"
    if lead.cable in build.cables and lead.is_wire:
        return f"conductor of the cable {lead.cable}"
    if lead.cloth and lead.kind == "wire":
        return "cloth-covered wire"
    return KINDS[lead.kind]


def pattern_of(build: Build, end: End) -> LugPattern | None:
    """The lug pattern an end belongs to: its kind and how many wires one lug takes."""
    part = build.parts.get(end.part)
    if part is None:
        return None
    patterns = part.symbol.drawing.lugs
    return next((p for p in patterns if any(end.lug in row for row in p.names)), None)


def lug_kind(build: Build, end: End) -> str:
    """What takes the solder at an end: eyelet, spot, conductor ...; '' for no lug."""
    found = pattern_of(build, end)
    return found.kind if found else ""


def is_pickup(build: Build, part: str) -> bool:
    """Whether a part makes a signal: it holds a coil or a contact transducer."""
    found = build.parts.get(part)
    return found is not None and any(e.kind in SIGNAL for e in found.symbol.elements)


def channels_of(layout: Layout, lead: Lead) -> tuple[str, ...]:
    """The channels a lead passes, in the order of the file's channels where it does not say."""
    passed = {d.channel for d in layout.ports if lead.tag in d.slots}
    named = [c for c in lead.channels if c in layout.channels]
    return tuple(dict.fromkeys(named + [c for c in layout.channels if c in passed]))
