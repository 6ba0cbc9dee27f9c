"""As found and as left: what becomes of every lead and part between two builds of one instrument.

A lead is known again by its two ends (whichever way round) and its colour, then by a tag that stands in both
files, then by one end and its colour: that one was moved. A part is known by its name. Where a part comes out or
another takes its place, its own conductors, legs and bent lugs go with it, and leads soldered to it come off.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from diagramgen.job.codes import CHG_301
from diagramgen.job.part_changes import PartChange, made_at_bench, part_changes
from diagramgen.job.words import lug_kind
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.layout.global_routing.global_route import legs
from diagramgen.model.build import PARKED, UNKNOWN, Build, End, Lead, Part

MOVABLE = ("wire", "shielded", "bare", "leg")
"""Kinds that may come off one joint and go to another."""
TAILS = {"conductor": ("wire", "shielded", "bare", "leg", "bend", "bridge"), "leg": ("leg",)}
"""Lug kind -> kinds of lead for which it is the lead's own root in its part: nothing is soldered there."""
SAME = 2.0
"""mm: outlines that differ by less are one cavity measured twice (common practice, no source)."""


@dataclass(frozen=True)
class LeadChange:
    """What becomes of one lead.

    ``what`` is one of stays, goes, comes, moves (off one lug, onto another), lifted (off and back on, because a
    part at its end is changed), shortened, renewed (too short to be put back), relaid (led another way), unsure
    (an end is not traced, so that it may or may not stay).
    """

    what: str
    found: Lead | None
    left: Lead | None
    opens: tuple[End, ...]
    """Joints it comes off, as found."""
    makes: tuple[End, ...]
    """Joints it is soldered into, as left."""

    @property
    def lead(self) -> Lead:
        """The lead as left, or as found where it goes."""
        found = self.left or self.found
        if found is None:
            raise ValueError("a change of no lead")
        return found

    @property
    def tag(self) -> str:
        """Its tag; both tags where they differ: ``W05 > W07``."""
        tags = [lead.tag for lead in (self.found, self.left) if lead is not None]
        return " > ".join(dict.fromkeys(tags))


@dataclass(frozen=True)
class Changes:
    """Everything that is done between two builds of one instrument."""

    found: Build
    left: Build
    parts: tuple[PartChange, ...]
    leads: tuple[LeadChange, ...]
    undoing: bool = False
    """Whether this leads back from as left to as found."""

    def leads_that(self, *what: str) -> tuple[LeadChange, ...]:
        """The leads of these fates, in order."""
        return tuple(c for c in self.leads if c.what in what)

    def parts_that(self, *what: str) -> tuple[PartChange, ...]:
        """The parts of these fates, in order."""
        return tuple(c for c in self.parts if c.what in what)

    def things_that(self, *what: str) -> tuple[PartChange, ...]:
        """The same without joints that are made at the bench: what is bought, charged, bagged and handed back."""
        return tuple(c for c in self.parts_that(*what) if not made_at_bench(c.part))

    @property
    def opened(self) -> tuple[End, ...]:
        """Every joint to open, once each."""
        return tuple(dict.fromkeys(e for c in self.leads for e in c.opens))

    @property
    def made(self) -> tuple[End, ...]:
        """Every joint to make, once each."""
        return tuple(dict.fromkeys(e for c in self.leads for e in c.makes))

    @property
    def any(self) -> bool:
        """Whether there is anything to do."""
        fates = [c.what for c in self.leads] + [c.what for c in self.parts]
        return any(what not in ("stays", "metered") for what in fates)


@dataclass(frozen=True)
class Counts:
    """What the work counts up to, for a price and a buying list."""

    joints_opened: int
    joints_made: int
    leads_out: int
    leads_in: int
    leads_moved: int
    leads_cut: int
    """Leads cut from the reel, and found ones cut shorter."""
    parts_out: int
    parts_in: int


def compare(found: Build, left: Build) -> Changes:
    """What is done to get from the first build to the second."""
    parts = part_changes(found, left)
    gone = frozenset(p.name for p in parts if p.what in ("out", "replaced"))
    new = frozenset(p.name for p in parts if p.what in ("in", "replaced"))
    return Changes(found, left, parts, _Match(found, left, gone, new).changes())


def counts(changes: Changes) -> Counts:
    """Joints, leads and parts counted."""
    coming = changes.leads_that("comes", "renewed")
    cut = [c for c in coming if _from_reel(changes.left, c.lead)] + list(changes.leads_that("shortened"))
    wires_out = [c for c in changes.leads_that("goes") if c.lead.is_wire]
    return Counts(len(changes.opened), len(changes.made), len(wires_out), sum(c.lead.is_wire for c in coming),
                  len(changes.leads_that("moves")), len(cut), len(changes.things_that("out", "replaced")),
                  len(changes.things_that("in", "replaced")))


def _from_reel(build: Build, lead: Lead) -> bool:
    own = any(lug_kind(build, e) == "conductor" for e in (lead.start, lead.end))
    return lead.is_wire and not own and not lead.reused and lead.cable not in build.cables


def undo(changes: Changes) -> Changes:
    """The way back: what was made is opened, what came goes; a lead cut shorter is made anew."""
    return Changes(changes.left, changes.found, tuple(p.turned() for p in changes.parts),
                   tuple(_turned(c, changes) for c in changes.leads), not changes.undoing)


def _turned(change: LeadChange, changes: Changes) -> LeadChange:
    what = {"comes": "goes", "goes": "comes"}.get(change.what, change.what)
    opens, makes = change.makes, change.opens
    if what == "comes" and change.found is not None:
        makes = joints_of(changes.found, change.found)
    if what == "goes" and change.left is not None:
        opens = _coming_off(changes.left, change.left, _names(changes, "in"))
    if change.what in ("shortened", "renewed") and change.found is not None and change.left is not None:
        what = "renewed" if change.what == "shortened" else "shortened"
        opens, makes = joints_of(changes.left, change.left), joints_of(changes.found, change.found)
        if what == "shortened":
            opens, makes = opens[:1], makes[:1]
    return LeadChange(what, change.left, change.found, opens, makes)


def _names(changes: Changes, *what: str) -> frozenset[str]:
    return frozenset(p.name for p in changes.parts_that("replaced", *what))


def apply(changes: Changes, build: Build) -> Build:
    """The build with the changes carried out; ``ValueError`` where it is not the one they begin from."""
    parts = dict(build.parts)
    for part in changes.parts:
        if part.found is not None and parts.pop(part.name, None) != part.found:
            raise ValueError(f"the part {part.name} is not as the changes found it")
    parts |= {p.name: p.left for p in changes.parts if p.left is not None}
    there = list(build.leads)
    for change in changes.leads:
        if change.found in changes.found.leads:
            if change.found not in there:
                raise ValueError(f"the lead {change.found.tag} is not as the changes found it")
            there.remove(change.found)
    if there:
        raise ValueError(f"the lead {there[0].tag} is not among what the changes found")
    leads = [c.left for c in changes.leads if c.left is not None and c.left in changes.left.leads]
    return replace(build, parts=parts, leads=tuple(leads), cables=changes.left.cables)


def all_leads(build: Build) -> tuple[Lead, ...]:
    """Leads, legs of hung components, and the braids of cables, each as a lead."""
    braids = []
    for cable in build.cables.values():
        for n, end in enumerate(cable.shield_to, start=1):
            tail = End(PARKED, "braid", cable.place)
            braids.append(_plain(f"{cable.name} braid {n}", tail, end, cable.name, cable.place))
    return (*build.leads, *legs(build), *braids)


def _plain(tag: str, start: End, end: End, cable: str, place: Location) -> Lead:
    return Lead(tag, False, start, end, None, "bare", None, None, None, False, cable, (), False, (), (), False, (), (),
                (), "", False, "", "", place)


def is_tail(build: Build, end: End, lead: Lead) -> bool:
    """Whether an end is where the lead comes out of its own part, so that nothing is soldered there."""
    return lead.kind in TAILS.get(lug_kind(build, end), ())


def joints_of(build: Build, lead: Lead) -> tuple[End, ...]:
    """Where a lead is soldered: lugs at its ends and of its braid; a sleeved joint is one."""
    ends = [e for e in (lead.start, lead.end) if e.known and not is_tail(build, e, lead)]
    if lead.kind == "sleeved":
        ends = sorted(ends, key=str)[:1]
    return tuple(dict.fromkeys((*ends, *lead.shield_to)))


def _coming_off(build: Build, lead: Lead, gone: frozenset[str]) -> tuple[End, ...]:
    """Joints to open for a lead that goes: none where all it is soldered to goes with it."""
    joints = joints_of(build, lead)
    within = {e.part for e in (lead.start, lead.end, *lead.shield_to) if e.known}
    return () if len(within) == 1 and within <= gone else joints


class _Match:
    """Finds the leads of one build among those of the other, surest first."""

    def __init__(self, found: Build, left: Build, gone: frozenset[str], new: frozenset[str]):
        self.found, self.left, self.gone, self.new = found, left, gone, new
        self.old = sorted(all_leads(found), key=_key)
        self.young = sorted(all_leads(left), key=_key)
        self.pairs: list[tuple[Lead, Lead, bool]] = []

    def changes(self) -> tuple[LeadChange, ...]:
        """Every lead of both builds once: those found in the order of their build, then those that come."""
        tried: tuple[tuple[Callable[[Lead, Lead], bool], bool], ...] = (
            (lambda a, b: _ends(a) == _ends(b) and a.colour == b.colour and a.tag == b.tag, False),
            (lambda a, b: _ends(a) == _ends(b) and a.colour == b.colour, False),
            (lambda a, b: _ends(a) == _ends(b), False),
            (lambda a, b: a.pinned and b.pinned and a.tag == b.tag and _traced(a, b) and self._movable(a, b), False),
            (lambda a, b: self._shares(a, b) and _traced(a, b), False),
            (self._shares, True),
        )
        for fits, unsure in tried:
            self._take(fits, unsure)
        order = {lead: n for n, lead in enumerate(all_leads(self.found))}
        later = {lead: n for n, lead in enumerate(all_leads(self.left))}
        kept = [(order[a], self._kept(a, b, unsure)) for a, b, unsure in self.pairs]
        kept += [(order[a], LeadChange("goes", a, None, _coming_off(self.found, a, self.gone), ())) for a in self.old]
        coming = [(later[b], LeadChange("comes", None, b, (), joints_of(self.left, b))) for b in self.young]
        return tuple(c for group in (kept, coming) for _, c in sorted(group, key=lambda item: item[0]))

    def _take(self, fits: Callable[[Lead, Lead], bool], unsure: bool) -> None:
        # Sorted so that the pairs are the same whichever build comes first and however its file is ordered.
        pairs = [(a, b) for a in self.old for b in self.young if self._same_wire(a, b) and fits(a, b)]
        pairs.sort(key=lambda p: (min(_key(p[0]), _key(p[1])), max(_key(p[0]), _key(p[1]))))
        for a, b in pairs:
            if a in self.old and b in self.young:
                self.old.remove(a)
                self.young.remove(b)
                self.pairs.append((a, b, unsure))

    def _same_wire(self, a: Lead, b: Lead) -> bool:
        """Whether one could be the other: kind, colour, cable and stoutness agree, and it need not grow."""
        colour = a.colour is None or b.colour is None or a.colour == b.colour
        gauge = a.gauge is None or b.gauge is None or a.gauge == b.gauge
        grows = a.length is not None and b.length is not None and b.length > a.length
        alike = a.kind == b.kind and a.cable == b.cable and a.cloth == b.cloth
        rooted = self._rooted(self.found, a, self.gone) or self._rooted(self.left, b, self.new)
        return alike and colour and gauge and not grows and not rooted

    def _rooted(self, build: Build, lead: Lead, changed: frozenset[str]) -> bool:
        """Whether a lead belongs to a part that is changed: its conductor, its leg, its bent lug."""
        ends = [e for e in (lead.start, lead.end) if e.part in changed]
        within = len({lead.start.part, lead.end.part}) == 1
        return any(within or is_tail(build, e, lead) or lead.kind == "sleeved" for e in ends)

    def _movable(self, a: Lead, b: Lead) -> bool:
        tails = {*self._tails(self.found, a), *self._tails(self.left, b)}
        return a.kind in MOVABLE and not a.bus and not b.bus and all(t in _ends(a) and t in _ends(b) for t in tails)

    def _tails(self, build: Build, lead: Lead) -> set[str]:
        return {str(e) for e in (lead.start, lead.end) if is_tail(build, e, lead) or e.lug == "braid"}

    def _shares(self, a: Lead, b: Lead) -> bool:
        """Whether one end is the same lug (the root of the lead, where it has one) and the colour is known."""
        shared = {e for e in _ends(a) & _ends(b) if e not in (UNKNOWN, PARKED)}
        return bool(shared) and self._movable(a, b) and (a.colour == b.colour)

    def _kept(self, a: Lead, b: Lead, unsure: bool) -> LeadChange:
        was, will = joints_of(self.found, a), joints_of(self.left, b)
        opens = tuple(e for e in was if e.part in self.gone or (e not in will and not unsure))
        makes = tuple(e for e in will if e.part in self.new or (e not in was and not unsure))
        shorter = a.length is not None and b.length is not None and b.length < a.length
        if unsure:
            return LeadChange("unsure", a, b, opens, makes)
        if shorter:
            if not opens and not makes:
                opens, makes = was[:1], was[:1]
            return LeadChange("shortened", a, b, opens, makes)
        if opens or makes:
            return LeadChange("moves" if set(opens) != set(makes) else "lifted", a, b, opens, makes)
        return LeadChange("relaid" if _way(a) != _way(b) else "stays", a, b, (), ())


def _ends(lead: Lead) -> frozenset[str]:
    return frozenset((str(lead.start), str(lead.end)))


def _key(lead: Lead) -> tuple[str, ...]:
    return (*sorted((str(lead.start), str(lead.end))), lead.colour.code if lead.colour else "", lead.kind,
            lead.tag if lead.pinned else "", lead.tag)


def _traced(a: Lead, b: Lead) -> bool:
    return UNKNOWN not in (*_ends(a), *_ends(b))


def _way(lead: Lead) -> tuple[object, ...]:
    return (lead.via, lead.channels, lead.along_wall, lead.over, lead.under)


def check_same_instrument(found: Build, left: Build, place: Location, say: Diagnostics) -> bool:
    """Whether both builds are of one instrument; what speaks against it is said at ``place``."""
    against = list(_against(found, left))
    for words in against:
        say.add(CHG_301, place, f"these are not two states of one instrument: {words}")
    return not against


def _against(found: Build, left: Build) -> Iterable[str]:
    if found.hand != left.hand:
        yield f"'{found.file}' is {found.hand}-handed, '{left.file}' {left.hand}-handed"
    names = [" ".join(b.instrument.lower().split()) for b in (found, left)]
    if all(names) and names[0] != names[1]:
        yield f"'{found.file}' says {found.instrument}, '{left.file}' says {left.instrument}"
    if found.cavities and left.cavities and set(found.cavities) != set(left.cavities):
        yield f"their cavities differ: {', '.join(found.cavities)} and {', '.join(left.cavities)}"
    for name in found.cavities.keys() & left.cavities.keys():
        boxes = [c.outline.box() for c in (found.cavities[name], left.cavities[name]) if c.outline is not None]
        if len(boxes) == 2 and max(abs(boxes[0].width - boxes[1].width), abs(boxes[0].height - boxes[1].height)) > SAME:
            yield (f"the cavity {name} measures {boxes[0].width:.0f} x {boxes[0].height:.0f} mm in one and "
                   f"{boxes[1].width:.0f} x {boxes[1].height:.0f} mm in the other")


__all__ = ["Changes", "Counts", "LeadChange", "Part", "PartChange", "all_leads", "apply", "check_same_instrument",
           "compare", "counts", "is_tail", "joints_of", "undo"]
