"""The order in which changes are carried out, and all that is said of them in words.

Questions first; then joints are opened, pickup conductors before the rest and cases last, each lug once with every
lead that comes off it; then leads and parts come out, parts are moved and put in, leads laid anew; then joints are
made, cases first and pickup conductors last (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from diagramgen.job.changes import Changes, LeadChange, all_leads, joints_of
from diagramgen.job.part_changes import PartChange, kind_in_words
from diagramgen.job.words import end_words, is_pickup, lug_kind
from diagramgen.model.build import UNKNOWN, Build, End, Lead

DO = {
    "settle": "Meter",
    "open": "Open",
    "lead out": "Take out lead",
    "part out": "Take out part",
    "part moves": "Move part",
    "part in": "Put in part",
    "relay": "Lay anew",
    "make": "Solder",
}
"""What a step does, in the order the kinds of step are taken."""


@dataclass(frozen=True)
class StepLead:
    """One lead at a joint: what becomes of it there."""

    change: LeadChange
    says: str


@dataclass(frozen=True)
class Step:
    """One step of work."""

    do: str
    """A key of ``DO``."""
    subject: str
    """The lug (part.lug), the lead's tag or the part's name it is done to."""
    says: str
    leads: tuple[StepLead, ...] = ()
    stays: tuple[str, ...] = ()
    """What stays in the joint, in words."""
    change: LeadChange | None = None
    """The lead it is done to, where it is done to one."""


def steps(changes: Changes) -> tuple[Step, ...]:
    """Every step in an order in which each can be done."""
    return (*_questions(changes), *_openings(changes), *_out(changes), *_parts(changes), *_relaid(changes),
            *_makings(changes))


def _questions(changes: Changes) -> Iterator[Step]:
    for change in changes.leads:
        found, left = change.found, change.left
        if found is None or UNKNOWN not in (found.start.part, found.end.part):
            continue
        known = found.start if found.start.known else found.end
        here = f"the {_coloured(found)} on {end_words(changes.found, known)}"
        if left is None:
            yield Step("settle", found.tag, f"Follow {here} to its other end before it comes off, and write it down.",
                       change=change)
        elif change.what == "unsure":
            goal = left.end if str(left.start) == str(known) else left.start
            yield Step("settle", found.tag, f"Does {here} go to {end_words(changes.left, goal)}? Then it stays. If "
                       "not: write down where it is, open it there and solder it to that lug.", change=change)
        else:
            yield Step("settle", found.tag, f"Where does the other end of {here} go?", change=change)


def _coloured(lead: Lead) -> str:
    if lead.kind in ("leg", "bend", "bridge"):
        return {"leg": "leg", "bend": "bent lug", "bridge": "bridge of solder"}[lead.kind]
    word = "bare wire" if lead.kind == "bare" else "lead"
    return f"{lead.colour.word} {word}" if lead.colour and lead.kind != "bare" else word


def _openings(changes: Changes) -> Iterator[Step]:
    joints = sorted(changes.opened, key=lambda e: (-_rank(changes.found, e, changes, True), _at(changes.found, e)))
    for joint in joints:
        off = [c for c in changes.leads if joint in c.opens]
        there = tuple(StepLead(c, _fate(c, joint, changes)) for c in off)
        lifted = {id(c.found) for c in off}
        stays = tuple(f"{lead.tag} {_short(lead)}" for lead in all_leads(changes.found)
                      if joint in joints_of(changes.found, lead) and id(lead) not in lifted
                      and not any(c.found == lead for c in off))
        yield Step("open", str(joint), _joint_words(changes.found, joint, off, found=True), there, stays)


def _makings(changes: Changes) -> Iterator[Step]:
    joints = sorted(changes.made, key=lambda e: (_rank(changes.left, e, changes, False), _at(changes.left, e)))
    for joint in joints:
        on = [c for c in changes.leads if joint in c.makes]
        there = tuple(StepLead(c, _origin(c, joint, changes)) for c in on)
        stays = tuple(f"{lead.tag} {_short(lead)}" for lead in all_leads(changes.left)
                      if joint in joints_of(changes.left, lead) and not any(c.left == lead for c in on))
        yield Step("make", str(joint), _joint_words(changes.left, joint, on, found=False), there, stays)


def _joint_words(build: Build, joint: End, here: Sequence[LeadChange], found: bool) -> str:
    """The lug in words; a sleeved joint by the two conductors in it."""
    sleeved = next((c.found if found else c.left for c in here if c.lead.kind == "sleeved"), None)
    if sleeved is None:
        return end_words(build, joint)
    return f"Sleeved joint: {end_words(build, sleeved.start)} and {end_words(build, sleeved.end)}"


def _short(lead: Lead) -> str:
    return lead.colour.short if lead.colour else {"leg": "leg", "bend": "bent lug"}.get(lead.kind, lead.kind)


def _rank(build: Build, joint: End, changes: Changes, opening: bool) -> int:
    """0 for cases and bent lugs, 1 legs, 2 leads, 3 joints with pickup conductors in them."""
    touching = [c.found if opening else c.left for c in changes.leads
                if joint in (c.opens if opening else c.makes)]
    leads = [lead for lead in touching if lead is not None]
    if any(is_pickup(build, e.part) for lead in leads for e in (lead.start, lead.end)):
        return 3
    if any(lead.kind == "bend" for lead in leads) or lug_kind(build, joint) == "spot":
        return 0
    return 1 if all(lead.kind == "leg" for lead in leads) else 2


def _at(build: Build, joint: End) -> tuple[int, int]:
    """Where a joint stands in the file: its part, then its lug."""
    names = list(build.parts)
    if joint.part not in build.parts:
        return len(names), 0
    lugs = list(build.parts[joint.part].symbol.lug_names())
    return names.index(joint.part), lugs.index(joint.lug) if joint.lug in lugs else len(lugs)


def _fate(change: LeadChange, joint: End, changes: Changes) -> str:
    """What becomes of a lead that comes off a joint."""
    if change.what == "goes":
        return "comes out" if change.lead.is_wire else "comes off"
    if change.what == "renewed":
        return "comes out: too short now, cut a new one"
    if joint in change.makes:
        after = "cut it shorter, then " if change.what == "shortened" else ""
        return f"{after}back on the same lug"
    goals = [end_words(changes.left, e) for e in change.makes]
    reach = "" if change.lead.kind == "leg" else "; if it does not reach, cut a new one"
    short = f", cut to {change.lead.length:g} mm" if change.what == "shortened" and change.lead.length else ""
    parked = [e for e in (change.lead.start, change.lead.end) if not e.known]
    if not goals and parked:
        return "cap it and park it"
    return f"goes to {' and '.join(goals) or 'its old place'}{short}{reach}"


def _origin(change: LeadChange, joint: End, changes: Changes) -> str:
    """What a lead that goes into a joint is: its other end, and whether it is new."""
    lead = change.lead
    others = [e for e in (lead.start, lead.end) if e != joint]
    there = end_words(changes.left, others[0]) if others else ""
    if lead.kind == "bend":
        return "bend the lug over"
    if lead.kind == "sleeved":
        return "twist, solder, sleeve"
    if lead.kind == "leg":
        hung = next((e.part for e in (lead.start, lead.end) if lug_kind(changes.left, e) == "leg"), "")
        there = f"leg of {changes.left.parts[hung].says}" if hung else there
    # What went into the bag as it came out is in it still.
    bagged = changes.undoing and change.what == "comes"
    words = {"comes": "new", "renewed": "new", "shortened": "cut shorter", "lifted": "back on"}
    new = "from the bag" if bagged else words.get(change.what, "moved")
    if any(joint == e for e in lead.shield_to):
        return f"{new}: braid"
    if lead.kind == "leg":
        return f"{new}: {there}"
    return f"{new}: to {there}" if there else new


def _out(changes: Changes) -> Iterator[Step]:
    for change in changes.leads_that("goes", "renewed"):
        lead = change.found
        # What is soldered to one part only goes out with that part.
        if lead is not None and change.opens and lead.is_wire and not _own(changes.found, lead):
            yield Step("lead out", lead.tag, _lead_words(changes.found, lead), change=change)
    for part in changes.parts_that("out", "replaced"):
        if part.found is not None:
            # Only what comes out: the value that takes its place is said where it goes in.
            yield Step("part out", part.name, f"{part.found.says}: {kind_in_words(part.found)}")


def _own(build: Build, lead: Lead) -> bool:
    """A part's own conductor comes out with its part."""
    return any(lug_kind(build, e) == "conductor" for e in (lead.start, lead.end))


def _lead_words(build: Build, lead: Lead) -> str:
    return f"{_coloured(lead)}, {end_words(build, lead.start)} to {end_words(build, lead.end)}"


def _parts(changes: Changes) -> Iterator[Step]:
    for part in changes.parts_that("moves"):
        yield Step("part moves", part.name, f"{part.part.says}: {'; '.join(part.details)}")
    for part in changes.parts_that("in", "replaced"):
        if part.left is not None:
            where = f", in {part.left.cavity}" if part.left.cavity and len(changes.left.cavities) > 1 else ""
            yield Step("part in", part.name, f"{part.left.says}: {kind_in_words(part.left)}{where}")


def _relaid(changes: Changes) -> Iterator[Step]:
    for change in changes.leads_that("relaid"):
        yield Step("relay", change.tag, f"{_lead_words(changes.left, change.lead)}: another way, see the diagram",
                   change=change)


def questions(changes: Changes) -> tuple[str, ...]:
    """What is to be settled with the meter before anything is opened."""
    return tuple(step.says for step in _questions(changes))


def cannot_undo(changes: Changes) -> tuple[str, ...]:
    """What the way back does not give back, in words; ``changes`` are those that were made."""
    said = [f"{c.tag}, {_lead_words(changes.left, c.lead)}: was cut shorter; a new lead is needed"
            for c in changes.leads_that("shortened")]
    said += [f"The hole for {p.part.says} stays in the wood or plate" for p in changes.parts if _drilled(p, changes)]
    said += [f"The hole for {p.part.says} stays larger" for p in changes.parts_that("replaced") if _reamed(p)]
    return tuple(said)


def _drilled(change: PartChange, changes: Changes) -> bool:
    """Whether a part went where no hole was; where no places are known it is not said."""
    part = change.left
    if part is None or part.at is None or change.what not in ("in", "moves") or not _hole(change, left=True):
        return False
    if change.what == "moves" and not any(d.startswith(("place", "cavity")) for d in change.details):
        return False
    before = [p for p in changes.found.parts.values() if p.at is not None and p.cavity == part.cavity]
    return not any(p.at is not None and abs(p.at.x - part.at.x) <= 1 and abs(p.at.y - part.at.y) <= 1
                   for p in before)


def _reamed(change: PartChange) -> bool:
    return _hole(change, left=True) > _hole(change, left=False) + 0.2 > 0.2


def _hole(change: PartChange, left: bool) -> float:
    """Diameter of the hole a part needs, mm; 0 for none."""
    part = change.left if left else change.found
    if part is None:
        return 0.0
    sizes = {name: d.value for name, d in part.symbol.dimensions.items()} | dict(part.dimensions)
    mounting = part.symbol.mounting
    return mounting.hole.value(sizes) if mounting.side == "wood" else 0.0


def to_keep(changes: Changes) -> tuple[str, ...]:
    """What goes into the bag, so that the work can be undone: parts first, then leads."""
    kept = [f"{p.found.says}: {kind_in_words(p.found)}" for p in changes.things_that("out", "replaced")
            if p.found is not None]
    kept += [f"{c.found.tag} {_lead_words(changes.found, c.found)}" for c in changes.leads_that("goes")
             if c.found is not None and c.found.is_wire and not _own(changes.found, c.found)]
    return tuple(kept)


def changes_in_words(changes: Changes) -> list[str]:
    """Every change on a line of its own, parts first; empty where nothing is changed."""
    said = []
    for p in changes.parts:
        why = "; ".join(p.details)
        words = {"out": f"comes out ({kind_in_words(p.part)})", "in": f"goes in ({kind_in_words(p.part)})",
                 "replaced": f"is replaced ({why})", "moves": f"moves ({why})", "metered": f"stays ({why})"}
        if p.what in words:
            said.append(f"Part {p.part.says} {words[p.what]}")
    for c in changes.leads:
        if c.what != "stays":
            build = changes.left if c.left is not None else changes.found
            said.append(f"{c.tag} {_lead_words(build, c.lead)}: {_verb(c, changes)}")
    return said


def _verb(change: LeadChange, changes: Changes) -> str:
    verbs = {"goes": "goes", "comes": "comes in", "lifted": "comes off and goes back on", "shortened": "is cut shorter",
             "renewed": "is made anew, the old one is too short", "relaid": "is laid another way",
             "unsure": "one end is not traced yet"}
    if change.what != "moves":
        return verbs[change.what]
    off = [end_words(changes.found, e) for e in change.opens]
    onto = [end_words(changes.left, e) for e in change.makes]
    return f"moves from {' and '.join(off) or 'its cap'} to {' and '.join(onto) or 'a cap, parked'}"


__all__ = ["DO", "Step", "StepLead", "cannot_undo", "changes_in_words", "questions", "steps", "to_keep"]
