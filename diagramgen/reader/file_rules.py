"""Rules across the build that a field table cannot see, and that need no circuit and no placing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, nearest
from diagramgen.model.build import Build, End, Lead, Part
from diagramgen.reader.codes import INP_301, INP_328, INP_329, INP_330, INP_331, INP_332

_NO_ROOM_TAKEN = ("bend", "bridge")
"""Kinds of joint that take no place in an eyelet."""


def check_build(build: Build, say: Diagnostics) -> None:
    """Say every fault of a build that was read."""
    _doubled(build, say)
    _crowded(build, say)
    _mounted(build, say)
    if not say.has_errors:  # a faulty lead line is no reason to say that its part has no leads
        _legs(build, say)
        _untouched(build, say)


def ends_of(lead: Lead) -> Iterator[End]:
    """The ends of a lead that are lugs."""
    return (end for end in (lead.start, lead.end) if end.known)


def _doubled(build: Build, say: Diagnostics) -> None:
    seen: dict[frozenset[End], Lead] = {}
    for lead in build.leads:
        if not (lead.start.known and lead.end.known):
            continue
        key = frozenset((lead.start, lead.end))
        first = seen.setdefault(key, lead)
        if first is lead:
            continue
        if first.colour != lead.colour and first.colour and lead.colour:
            say.add(INP_328.at(Severity.WARNING), lead.place, f"{lead.start} and {lead.end} are joined by two leads; "
                    f"the other is on line {first.place.line}", "One is enough.")
        else:
            say.add(INP_328, lead.place, f"{lead.start} and {lead.end} are joined already on line {first.place.line}",
                    "Delete one of the two.")


def _crowded(build: Build, say: Diagnostics) -> None:
    counts: dict[tuple[str, str], list[Lead | None]] = {}
    for lead in build.leads:
        if lead.kind in _NO_ROOM_TAKEN:
            continue
        for end in ends_of(lead):
            counts.setdefault((end.part, end.lug), []).append(lead)
    for part in build.parts.values():
        for end in part.between or ():
            counts.setdefault((end.part, end.lug), []).append(None)
    rooms = {name: _rooms(part) for name, part in build.parts.items()}
    for (name, lug), leads in counts.items():
        room = rooms[name].get(lug)
        # One bare wire through a lug is one wire, though two stretches of it end there.
        wires = len({(lead and lead.bus) or f"{i}" for i, lead in enumerate(leads)})
        if room is not None and wires > room:
            last = next((lead.place for lead in reversed(leads) if lead), build.parts[name].place)
            say.add(INP_329, last,
                    f"{name}.{lug} has room for {room} wire{'s' if room > 1 else ''}, and {wires} go there")


def _rooms(part: Part) -> Mapping[str, int]:
    """Wires each lug takes; a spot on a case is a surface, where a second joint stands beside the first."""
    patterns = (p for p in part.symbol.drawing.lugs if p.kind != "spot")
    return {name: p.takes for p in patterns for row in p.names for name in row if name}


def _legs(build: Build, say: Diagnostics) -> None:
    lugs: dict[str, set[str]] = {}
    for lead in build.leads:
        for end in ends_of(lead):
            lugs.setdefault(end.part, set()).add(end.lug)
    for part in build.parts.values():
        if not part.symbol.between_lugs or part.between is not None or "between" in part.places:
            continue
        touched = sorted(lugs.get(part.name, ()))
        if len(touched) < 2:
            where = f"only '{touched[0]}' is joined" if touched else "neither leg is joined"
            say.add(INP_330, part.place, f"'{part.name}' hangs by its legs, but {where}")


def _untouched(build: Build, say: Diagnostics) -> None:
    touched = {end.part for lead in build.leads for end in ends_of(lead)}
    touched |= {end.part for lead in build.leads for end in lead.shield_to}
    touched |= {end.part for cable in build.cables.values() for end in cable.shield_to}
    touched |= {end.part for part in build.parts.values() for end in part.between or ()}
    touched |= {part.mounted_on for part in build.parts.values()}
    for part in build.parts.values():
        if part.name not in touched and not part.symbol.between_lugs:
            say.add(INP_331, part.place, f"no lead touches '{part.name}'")


def _mounted(build: Build, say: Diagnostics) -> None:
    for part in build.parts.values():
        if part.mounted_on == part.name:
            say.add(INP_332, part.places.get("mounted on", part.place), f"'{part.name}' is mounted on itself",
                    "Name the plate or shield it sits on.")


def check_mounting(parts: Mapping[str, Part], failed: frozenset[str], say: Diagnostics) -> dict[str, Part]:
    """Parts whose ``mounted on`` names a part; the others are said and lose it."""
    result = {}
    for name, part in parts.items():
        on = part.mounted_on
        if on and on not in parts:
            if on not in failed:
                say.add(INP_301, part.places.get("mounted on", part.place), f"there is no part '{on}'",
                        nearest(on, parts))
            part = _without(part)
        elif on and not parts[on].symbol.metal:
            say.add(INP_332, part.places.get("mounted on", part.place), f"'{on}' has no metal to mount '{name}' on",
                    "Name a plate or shield part.")
            part = _without(part)
        result[name] = part
    return result


def _without(part: Part) -> Part:
    return replace(part, mounted_on="")
