"""What the customer's record says where the build does not say it itself: parts, the way back, care."""

from __future__ import annotations

from collections.abc import Iterator

from diagramgen.circuit.coil_words import called
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.state_table import StateTable
from diagramgen.job.change_steps import cannot_undo, to_keep
from diagramgen.job.changes import Changes, undo
from diagramgen.job.changes import counts as counted
from diagramgen.job.output_words import mono_words, plug_words
from diagramgen.job.part_changes import value_words
from diagramgen.job.words import is_pickup
from diagramgen.model.build import Build, Part

SPOKEN = ("resistance", "capacitance", "law")
"""Kinds of values, by the ends of their names, that are said of a part."""


def part_words(part: Part) -> str:
    """A part as a customer reads it: ``volume: rotary pot, 24 mm, 500k log``."""
    values = [value_words(v) for name, v in part.values.items()
              if v != "" and (not isinstance(v, str) or name.endswith("law")) and name.endswith((*SPOKEN, "track"))]
    return ", ".join(filter(None, (f"{called(part)}: {part.symbol.kind}", " ".join(values))))


def parts_in_it(build: Build) -> tuple[str, ...]:
    """Pickups first, then what the player moves, then the rest that has a value or a socket; no wood, no ground."""
    rank = {True: 0}
    kept = [p for p in build.parts.values() if p.symbol.family not in ("joints", "metal")]
    order = sorted(kept, key=lambda p: (rank.get(is_pickup(build, p.name), 1), 0 if p.symbol.controls else 1))
    return tuple(part_words(p) for p in order)


def fitted(changes: Changes | None) -> tuple[str, ...]:
    """Parts that went in."""
    if changes is None:
        return ()
    return tuple(part_words(c.left) for c in changes.things_that("in", "replaced") if c.left is not None)


def handed_back(changes: Changes | None) -> tuple[str, ...]:
    """Parts that came out."""
    if changes is None:
        return ()
    return tuple(part_words(c.found) for c in changes.things_that("out", "replaced") if c.found is not None)


def way_back(changes: Changes | None, build: Build, sheet: int | None = None) -> Iterator[str]:
    """How the work is undone, in few words; that it is not known is said too."""
    told = build.told.undo
    yield from told
    if changes is None or not changes.any:
        if not told:
            yield ("How the instrument was wired before this work is not on file, so the way back is not printed. This "
                   "record and its diagram are the way back to what is in it now.")
        return
    number = counted(undo(changes))
    yield (f"A technician opens {number.joints_opened} joints and solders {number.joints_made}: step by step on the "
           f"sheet 'undo'{f', number {sheet} of this set' if sheet else ''}.")
    parts, leads = handed_back(changes), leads_kept(changes)
    if parts or leads:
        told_parts = ["the parts handed back"] if parts else []
        yield f"It needs what came out, so keep with the instrument: {'; '.join([*told_parts, *leads])}."
    lost = cannot_undo(changes)
    yield f"Does not come back: {'; '.join(lost)}." if lost else "Nothing is lost: all can go back as it was found."


def leads_kept(changes: Changes) -> tuple[str, ...]:
    """Leads that came out and are needed for the way back."""
    return to_keep(changes)[len(handed_back(changes)):]


def care(build: Build, chart: StateTable | None) -> Iterator[str]:
    """Care and cautions (common practice, no source), the shop's own after them."""
    several = chart is not None and chart.several
    yield from plug_words(build) if several else ()
    yield from mono_words(build)
    if any(e.kind == "cell" for p in build.parts.values() for e in p.symbol.elements):
        if chart is not None and not any(r.current for r in chart.results if r.plug == "out") and (
                not several or len(jacks(build)) == 1):
            yield "Pull the plug out when you do not play: the plug switches the battery on."
        yield "Change the battery once a year, or when it sounds weak or distorted; an empty one leaks, take it out."
    yield ("The strings are joined to the amplifier's earth through the cable. Use only earthed, tested amplifiers, "
           "never lift the earth, and leave mains-powered equipment to licensed hands. Local codes come first.")
    yield ("Unplug before a cover is opened. A control that begins to crackle: move it end to end a few times; if that "
           "does not help, let us see it.")
    yield from build.told.care
