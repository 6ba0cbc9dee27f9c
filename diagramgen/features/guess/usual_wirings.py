"""The usual wirings of given parts: pickups in series, parallel or one coil; volumes for all or each; by throw."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from diagramgen.circuit.net_roles import jacks
from diagramgen.kernel.diagnostics import Location
from diagramgen.kernel.errors import NotAvailable
from diagramgen.model.build import Build, End, Lead, Part

MODES = {"series": 4.0, "parallel": 0.7, "slug coil only": 0.5, "screw coil only": 0.5}
"""How a dual coil is usually wired, and how often (a judgement from memory, no source)."""
VOLUMES = {"one volume for all": 2.0, "a volume each, either at 0 silences both": 2.0,
           "a volume each, independent": 1.0, "no volume": 0.3}
MOST = 4000
"""Wirings tried at most."""


@dataclass(frozen=True)
class Usual:
    """One usual wiring: its leads, and each choice it is made of, in words."""

    leads: tuple[Lead, ...]
    choices: tuple[tuple[str, str], ...]
    """(what is chosen, how), such as ``("neck", "series")``."""
    weight: float

    @property
    def words(self) -> str:
        """For a technician."""
        return "; ".join(f"{what}: {how}" for what, how in self.choices)


@dataclass(frozen=True)
class Selector:
    """A selector by its closure table: the throws a pickup may be on, and its commons."""

    part: Part
    throws: tuple[str, ...]
    commons: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Parts:
    """The parts of a build as a wiring uses them."""

    build: Build
    jack: Part
    pickups: tuple[Part, ...]
    volumes: tuple[Part, ...]
    selector: Selector | None
    splitter: Part | None = None
    """A pot with a switch on its shaft, which may split dual coils."""
    place: Location = field(default=Location("", 1, 1))


def parts_of(build: Build) -> Parts:
    """The parts of a build. Raises ``NotAvailable`` without an output jack or without pickups."""
    found = jacks(build)
    if not found:
        raise NotAvailable("the build has no output jack, so nothing can be metered there")
    pickups = tuple(p for p in build.parts.values() if _coil_ends(p))
    if not pickups:
        raise NotAvailable("the build has no pickup with coils")
    pots = [p for p in build.parts.values() if any(e.kind == "track" for e in p.symbol.elements)
            and {"zero", "wiper", "ten"} <= set(p.symbol.lug_names())]
    volumes = [p for p in pots if "vol" in f"{p.name} {p.says}".lower()] or pots[:1]
    switches = [p for p in build.parts.values() if p.symbol.contacts and p is not found[0] and p not in pots]
    selector = max((s for s in (_selector(p) for p in switches) if s is not None), key=lambda s: len(s.throws),
                   default=None)
    splitter = next((p for p in pots if p.symbol.contacts and "a common" in p.symbol.lug_names()), None)
    return Parts(build, found[0], pickups, tuple(volumes), selector, splitter, found[0].place)


def _coil_ends(part: Part) -> list[tuple[str, str]]:
    return [(e.ends["start"], e.ends["finish"]) for e in part.symbol.elements if e.kind == "coil"]


def _selector(part: Part) -> Selector | None:
    """The first pole of a selector: commons by name, throws in the order of its lugs."""
    lugs = list(dict.fromkeys(n for t in part.symbol.contacts for r in t.rows for j in r.joins for n in j))
    pole = [n for n in lugs if n.startswith("a ")] or lugs
    commons = tuple(n for n in pole if "common" in n or "centre" in n)
    throws = tuple(sorted((n for n in pole if n not in commons), key=part.symbol.lug_names().index))
    return Selector(part, throws, commons) if commons and len(throws) > 1 else None


def is_dual(part: Part) -> bool:
    """Whether both coils of a pickup have both ends of their own."""
    ends = _coil_ends(part)
    return len(ends) == 2 and len({x for pair in ends for x in pair}) == 4


def usual_wirings(parts: Parts) -> Iterator[Usual]:
    """Every usual wiring of these parts, at most ``MOST``."""
    yield from itertools.islice(_wirings(parts), MOST)


def _wirings(parts: Parts) -> Iterator[Usual]:
    ways = [list(_pickup_ways(p)) for p in parts.pickups]
    throws: list[tuple[str, ...]] = [()]
    if parts.selector is not None:
        count = min(len(parts.pickups), len(parts.selector.throws))
        throws = list(itertools.permutations(parts.selector.throws, count))
    for chosen in itertools.product(*ways):
        for volume, how_often in VOLUMES.items():
            if not _possible(parts, volume):
                continue
            for order in throws:
                for split in (False, True) if _may_split(parts, chosen) else (False,):
                    yield _usual(parts, chosen, volume, order, split, how_often)


def _pickup_ways(part: Part) -> list[str]:
    return list(MODES) if is_dual(part) else [""]


def _possible(parts: Parts, volume: str) -> bool:
    if volume == "no volume":
        return not parts.volumes
    each = len(parts.volumes) > 1 and len(parts.volumes) >= len(parts.pickups)
    return bool(parts.volumes) and (each if volume.startswith("a volume each") else len(parts.volumes) == 1)


def _may_split(parts: Parts, chosen: Sequence[str]) -> bool:
    duals = [how for p, how in zip(parts.pickups, chosen, strict=True) if is_dual(p)]
    return parts.splitter is not None and 0 < len(duals) <= 2 and all(how == "series" for how in duals)


def _usual(
    parts: Parts, chosen: Sequence[str], volume: str, order: Sequence[str], split: bool, weight: float
) -> Usual:
    maker = _Maker(parts)
    choices = []
    for i, (pickup, how) in enumerate(zip(parts.pickups, chosen, strict=True)):
        hot, ground = maker.pickup(pickup, how)
        maker.join(ground, parts.jack.name, "sleeve")
        weight *= MODES.get(how, 1.0)
        if how:
            choices.append((pickup.says, how))
        out = maker.volume(parts.volumes[i], hot, volume) if volume.startswith("a volume each") else hot
        maker.to_selector(out, order[i] if i < len(order) else "")
        if i < len(order) and parts.selector is not None:
            choices.append((f"{pickup.says} is on", f"{parts.selector.part.says} {order[i]}"))
    maker.output(volume)
    if parts.volumes:
        choices.append(("volume", volume))
    if split and parts.splitter is not None:
        maker.split(parts.splitter)
        choices.append((f"{parts.splitter.says} pulled or pushed", "splits the dual coils"))
        weight *= 0.7
    return Usual(tuple(maker.leads), tuple(choices), weight)


class _Maker:
    """Lays the leads of one wiring."""

    def __init__(self, parts: Parts):
        self.parts = parts
        self.leads: list[Lead] = []
        self.links: list[str] = []
        """Series links of dual coils, where a split would ground them."""

    def join(self, lug: str, part: str, other: str) -> None:
        own, _, name = lug.partition(".")
        self.leads.append(_lead(len(self.leads) + 1, End(own, name, self.parts.place),
                                End(part, other, self.parts.place)))

    def pickup(self, part: Part, how: str) -> tuple[str, str]:
        """Join the coils of a pickup; returns its hot and its ground lug."""
        pairs = _coil_ends(part)
        if not how:
            first, last = pairs[0], pairs[-1]
            used = [x for pair in pairs for x in pair]
            free = [x for x in dict.fromkeys(used) if used.count(x) == 1] or [first[0], last[1]]
            metal = {lug for m in part.symbol.metal for lug in m.lugs}
            ground = next((x for x in free if x in metal), free[0])
            hot = next(x for x in reversed(free) if x != ground)
            return f"{part.name}.{hot}", f"{part.name}.{ground}"
        (a_start, a_finish), (b_start, b_finish) = pairs
        own = {k: f"{part.name}.{v}" for k, v in
               {"as": a_start, "af": a_finish, "bs": b_start, "bf": b_finish}.items()}
        if how == "series":
            self.join(own["af"], part.name, b_finish)
            self.links.append(own["af"])
            return own["as"], own["bs"]
        if how == "parallel":
            self.join(own["as"], part.name, b_finish)
            self.join(own["af"], part.name, b_start)
            return own["as"], own["af"]
        return (own["as"], own["af"]) if how.startswith("slug") else (own["bf"], own["bs"])

    def volume(self, pot: Part, hot: str, how: str) -> str:
        """Put a volume behind a pickup; returns where its signal comes out."""
        self.join(f"{pot.name}.zero", self.parts.jack.name, "sleeve")
        into, out = ("wiper", "ten") if how.endswith("independent") else ("ten", "wiper")
        self.join(hot, pot.name, into)
        return f"{pot.name}.{out}"

    def to_selector(self, out: str, throw: str) -> None:
        """To a throw of the selector; where there is none, all meet at the output."""
        selector = self.parts.selector
        if selector is not None and throw:
            self.join(out, selector.part.name, throw)
        else:
            self.leads.append(replace(_lead(len(self.leads) + 1, _end(out, self.parts.place), self._meeting())))

    def _meeting(self) -> End:
        selector = self.parts.selector
        if selector is not None:
            return End(selector.part.name, selector.commons[0], self.parts.place)
        if len(self.parts.volumes) == 1:
            return End(self.parts.volumes[0].name, "ten", self.parts.place)
        return End(self.parts.jack.name, "tip", self.parts.place)

    def output(self, volume: str) -> None:
        """From the selector's commons to the jack, through the one volume where there is one."""
        selector, jack = self.parts.selector, self.parts.jack.name
        alone = volume == "one volume for all"
        pot = self.parts.volumes[0].name if alone else ""
        if selector is not None:
            for common in selector.commons:
                self.join(f"{selector.part.name}.{common}", pot or jack, "ten" if pot else "tip")
        if pot:
            self.join(f"{pot}.wiper", jack, "tip")
            self.join(f"{pot}.zero", jack, "sleeve")

    def split(self, pot: Part) -> None:
        """Ground the series links with the row of the switch that closes when it is pulled."""
        rows = next(t for t in pot.symbol.contacts).rows
        pulled = rows[-1].joins
        for link, pole in zip(self.links, ("a", "b"), strict=False):
            group = next((j for j in pulled if f"{pole} common" in j), ())
            throw = next((n for n in group if "common" not in n), "")
            if throw:
                self.join(link, pot.name, f"{pole} common")
                self.join(f"{pot.name}.{throw}", self.parts.jack.name, "sleeve")


def _end(key: str, place: Location) -> End:
    part, _, lug = key.partition(".")
    return End(part, lug, place)


def _lead(number: int, start: End, end: End) -> Lead:
    return Lead(f"U{number:02}", False, start, end, None, "wire", None, None, None, False, "", (), False, (), (), False,
                (), (), (), "", False, "", "", start.place)


def wired(build: Build, usual: Usual) -> Build:
    """The build with these leads in place of its own; components that hang between lugs are left out."""
    parts: Mapping[str, Part] = {n: replace(p, between=None) for n, p in build.parts.items()}
    return replace(build, leads=usual.leads, parts=parts, cables={}, wanted=())
