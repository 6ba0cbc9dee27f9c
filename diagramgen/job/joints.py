"""What there is to do at a build's lugs: which leads meet where, what is made outside, what goes in when."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from diagramgen.circuit.nets import is_shield
from diagramgen.job.words import channels_of, is_pickup, lug_kind
from diagramgen.layout.global_routing.global_route import is_floating, legs
from diagramgen.layout.model import Layout, PlacedPart
from diagramgen.model.build import Build, End, Lead

GROUP_ORDER = ("cases", "harness", "cavity", "channels", "pickups")
WAVES = {"cases": "outside", "harness": "outside", "cavity": "inside", "channels": "inside", "pickups": "pickups"}


@dataclass(frozen=True)
class Solder:
    """One lug soldered once, with everything that goes into it in one wave (outside | inside | pickups)."""

    key: str
    lug: str
    wave: str
    group: str
    tags: tuple[str, ...]
    loose: bool
    """Done on the loose part, before it is fixed anywhere: only lugs bent over."""


@dataclass(frozen=True)
class Work:
    """Joints and parts of a build, as far as their order needs them."""

    solders: tuple[Solder, ...]
    tinned: tuple[str, ...]
    """Case lugs (``part.lug``) that something is soldered to."""
    harness: Mapping[str, tuple[str, ...]]
    """Cavity -> parts that are wired outside it, on their plate or on the jig, and go in together."""
    fitted: Mapping[str, str]
    """Part fitted by itself -> the group before whose joints it is fitted."""
    hidden: frozenset[str]
    """Parts whose lugs no iron reaches once they are in."""
    wires: frozenset[str]
    """Tags of leads that are cut."""
    ends: Mapping[str, tuple[str, ...]]
    """Lead -> the parts at its ends."""
    group_of: Mapping[str, str]
    """Lead -> group it belongs to by its kind and way."""


def work_of(layout: Layout) -> Work:
    """Everything to be ordered, in the order of the file."""
    build = layout.build
    harness = _harness(layout)
    home = {part: cavity for cavity, parts in harness.items() for part in parts}
    leads = (*build.leads, *(g for g in legs(build) if g.tag not in {one.tag for one in build.leads}))
    group_of = {lead.tag: _group(lead, layout, home) for lead in leads}
    hidden = frozenset(name for name, placed in layout.parts.items() if _hidden(placed, layout))
    early = {lead.tag: _near_home(lead, layout, home, hidden, group_of[lead.tag]) for lead in leads}
    solders = tuple(_solders(leads, build, group_of, _Near(build, home, early)))
    tinned = dict.fromkeys(s.lug for s in solders
                           if _kind(build, s.lug) == "spot" and not is_shield(build.parts[s.lug.split(".", 1)[0]]))
    fitted = {name: _when(placed, solders) for name, placed in layout.parts.items()
              if name not in home and _mounted(placed)}
    return Work(
        solders, tuple(tinned), harness, fitted,
        hidden,
        frozenset(lead.tag for lead in leads if lead.is_wire),
        {lead.tag: tuple(dict.fromkeys(e.part for e in (lead.start, lead.end) if e.known)) for lead in leads},
        group_of,
    )


def _harness(layout: Layout) -> dict[str, tuple[str, ...]]:
    """Controls that share a plate, a field of holes, or measured places (a jig), two or more together."""
    found: dict[str, list[str]] = {}
    for name, placed in layout.parts.items():
        region = layout.regions.get(placed.region)
        cavity = region.cavity if region else None
        if cavity is None or placed.outside or placed.part.symbol.mounting.side != "wood" or is_floating(placed.part):
            continue
        if cavity.plate is not None or cavity.outline is None or (layout.to_scale and not placed.automatic):
            found.setdefault(cavity.name, []).append(name)
    return {cavity: tuple(parts) for cavity, parts in found.items() if len(parts) > 1}


def _group(lead: Lead, layout: Layout, home: Mapping[str, str]) -> str:
    build = layout.build
    if any(is_pickup(build, e.part) for e in (lead.start, lead.end)):
        return "pickups"
    if lead.kind == "bend":
        return "cases"
    homes = set(_homes(lead, layout, home))
    if len(homes) == 1 and "" not in homes:
        spots = [lug_kind(build, e) == "spot" for e in (lead.start, lead.end)]
        return "cases" if all(spots) else "harness"
    regions = {layout.parts[e.part].region for e in (lead.start, lead.end) if e.part in layout.parts}
    return "channels" if len(regions) > 1 or channels_of(layout, lead) else "cavity"


def _near_home(
    lead: Lead, layout: Layout, home: Mapping[str, str], hidden: frozenset[str], group: str
) -> str:
    """The harness at which a lead that leaves it is soldered while the harness lies outside, its far end long; ''.

    Not a kept lead, whose far end may still hold, nor a conductor that comes with its part, nor one to where no iron
    reaches: that end is soldered first.
    """
    ends = [e for e in (lead.start, lead.end) if e.known]
    if not lead.is_wire or lead.reused or group not in ("cavity", "channels") or len(ends) < 2:
        return ""
    if any(e.part in hidden or lug_kind(layout.build, e) == "conductor" for e in ends):
        return ""
    return next((found for found in _homes(lead, layout, home) if found), "")


@dataclass(frozen=True)
class _Near:
    """Which ends of leads that leave a harness are soldered outside with it."""

    build: Build
    home: Mapping[str, str]
    early: Mapping[str, str]

    def group(self, tag: str, lug: str, otherwise: str) -> str:
        """The group of a lead's joint at a lug."""
        part = self.build.parts[lug.split(".", 1)[0]]
        homes = {self.home.get(e.part, "") for e in part.between} if part.between else {self.home.get(part.name, "")}
        near = self.early.get(tag, "")
        return "harness" if near and homes == {near} else otherwise


def _homes(lead: Lead, layout: Layout, home: Mapping[str, str]) -> Iterator[str]:
    """The harness of each end; a component in the air belongs where its legs go."""
    for end in (lead.start, lead.end):
        part = layout.build.parts.get(end.part)
        if part is not None and part.between is not None:
            yield from (home.get(e.part, "") for e in part.between)
        else:
            yield home.get(end.part, "")


def _kind(build: Build, lug: str) -> str:
    part, _, name = lug.partition(".")
    return lug_kind(build, End(part, name, build.parts[part].place))


def _lugs(lead: Lead, build: Build) -> Iterator[str]:
    """Lugs at which a lead is soldered."""
    ends = [e for e in (lead.start, lead.end) if e.known]
    if lead.kind == "sleeved":
        yield from (str(e) for e in ends[:1])
        return
    kinds = [lug_kind(build, e) for e in ends]
    for end, kind in zip(ends, kinds, strict=True):
        if lead.kind == "bend" and kind != "spot" and "spot" in kinds:
            continue
        if kind != "conductor" and not (kind == "leg" and lead.kind == "leg"):
            yield str(end)
    yield from (str(e) for e in lead.shield_to if e.known)


def _solders(
    leads: tuple[Lead, ...], build: Build, group_of: Mapping[str, str], near: _Near
) -> Iterator[Solder]:
    met: dict[tuple[str, str], dict[str, str]] = {}
    bent = {lead.tag for lead in leads if lead.kind == "bend"}
    carried = {name: next((lead.tag for lead in leads if lead.cable == name), "") for name in build.cables}
    for lead in leads:
        extra = [str(e) for name, tag in carried.items() if tag == lead.tag
                 for e in build.cables[name].shield_to if e.known]
        for lug in dict.fromkeys((*_lugs(lead, build), *extra)):
            group = near.group(lead.tag, lug, group_of[lead.tag])
            met.setdefault((lug, WAVES[group]), {}).setdefault(lead.tag, group)
    for (lug, wave), tags in met.items():
        case = _kind(build, lug) == "spot"
        group = max(tags.values(), key=GROUP_ORDER.index)
        if wave == "outside":
            group = "cases" if case else group
        yield Solder(f"{lug} {wave}", lug, wave, group, tuple(tags), all(t in bent for t in tags))


def _mounted(placed: PlacedPart) -> bool:
    """Whether a part is fixed to the instrument by itself."""
    return not is_floating(placed.part) and placed.part.symbol.family not in ("splices",) and (
        placed.outside or placed.part.symbol.mounting.side != "none")


def _when(placed: PlacedPart, solders: tuple[Solder, ...]) -> str:
    """The first group, once things go in, that solders to a part; pickups with theirs."""
    if any(e.kind in ("coil", "transducer") for e in placed.part.symbol.elements):
        return "pickups"
    found = [s.group for s in solders if s.lug.split(".", 1)[0] == placed.part.name and s.wave != "outside"]
    return min(found, key=GROUP_ORDER.index, default="cavity")


def _hidden(placed: PlacedPart, layout: Layout) -> bool:
    region = layout.regions.get(placed.region)
    cavity = region.cavity if region else None
    if cavity is None or placed.outside:
        return False
    return cavity.plate is None and (cavity.outline is None or cavity.opened in ("side", "none"))
