"""States: the diagram small, once for each position asked for, with what carries the signal strong."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from functools import partial

from diagramgen.circuit.check_wanted import words
from diagramgen.circuit.coil_words import NO_PLUG, heard_words
from diagramgen.circuit.hum_words import hum_note
from diagramgen.circuit.signal_path import ActivePath, active_path
from diagramgen.circuit.state_table import StateTable
from diagramgen.drawing.diagram import Look, draw
from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Sheet, Text, Viewport
from diagramgen.features.sounds.proof_sheet import said
from diagramgen.job.words import lug_word
from diagramgen.kernel.geometry import Box, Point, rounded_box
from diagramgen.kernel.paper import Paper
from diagramgen.lettering import fit, text_width, wrap
from diagramgen.sheets.context import SheetContext, SheetMaker
from diagramgen.sheets.frame import framed
from diagramgen.sheets.small_drawings import CAPTION, TAG, bar, best_grid, lettered, placed_in

STAMP = "positions: what carries the signal"
MOST = 6
"""Pictures on one page."""
LEAST = 0.5
"""Scale below which tags of ``TAG`` mm crowd a picture; fewer then share a page."""
FOOT_WORDS = ("Strong: carries the signal, to the plug or back on ground. Faint: does not. Bar: a closed contact. "
              "Frame: sounds. Not for measuring.")


def state_sheets(context: SheetContext, chart: StateTable, states: Sequence[int], paper: Paper) -> list[SheetMaker]:
    """The states, at most six on a page; fewer where six pictures would be too small for their tags."""
    if not states:
        return []
    for most in (MOST, 4, 2):
        pages = [states[i:i + most] for i in range(0, len(states), most)]
        grid = best_grid(context, paper, len(pages[0]))
        if grid.scale >= LEAST:
            break
    made: list[SheetMaker] = []
    room = grid.window(0).width - 3
    # One height for all headings: a state is no less than its neighbour because its name is longer.
    fits = all(text_width(words(chart.space.state(i), chart.space), CAPTION, True) <= room for i in states)
    for page in pages:
        marks = [m for i, state in enumerate(page)
                 for m in _picture(context, chart, state, grid.window(i), CAPTION if fits else TAG)]
        made.append(partial(_sheet, context, grid.paper, marks, hum_note(chart.result(i).sound for i in page)))
    return made


def _picture(context: SheetContext, chart: StateTable, state: int, window: Box, tall: float) -> list[Mark]:
    result = chart.result(state)
    positions = chart.space.state(state)
    heard = result.coils
    live = active_path(chart.build, positions, chart.knobs, heard)
    if result.silent:
        live = ActivePath(frozenset(), (), (*live.contacts, *live.idle))
    title = words(positions, chart.space)
    placed = placed_in(context, window)
    scale = placed.scale
    strong = frozenset(one.lead.tag for one in context.layout.leads
                       if frozenset((str(one.lead.start), str(one.lead.end))) in live.joins)
    sounding = frozenset(coil.partition(".")[0] for coil in heard)
    # A tag that no lead has keeps every lead faint where the state is silent.
    look = Look(name_height=TAG / scale, small_height=TAG / scale, lug_names=False, values=False,
                tags=bool(strong), strong=strong or frozenset({""}), lit=sounding)
    drawing = draw(context.layout, context.roles, look, placed.frame)
    marks = [*lettered(drawing.marks, scale), *_contacts(context, live), *_sounding(context, sounding)]
    figure = Group(tuple(marks), "state", f"{title}: {_sounds(chart, state)}", Kind.FIGURE)
    caption = _caption(chart, state, title, live, window, tall)
    return [*caption, Viewport(placed.room, placed.place, (figure,), scale)]


def _contacts(context: SheetContext, live: ActivePath) -> list[Mark]:
    """A bar from lug to lug over each contact that is closed: filled where it carries the signal."""
    lugs = {lug.key: lug.at for part in context.layout.parts.values() for lug in part.lugs.values()}
    marks: list[Mark] = []
    for pairs, role in ((live.idle, Role.HOLE), (live.contacts, Role.ARROW)):
        for a, b in pairs:
            if a in lugs and b in lugs and lugs[a].distance(lugs[b]) > 0.5:
                marks.append(Shape((bar(lugs[a], lugs[b]),), role, f"contact:{a}"))
    return marks


def _sounding(context: SheetContext, names: Collection[str]) -> list[Mark]:
    """A heavy frame round each part that is heard, so that grey print tells it as well."""
    boxes = [(name, part.box) for name, part in context.layout.parts.items() if name in names]
    return [Shape((rounded_box(Box(b.left - 1.5, b.top - 1.5, b.right + 1.5, b.bottom + 1.5), 1.5),), Role.FRAME,
                  f"part:{name}") for name, b in boxes]


def _sounds(chart: StateTable, state: int) -> str:
    """What sounds, at all outputs."""
    result = chart.result(state)
    return "; ".join(heard_words(one, chart.build) for one in result.heard) or NO_PLUG


def _caption(chart: StateTable, state: int, title: str, live: ActivePath, window: Box, tall: float) -> list[Mark]:
    """The position, what sounds, and which contacts are closed."""
    left, wide = window.left + 2, window.width - 3
    marks: list[Mark] = [Shape((rounded_box(window, 0),), Role.TABLE_RULE)]
    # A position is never shortened: a long one takes a second line, and what carries is said shorter.
    heads = wrap(title, tall, wide, True)
    marks += [Text(line, Point(left, window.top + 4.0 + 2.5 * i), tall, bold=True) for i, line in enumerate(heads)]
    lines = wrap(said(chart, state), TAG, wide)
    closed = ", ".join(_contact_words(chart, a, b) for a, b in live.contacts)
    most = max(1, 4 - len(heads))
    if closed and len(lines) < most:
        lines += wrap(f"closed, carrying: {closed}", TAG, wide)
    if len(lines) > most:
        lines = [*lines[:most - 1], fit(" ".join(lines[most - 1:]), TAG, wide)]
    top = window.top + 7.2 + 2.5 * (len(heads) - 1)
    return marks + [Text(line, Point(left, top + 2.7 * i), TAG) for i, line in enumerate(lines)]


def _contact_words(chart: StateTable, a: str, b: str) -> str:
    """``selector up to up centre``."""
    part, _, lug = a.partition(".")
    other = b.partition(".")[2]
    says = chart.build.parts[part].says or part
    return f"{says} {lug_word(chart.build, part, lug)} to {lug_word(chart.build, part, other)}"


def _sheet(context: SheetContext, paper: Paper, block: Sequence[Mark], note: str, n: int, of: int) -> Sheet:
    frame = framed(paper, context.job, STAMP, context.neck, n, of, context.warning)
    left, bottom = frame.room.left + 4, frame.room.bottom
    lines = [(FOOT_WORDS, 3.7), (note, 1.2)] if note else [(FOOT_WORDS, 2.6)]
    feet = [Text(words, Point(left, bottom - up), TAG) for words, up in lines]
    return Sheet(paper.width, paper.height, STAMP, (*frame.marks, *block, *feet), "states")
