"""What one needs to know when the instrument is opened in ten years, the most needed first."""

from __future__ import annotations

from collections.abc import Iterator

from diagramgen.build.model import Build, Lead
from diagramgen.drawing.naming import value_text
from diagramgen.drawing.parts import is_sheet
from diagramgen.layout.model import Layout, PlacedPart
from diagramgen.sheets.inscribed import Entry
from diagramgen.sheets.panel import Subject
from diagramgen.work.words import end_words

BLANK = "__________"


def numbers(layout: Layout) -> dict[str, int]:
    """Part -> its number on the small map: what stands in a cavity, in the order of the file."""
    standing = [p.part.name for p in layout.parts.values() if not p.outside and p.part.between is None and p.body
                and not is_sheet(p)]
    return {name: i + 1 for i, name in enumerate(standing)}


def entries(subject: Subject, cavity: str = "") -> list[Entry]:
    """The legend; with ``cavity`` only of the parts in it, for a small cover."""
    layout, build = subject.layout, subject.layout.build
    kept = [p for p in layout.parts.values() if not cavity or p.region == cavity]
    marked = numbers(layout)
    title = "" if cavity else subject.job.title
    found = [Entry(subject.job.job or "job ________", title), Entry("", f"Closed {BLANK} by {BLANK}")]
    if cavity:
        found[1] = Entry("", f"Closed {BLANK}")
    if any(e.kind == "cell" for p in kept for e in p.part.symbol.elements):
        found.append(Entry("", f"Battery changed {BLANK}"))
    found += [_control(p, marked, bool(cavity)) for p in kept if _is_control(p)]
    found += [_component(p, build) for p in kept if p.part.between is not None]
    found += [e for p in kept if not _is_control(p) and p.part.between is None for e in _joined(p, layout, marked)]
    found += [e for p in kept if _is_control(p) for e in _joined(p, layout, marked)]
    return found


def _is_control(part: PlacedPart) -> bool:
    return any(c.kind != "plug" for c in part.part.symbol.controls)


def _named(part: PlacedPart, marked: dict[str, int]) -> str:
    number = marked.get(part.part.name)
    return f"{number} {part.part.says}" if number else part.part.says


def _control(part: PlacedPart, marked: dict[str, int], short: bool) -> Entry:
    if short:
        return Entry(_named(part, marked), value_text(part))
    return Entry(_named(part, marked) + ":", ", ".join(t for t in (value_text(part), part.part.symbol.kind) if t))


def _component(part: PlacedPart, build: Build) -> Entry:
    ends = " and ".join(end_words(build, end) for end in part.part.between or ())
    return Entry(part.part.says + ":", f"{value_text(part)}, between {ends}")


def _joined(part: PlacedPart, layout: Layout, marked: dict[str, int]) -> Iterator[Entry]:
    """What is soldered to a part, lug by lug with colours; each lead is told once."""
    texts = [_lead(one.lead, part, layout) for one in layout.leads]
    text = "; ".join(t for t in texts if t)
    if text:
        yield Entry(_named(part, marked) + (" leads:" if _is_control(part) else ":"), text)


def _lead(lead: Lead, part: PlacedPart, layout: Layout) -> str:
    """The lead as told at this part; empty where it does not end here or is told at its other end."""
    if lead.kind in ("leg", "bend") or part.part.name not in (lead.start.part, lead.end.part):
        return ""
    mine, other = (lead.start, lead.end) if lead.start.part == part.part.name else (lead.end, lead.start)
    if _teller(lead, layout) != part.part.name:
        return ""
    colour = lead.colour.short if lead.colour else {"bare": "bare", "bridge": "solder"}.get(lead.kind, "lead")
    lug = part.part.symbol.lug_words.get(mine.lug, mine.lug)
    lug = "" if lug == colour else f"{lug} "
    return f"{lug}{colour} to {end_words(layout.build, other)}"


def _teller(lead: Lead, layout: Layout) -> str:
    """The part at which a lead is told: what is no control (pickup, jack, battery) before controls, else its start."""
    ends = [layout.parts[e.part] for e in (lead.start, lead.end) if e.part in layout.parts]
    plain = [p for p in ends if not _is_control(p)]
    return (plain or ends)[0].part.name if ends else ""
