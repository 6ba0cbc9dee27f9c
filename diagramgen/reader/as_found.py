"""Lug-by-lug entry: what is found on one lug, in the order it is seen.

``selector.common: red, capacitor, white to volume.ten`` says a red lead whose other end is not known, a leg
of the part ``capacitor``, and a white lead to another lug.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import PurePath

from diagramgen.kernel.codes import Severity
from diagramgen.kernel.colours import LeadColour, names
from diagramgen.kernel.diagnostics import Diagnostics, Location, nearest
from diagramgen.kernel.folding import folded
from diagramgen.kernel.provenance import Sources
from diagramgen.model.build import UNKNOWN, AsFound, Build, End, Lead, UnreadLead
from diagramgen.reader.assemble import Parts, lug_kinds
from diagramgen.reader.codes import INP_321, INP_323, INP_345
from diagramgen.reader.connections import plain_lead
from diagramgen.reader.grammar import EndKind, read_colour
from diagramgen.reader.lead_codes import INP_223
from diagramgen.reader.overlay import BASE, Overlay, Reader
from diagramgen.reader.unread import Found
from diagramgen.yamlfile.nodes import MappingNode, ScalarNode
from diagramgen.yamlfile.schema_fields import Located, Values

# ``as found: other.yaml``: the same instrument before the work, read beside the build.

KEY = "as found"


def read_as_found(
    own: MappingNode, top: Values, file: str, means: tuple[Sources, Reader], overlay: Overlay | None, say: Diagnostics
) -> AsFound | None:
    """The build as found; ``own`` is the file itself, without what it takes over from the one it changes."""
    if own.get(KEY) is not None and top.has(KEY):
        place = top.at(KEY)
        build = _read(top.get(KEY), place, file, means, say)
        return None if build is None else AsFound(build, place)
    base = own.get(BASE)
    return AsFound(overlay.base, base.place, named=False) if overlay is not None and base is not None else None


def _read(name: str, place: Location, file: str, means: tuple[Sources, Reader], say: Diagnostics) -> Build | None:
    sources, read = means
    path = PurePath(file).parent / name
    if path == PurePath(file):
        say.add(INP_345, place, f"'{name}' is this file itself", "Name the file of the instrument before the work.")
        return None
    data = sources.read(name, place, say)
    if data is None:
        return None
    aside = Diagnostics()
    build = read(data, str(path), sources.beside(), aside)
    say.extend(p for p in aside.sorted() if p.severity is not Severity.NOTE)
    if build is None or aside.has_errors:
        say.add(INP_345, place, f"'{name}', the instrument as found, has errors of its own", "Mend them first.")
        return None
    return build


def leads_on_lugs(given: Mapping[str, Located[tuple[ScalarNode, ...]]], parts: Parts, say: Diagnostics) -> list[Found]:
    """Leads, legs and bends said lug by lug; one said at both of its lugs counts once."""
    result: list[Found] = []
    seen: set[tuple[frozenset[End], LeadColour | None, str]] = set()
    legs: dict[str, int] = {}
    for typed, g in given.items():
        part, _, lug = typed.partition(".")
        here = parts.find(End(part, lug, g.place), say)
        for word in g.value:
            lead = None if here is None else _on_lug(here, word, parts, legs, say)
            if lead is None:
                # What is said of a lug may be said of its other end too: no number can be told from here on.
                result.append(UnreadLead("", False, True, f"{typed}: {word.text}", word.place, counts=False))
                continue
            key = (frozenset((lead.start, lead.end)), lead.colour, lead.kind)
            if not lead.end.known or key not in seen:
                result.append(lead)
            seen.add(key)
    return result


def _on_lug(here: End, word: ScalarNode, parts: Parts, legs: dict[str, int], say: Diagnostics) -> Lead | None:
    text = folded(word.text)
    colour = read_colour(word.text)
    if colour is not None:
        return _joined(here, End(UNKNOWN, "", word.place), colour, word)
    if text in parts.parts:
        return _leg(here, text, word, parts, legs, say)
    bent = re.fullmatch(r"bent to (.+)", text)
    to = re.fullmatch(r"(.+?) to (\S.*)", text)
    if bent:
        target = bent[1] if "." in bent[1] else f"{here.part}.{bent[1]}"
        end = _other(target, word, parts, say)
        if end is None:
            return None
        if end.part != here.part:
            say.add(INP_323, word.place, f"{here} cannot be bent to a lug of '{end.part}'",
                    "A lug bends to its own part.")
            return None
        return plain_lead(here, end, "bend", None, word.place)
    colour = read_colour(to[1]) if to else None
    if to and colour is not None:
        end = _other(to[2], word, parts, say)
        if end is not None and end == here:
            say.add(INP_321, word.place, f"this lead goes from {here} to itself", "Name the lug at its other end.")
            return None
        return None if end is None else _joined(here, end, colour, word)
    if text in parts.failed:
        return None
    say.add(INP_223, word.place, f"'{word.text}' is no colour, no part and no 'COLOUR to part.lug'",
            nearest(text.split(" ")[0], [*names(), *parts.parts]))
    return None


def _joined(here: End, end: End, colour: LeadColour, word: ScalarNode) -> Lead:
    return plain_lead(here, end, "bare" if colour.bare else "wire", colour, word.place)


def _other(text: str, word: ScalarNode, parts: Parts, say: Diagnostics) -> End | None:
    end = EndKind().read(ScalarNode(text, word.place), say)
    return None if end is None else parts.find(end, say)


def _leg(
    here: End, name: str, word: ScalarNode, parts: Parts, legs: dict[str, int], say: Diagnostics
) -> Lead | None:
    """The next leg of a component: first mention, first lug."""
    own = [n for n, kind in lug_kinds(parts.parts[name].symbol).items() if kind == "leg"]
    if not own:
        say.add(INP_223, word.place, f"'{name}' has no leg that could be on {here}",
                f"For a lead write its colour and where it goes: red to {name}.LUG.")
        return None
    count = legs.get(name, 0)
    if count >= len(own):
        say.add(INP_223, word.place, f"'{name}' has {len(own)} legs, but is named on more lugs than that",
                "Keep one mention a leg.")
        return None
    legs[name] = count + 1
    return plain_lead(here, End(name, own[count], word.place), "leg", None, word.place)
