"""The lead list: a row a lead in the order they are soldered, totals of wire, and the joints lug by lug."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagramgen.job.lead_row import LeadRow
from diagramgen.job.lengths import CutLength, cut_length
from diagramgen.job.order import GROUPS, Order, order_of
from diagramgen.job.words import channels_of, end_words, kind_words
from diagramgen.kernel.colours import LeadColour
from diagramgen.layout.fit.wire_sizes import outer_diameter, own_cable
from diagramgen.layout.global_routing.global_route import legs
from diagramgen.layout.joint_ends import Met, met
from diagramgen.layout.model import LaidLead, Layout
from diagramgen.layout.placement.guessed_places import is_guess
from diagramgen.model.build import Build, End, Lead

LAST = list(GROUPS)[-1]


@dataclass(frozen=True)
class WireTotal:
    """How much of one wire a build takes."""

    kind_says: str
    colour: LeadColour | None
    gauge: int | None
    leads: int
    length: float
    """Sum of the known cut lengths, mm."""
    unmeasured: int
    """Leads in it without a length."""


@dataclass(frozen=True)
class JointEnd:
    """One thing soldered at a lug."""

    tag: str
    says: str
    """Colour and other end: ``red to Output tip``."""
    kind: str
    wires: int
    """What it takes of the joint's room, as ``layout.meeting`` counts it: 1, or 0 for solder alone."""


@dataclass(frozen=True)
class Joint:
    """A lug with everything soldered there."""

    key: str
    says: str
    kind: str
    ends: tuple[JointEnd, ...]
    takes: int

    @property
    def wires(self) -> int:
        """How many wires, legs, braids and bent lugs meet here."""
        return sum(e.wires for e in self.ends)


def lead_rows(layout: Layout, order: Order | None = None) -> tuple[LeadRow, ...]:
    """Every lead of the layout in the order in which it is finished; leads finished together as in the file.

    A lead without a joint of its own (a conductor capped and parked) comes last.
    """
    ranks = (order or order_of(layout)).ranks()
    never = (max((at for at, _ in ranks.values()), default=0) + 1, LAST)
    rows = [_row(laid, layout, ranks.get(laid.lead.tag, never)[1]) for laid in layout.leads]
    return tuple(sorted(rows, key=lambda r: ranks.get(r.tag, never)[0]))


def _row(laid: LaidLead, layout: Layout, group: str) -> LeadRow:
    lead, build = laid.lead, layout.build
    cut = cut_length(laid, layout)
    owner = own_cable(lead, build) if lead.is_wire else ""
    reel = build.wire_gauge if lead.is_wire and not owner else None
    measured = bool(cut.shares)
    return LeadRow(
        tag=lead.tag,
        pinned=lead.pinned,
        start=str(lead.start),
        end=str(lead.end),
        start_says=end_words(build, lead.start),
        end_says=end_words(build, lead.end),
        colour=lead.colour,
        kind=lead.kind,
        kind_says=kind_words(build, lead),
        gauge=lead.gauge if lead.gauge is not None else reel,
        diameter=outer_diameter(lead, build) if lead.is_wire and not owner else lead.diameter,
        route=cut.share("route") + cut.share("channel") if measured else None,
        cut=cut,
        channels=channels_of(layout, lead),
        shield_says=tuple(end_words(build, e) for e in lead.shield_to),
        group=group,
        reused=lead.reused,
        remark=_remark(lead, cut, layout),
    )


def _remark(lead: Lead, cut: CutLength, layout: Layout) -> str:
    words = [lead.remark] if lead.remark else []
    if lead.reused:
        words.append("found in the instrument, kept")
    if lead.twisted_with:
        words.append(f"twisted with {lead.twisted_with}")
    if lead.bus:
        words.append(f"a stretch of {lead.bus}, one bare wire")
    if lead.kind == "shielded":
        words.append("braid: bare the core 10 to 15 mm, keep the braid off the hot lug")
        if lead.shield_cut:
            words.append("braid cut and insulated at the other end")
    if cut.share("hinge"):
        words.append("longer, so that the plate can be laid open")
    elif _lifts_off(lead, layout):
        words.append("the plate lifts off: no length was added for that")
    guessed = _guessed(lead, layout) if cut.total is not None and not cut.given else ()
    if guessed:
        words.append(f"rests on the place the program chose for {' and '.join(guessed)}: measure before cutting")
    if cut.reason and lead.is_wire:
        words.append(cut.reason)
    return "; ".join(words)


def _guessed(lead: Lead, layout: Layout) -> tuple[str, ...]:
    """Parts at the ends of a lead whose place in a cavity nobody measured."""
    ends = [layout.parts[e.part] for e in (lead.start, lead.end) if e.part in layout.parts]
    return tuple(dict.fromkeys(p.part.name for p in ends if is_guess(p)))


def _lifts_off(lead: Lead, layout: Layout) -> bool:
    """Whether a lead leaves a plate that is not hinged."""
    homes = {layout.parts[e.part].region for e in (lead.start, lead.end) if e.part in layout.parts}
    plates = [layout.build.cavities[h].plate for h in homes if h in layout.build.cavities]
    return len(homes) > 1 and any(p is not None and not p.hinge for p in plates)


def by_wire(rows: Iterable[LeadRow]) -> list[list[LeadRow]]:
    """Leads that take new wire, those of one kind, colour and gauge together."""
    found: dict[tuple[str, str, int], list[LeadRow]] = {}
    for row in rows:
        from_reel = row.kind in ("wire", "shielded", "bare") and not row.cut.owner and not row.reused
        if from_reel and not row.cut.cut_with:
            key = (row.kind_says, row.colour.code if row.colour else "", row.gauge or 0)
            found.setdefault(key, []).append(row)
    return [found[key] for key in sorted(found)]


def wire_totals(rows: Iterable[LeadRow]) -> tuple[WireTotal, ...]:
    """Wire to have at hand, by kind, colour and gauge; a part's own conductors and kept leads left out."""
    return tuple(
        WireTotal(
            group[0].kind_says, group[0].colour, group[0].gauge, len(group),
            sum(r.length or 0.0 for r in group), sum(r.length is None for r in group),
        )
        for group in by_wire(rows)
    )


def joints(build: Build) -> tuple[Joint, ...]:
    """Every lug on which something is soldered, in the order of the parts and their lugs."""
    found = met(build, (*build.leads, *legs(build)))
    ends = {lug: [_joint_end(build, one) for one in all_] for lug, all_ in found.items()}
    return tuple(_joints_in_order(build, ends))


def _joint_end(build: Build, one: Met) -> JointEnd:
    lead, there = one.lead, one.there
    if lead is None or there is None:
        return JointEnd(one.tag, f"braid of {one.tag}", "braid", one.counts)
    colour = f"{lead.colour.short} " if lead.colour else ""
    if lead.kind == "bend":
        says = "the lug itself, bent over"
    elif lead.kind == "bridge":
        says = f"solder to {end_words(build, there)}"
    elif lead.kind == "leg":
        says = f"leg: {end_words(build, there)}"
    else:
        says = f"{colour}to {end_words(build, there)}"
    return JointEnd(lead.tag, says, lead.kind, one.counts)


def _joints_in_order(build: Build, ends: dict[str, list[JointEnd]]) -> Iterable[Joint]:
    for part in build.parts.values():
        takes = {n: p for p in part.symbol.drawing.lugs for row in p.names for n in row if n}
        for lug in part.symbol.lug_names():
            key = f"{part.name}.{lug}"
            if key in ends:
                says = end_words(build, End(part.name, lug, part.place))
                yield Joint(key, says, takes[lug].kind, tuple(ends[key]), takes[lug].takes)
