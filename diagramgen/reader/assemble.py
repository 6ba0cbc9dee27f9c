"""From what was read to parts of the model: symbols looked up, values and colours held against them."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from diagramgen.kernel.colours import LeadColour
from diagramgen.kernel.diagnostics import Diagnostics, Location, nearest
from diagramgen.kernel.provenance import Sources
from diagramgen.kernel.units import number
from diagramgen.library.catalogue import Catalogue
from diagramgen.library.model import Dimension, Symbol
from diagramgen.model.build import Cavity, Channel, End, Part
from diagramgen.reader.codes import (
    INP_301,
    INP_302,
    INP_303,
    INP_304,
    INP_306,
    INP_315,
    INP_316,
    INP_317,
    INP_318,
    INP_319,
    INP_320,
)
from diagramgen.reader.groups import Expanded, RawPart
from diagramgen.reader.metered_values import read_metered
from diagramgen.reader.values import read_values
from diagramgen.yamlfile.schema_fields import Located

ABSURD = 6.0
"""A measure more than this many times the typical one, or less than its share, is a slip (common practice)."""
LEVEL = 3.0
"""mm: a measure below this may differ from the typical one by any factor."""


@dataclass
class Parts:
    """The parts of a build by name, and how an end is found among them."""

    parts: dict[str, Part] = field(default_factory=dict)
    origins: dict[str, str] = field(default_factory=dict)
    failed: set[str] = field(default_factory=set)
    """Names whose part could not be made; faults of theirs are already said."""
    placings: Mapping[str, Location] = field(default_factory=dict)
    gives: Mapping[tuple[str, str], End] = field(default_factory=dict)
    outer: set[Location] = field(default_factory=set)
    """Places of ends named where a group is placed: no fault of the group."""
    blind: bool = False
    """The parts could not be read at all: no name is then said to be missing."""

    def find(self, end: End, say: Diagnostics, origin: str = "") -> End | None:
        """The end with its lug's true name; None after a problem was said (or where one was said before)."""
        if not end.known:
            return end
        if end.place in self.outer:
            origin = ""
        given = self.gives.get((end.part, end.lug))
        if given is not None:
            found = self.find(given, say, origin)
            return None if found is None else replace(found, place=end.place)
        part = self.parts.get(end.part)
        if part is None:
            if not self.blind and end.part not in self.failed and end.part.rpartition("-")[0] not in self.failed:
                self._unknown(end, say, origin)
            return None
        lug = lug_named(part.symbol, end.lug)
        if lug is None:
            say.add(INP_302, end.place, f"'{end.part}' ({part.symbol.name}) has no lug '{end.lug}'{origin}",
                    nearest(end.lug, part.symbol.lug_names(), limit=30))
            return None
        return End(end.part, lug, end.place)

    def _unknown(self, end: End, say: Diagnostics, origin: str) -> None:
        if end.part in self.placings:
            names = [lug for group, lug in self.gives if group == end.part]
            members = [p for p in self.parts if p.startswith(end.part + "-")]
            say.add(INP_302, end.place, f"'{end.part}' is a group and gives no '{end.lug}'{origin}",
                    nearest(end.lug, names) if names else f"Its parts: {', '.join(members)}.")
            return
        say.add(INP_301, end.place, f"there is no part '{end.part}'{origin}", nearest(end.part, self.parts))


def lug_named(symbol: Symbol, typed: str) -> str | None:
    """The lug meant by a typed name: exactly, or with hyphens for blanks, or by the word printed beside it."""
    names = symbol.lug_names()
    if typed in names:
        return typed
    plain = typed.replace("-", " ")
    same = [n for n in names if n.replace("-", " ") == plain]
    same = same or [n for n, word in symbol.lug_words.items() if word.lower() == typed and n in names]
    return same[0] if len(same) == 1 else None


def lug_kinds(symbol: Symbol) -> dict[str, str]:
    """Lug -> what takes the solder there."""
    return {n: p.kind for p in symbol.drawing.lugs for row in p.names for n in row if n}


def make_parts(
    expanded: Expanded,
    cavities: Mapping[str, Cavity],
    channels: Mapping[str, Channel],
    faulty: frozenset[str],
    shelf: tuple[Catalogue, Sources],
    say: Diagnostics,
) -> Parts:
    """Every part whose symbol is known; ``faulty`` are cavities and channels that were given but are no use."""
    result = Parts(origins={n: r.origin for n, r in expanded.parts.items()}, failed=set(expanded.failed),
                   placings=expanded.placings, gives=expanded.gives, outer=expanded.outer)
    for name, raw in expanded.parts.items():
        symbol = _symbol(raw, shelf, say)
        if symbol is None:
            result.failed.add(name)
        else:
            result.parts[name] = _part(name, raw, symbol, _Where(cavities, channels, faulty), say)
    for name, part in result.parts.items():
        pair = expanded.parts[name].values.get("between")
        if pair is not None:
            result.parts[name] = _hung(part, pair, result, say)
    return result


def _symbol(raw: RawPart, shelf: tuple[Catalogue, Sources], say: Diagnostics) -> Symbol | None:
    catalogue, sources = shelf
    name = raw.values.get("symbol")
    place = raw.place if raw.origin else raw.values.at("symbol")
    if name not in catalogue:
        close = difflib.get_close_matches(name, catalogue, n=3, cutoff=0.55)
        say.add(INP_303, place, f"there is no symbol '{name}'{raw.origin}",
                (f"Near it: {', '.join(close)}. " if close else "") + "'diagramgen symbols' lists all.")
        return None
    try:
        symbol = catalogue[name]
    except KeyError:
        say.extend(p for p in catalogue.say if p.place.file == catalogue.file(name).name)
        say.add(INP_303, place, f"the symbol '{name}' cannot be used{raw.origin}", "Its file has faults of its own.")
        return None
    sources.note(f"symbol:{symbol.name}", catalogue.file(name).read_bytes())
    return symbol


@dataclass(frozen=True)
class _Where:
    cavities: Mapping[str, Cavity]
    channels: Mapping[str, Channel]
    faulty: frozenset[str]


def _part(name: str, raw: RawPart, symbol: Symbol, where: _Where, say: Diagnostics) -> Part:
    v = raw.values
    values, places = read_values(symbol, v.get("value", ()), v.get("values", {}), say)
    cavity, through = _location(name, raw, symbol, where, say)
    return Part(
        name=name,
        symbol=symbol,
        says=v.get("says", name),
        cavity=cavity,
        through=through,
        at=None if through else v.get("at"),
        turned=v.get("turned", 0.0),
        dimensions=_dimensions(symbol, v.get("dimensions", {}), say),
        values=values,
        colours=_colours(name, symbol, v.get("colours", {}), say),
        between=None,
        mounted_on=v.get("mounted on", ""),
        wood=v.get("wood above"),
        cable_length=v.get("cable length"),
        knob_bore=v.get("knob bore"),
        note=v.get("note", ""),
        place=raw.place,
        places={**v.places(), **places},
        meant=v.get("meant", ""),
        metered=read_metered(name, symbol, v.get("metered", {}), values, say),
    )


def _location(name: str, raw: RawPart, symbol: Symbol, where: _Where, say: Diagnostics) -> tuple[str, str]:
    """The cavity and the channel of a part; at most one of the two is given."""
    v = raw.values
    cavity, through = v.get("in", ""), v.get("through", "")
    if cavity and cavity not in where.cavities:
        if cavity not in where.faulty:
            say.add(INP_306, v.at("in"), f"'{name}' is in the cavity '{cavity}', which does not exist",
                    nearest(cavity, where.cavities) or "This build has no cavity.")
        cavity = ""
    if through and through not in where.channels:
        if through not in where.faulty:
            say.add(INP_306, v.at("through"), f"'{name}' comes through the channel '{through}', which does not exist",
                    nearest(through, where.channels) or "This build has no channels.")
        return "", ""
    if through and (cavity or v.get("at") is not None):
        key = "in" if cavity else "at"
        say.add(INP_315, v.at(key), f"'{name}' comes through the channel '{through}', so it lies outside, "
                f"but '{key}' places it inside a cavity", f"Delete '{key}' or 'through'.")
        return "", through
    if not cavity and not through and (v.get("at") is not None or symbol.mounting.side != "none"):
        if len(where.cavities) == 1:
            cavity = next(iter(where.cavities))
        elif len(where.cavities) > 1 and v.get("at") is not None:
            say.add(INP_306, v.at("at"), f"'{name}' has a place but does not say in which cavity",
                    f"Add 'in: ' with one of {', '.join(where.cavities)}.")
    return cavity, through


def _dimensions(symbol: Symbol, given: Mapping[str, Located[float]], say: Diagnostics) -> dict[str, float]:
    result: dict[str, float] = {}
    for typed, g in given.items():
        name = typed.replace(" ", "-")
        known = symbol.dimensions.get(name)
        if known is None:
            say.add(INP_304, g.place, f"{symbol.name} has no dimension '{typed}'",
                    nearest(name, symbol.dimensions, limit=30))
        elif not _plausible(g.value, known):
            say.add(INP_316, g.place, f"{number(g.value)} mm is absurd for '{name}' ({known.says}); "
                    f"{number(known.value)} mm is typical")
        else:
            result[name] = g.value
    return result


def _plausible(value: float, known: Dimension) -> bool:
    if value == 0:
        return known.value == 0
    if value <= LEVEL and known.value <= LEVEL:
        return True
    return known.value / ABSURD <= value <= known.value * ABSURD


def _colours(
    name: str, symbol: Symbol, given: Mapping[str, Located[LeadColour]], say: Diagnostics
) -> dict[str, LeadColour]:
    kinds = lug_kinds(symbol)
    conductors = [lug for lug, kind in kinds.items() if kind == "conductor"]
    result: dict[str, LeadColour] = {}
    for typed, g in given.items():
        lug = lug_named(symbol, typed)
        if lug is None:
            say.add(INP_302, g.place, f"'{name}' ({symbol.name}) has no lug '{typed}'",
                    nearest(typed, conductors or kinds))
        elif kinds[lug] != "conductor":
            say.add(INP_317, g.place, f"'{lug}' of '{name}' is no conductor of its own cable, so it has no colour",
                    f"Its conductors: {', '.join(conductors)}." if conductors
                    else "Give the colour on the lead line.")
        else:
            _same_colour(name, lug, g, result, say)
            result[lug] = g.value
    return result


def _same_colour(
    name: str, lug: str, given: Located[LeadColour], before: Mapping[str, LeadColour], say: Diagnostics
) -> None:
    same = [other for other, colour in before.items() if colour == given.value and not colour.bare]
    if same:
        say.add(INP_318, given.place, f"'{same[0]}' and '{lug}' of '{name}' are both {given.value.word}")


def _hung(part: Part, pair: Iterable[End], parts: Parts, say: Diagnostics) -> Part:
    place = part.places.get("between", part.place)
    origin = parts.origins.get(part.name, "")
    if not part.symbol.between_lugs:
        say.add(INP_319, place, f"'{part.name}' ({part.symbol.name}) has no legs to hang by{origin}",
                "Give it a place with 'at', and leads.")
        return part
    first, second = (parts.find(end, say, origin) for end in pair)
    if first is None or second is None:
        return replace(part, places={**part.places, "between": place})
    if not first.known or not second.known:
        none = second if first.known else first
        say.add(INP_319, place, f"'{part.name}' hangs between two lugs, and '{none}' is none",
                "Leave 'between' out and write a lead line for the leg that is known.")
        return part
    if first == second:
        say.add(INP_320, place, f"both legs of '{part.name}' are on the same lug {first}{origin}",
                "One of them goes elsewhere.")
        return part
    if part.name in (first.part, second.part):
        say.add(INP_320, place, f"'{part.name}' hangs on itself{origin}", "Name the lugs of other parts.")
        return part
    return replace(part, between=(first, second))
