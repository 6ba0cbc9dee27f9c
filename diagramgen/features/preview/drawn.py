"""What the preview shows of a build while it is being written: the wiring diagram, and what each position gives."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagramgen.circuit.check_wanted import words
from diagramgen.circuit.coil_words import heard_words
from diagramgen.circuit.hum_words import hum_words
from diagramgen.circuit.state_table import AtOutput, StateTable
from diagramgen.drawing.diagram import Look, draw
from diagramgen.drawing.scene import Group, Mark, Sheet
from diagramgen.drawing.view import seen
from diagramgen.job.output_words import output_words
from diagramgen.job.sound_words import battery_words, peak_words, phase_words, reading_words
from diagramgen.kernel.geometry import Box, Point, moved
from diagramgen.layout.model import Layout
from diagramgen.sheets.context import SheetContext

ROOM = 9.0
"""Round the plan for labels, mm."""
LISTED = 60
"""States above which each network is listed once, with its first state."""
HEADS = ("Position", "Sounds", "Phase", "Hum", "Plug reads", "Resonance", "Battery")
"""What is said of a position; the battery only where there is one."""


@dataclass(frozen=True)
class SoundTable:
    """What positions give, in words, and what the table leaves out."""

    says: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def preview_diagram(context: SheetContext) -> Sheet:
    """The plan with all its leads at full size; lugs are named where a pointer rests on them, not in letters."""
    box = context.layout.box.grown(ROOM)
    layout = seen(context.layout, moved(Point(-box.left, -box.top)))
    look = Look(name_height=2.9, small_height=2.2, lug_names=False)
    frame = Box(0.5, 0.5, box.width - 0.5, box.height - 0.5)
    marks: tuple[Mark, ...] = draw(layout, context.roles, look, frame).marks
    return Sheet(box.width, box.height, "wiring diagram", (Group(marks, "diagram"),))


def places_of(layout: Layout) -> dict[str, int]:
    """Lead or part -> its line in the build file; what stands in another file is left out."""
    found = {f"lead:{one.lead.tag}": one.lead.place for one in layout.leads}
    found |= {f"part:{name}": placed.part.place for name, placed in layout.parts.items()}
    file = layout.build.file
    return {subject: place.line for subject, place in found.items() if place.line and place.file == file}


def sound_table(found: StateTable) -> SoundTable:
    """Every position, or each network once where there are many."""
    many = found.count > LISTED
    rows = tuple(row for i in ([r.first for r in found.results] if many else range(found.count))
                 for row in _rows(found, i))
    says = f"{found.count} position{'s' * (found.count > 1)}, {found.networks} network{'s' * (found.networks > 1)}"
    says += "; knobs at 10, blends and trimmers at 5"
    if many:
        says += f". Each network once, with its first position (all {found.count}: diagramgen sounds)"
    with_battery = any(row[-1] for row in rows)
    cut = len(HEADS) if with_battery else len(HEADS) - 1
    return SoundTable(says, HEADS[:cut], tuple(row[:cut] for row in rows))


def _rows(found: StateTable, index: int) -> Iterator[tuple[str, ...]]:
    """One row, or one for each output where there are several."""
    result = found.result(index)
    state = words(found.space.state(index), found.space)
    for output in found.outputs:
        at = f", at {output_words(found.build, output, found.outputs)}" if found.several else ""
        one = result.at(output)
        battery = battery_words(result) if output == found.outputs[0] else ""
        yield (state + at, *_cells(one, one in result.heard, found), battery)


def _cells(one: AtOutput, plugged: bool, found: StateTable) -> Iterator[str]:
    yield heard_words(one, found.build)
    yield phase_words(one.sound)
    yield hum_words(one.sound)
    yield reading_words(one.reading) if plugged else "plug out" if one.output.contact == "tip" else ""
    yield peak_words(one.sound)
