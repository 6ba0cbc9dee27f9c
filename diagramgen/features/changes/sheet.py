"""Changes: from as found to as left and back, step by step with boxes to tick, and both layouts as pictures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from diagramgen.features.changes.pair import Pair
from diagramgen.features.changes.pictures import picture_sheets
from diagramgen.job.change_steps import DO, Step, StepLead, cannot_undo, steps, to_keep
from diagramgen.job.changes import Changes, undo
from diagramgen.job.part_changes import kind_in_words
from diagramgen.kernel.paper import Paper
from diagramgen.model.build import Lead
from diagramgen.sheets.context import SheetContext, SheetMaker, proposed
from diagramgen.sheets.table import Cell, Column, Row, Swatch, Table, Tick
from diagramgen.sheets.table_sheets import list_sheets

SHORT = 16
"""Rows up to which lists are kept together on one page."""
LETTERING = 2.0
STAMPS = {False: "changes: as found to as left", True: "undo: as left back to as found"}
HEADINGS = {
    "settle": "Meter first: settle these before anything is opened",
    "open": "Open these joints, in this order; each lug once, with every lead that comes off it; tag each lead",
    "lead out": "Take out leads",
    "part out": "Take out parts",
    "part moves": "Move parts",
    "part in": "Put in parts",
    "relay": "Lay leads another way",
    "make": "Solder these joints, in this order; each lug once, when all its leads are in it",
}


def change_sheets(pair: Pair, paper: Paper, alone: bool = False) -> list[SheetMaker]:
    """The work from as found to as left; none where nothing is changed. ``alone``: no diagram goes with it."""
    pair = _stamped(pair)
    subjects = (pair.found, pair.left)
    return _sheets(pair, pair.changes, subjects, paper, alone)


def _stamped(pair: Pair) -> Pair:
    """Both with what either must be stamped with: they are drawn on the same sheets."""
    return replace(pair, left=replace(pair.left, beside=tuple(proposed(pair.found.layout))))


def undo_sheets(pair: Pair, paper: Paper, alone: bool = False) -> list[SheetMaker]:
    """The way back; none where nothing is changed."""
    pair = _stamped(pair)
    return _sheets(pair, undo(pair.changes), (pair.left, pair.found), paper, alone)


def _sheets(
    pair: Pair, changes: Changes, subjects: tuple[SheetContext, SheetContext], paper: Paper, alone: bool
) -> list[SheetMaker]:
    if not changes.any:
        return []
    job, warning, name = pair.left.job, pair.left.warning, "undo" if changes.undoing else "changes"
    stamp = STAMPS[changes.undoing]
    tables = [_needed(changes), _steps(changes), _parts(changes), _remarks(pair, changes)]
    listed = list_sheets(tables, job, paper, stamp, name, warning, alone)
    return [*listed, *picture_sheets(changes, subjects, pair.left, paper, (stamp, name))]


def _steps(changes: Changes) -> Table:
    rows: list[Row] = []
    last = ""
    for n, step in enumerate(steps(changes), 1):
        if step.do != last:
            rows.append(Row((HEADINGS[step.do],), heading=True))
        last = step.do
        rows += _joint(n, step) if step.leads else [_plain(n, step)]
    # A lead that is kept may bear one tag on the papers as found and another on those as left.
    two = any(" > " in c.tag and c.what != "stays" for c in changes.leads)
    tag = f"tag {'left > found' if changes.undoing else 'found > left'}" if two else "tag"
    columns = (Column("", 7), Column("", 8, right=True), Column("where", 54), Column(tag, 32), Column("colour", 31),
               Column("what becomes of it", 88), Column("stays in the joint", 42))
    return Table(columns, tuple(rows), LETTERING)


def _joint(n: int, step: Step) -> Iterator[Row]:
    """A row a lead; the joint is named in each, so that a new page never begins without it."""
    for i, one in enumerate(step.leads):
        stays = (", ".join(step.stays) or "nothing: clear the lug") if step.do == "open" else ", ".join(step.stays)
        yield Row((Tick(), "" if i else str(n), step.says, one.change.tag, colour_cell(_lead(step, one)), one.says,
                   "" if i else stays), bold=-1 if i else 2)


def _lead(step: Step, one: StepLead) -> Lead:
    found, left = one.change.found, one.change.left
    lead = found if step.do == "open" else left
    return lead or one.change.lead


def colour_cell(lead: Lead) -> Cell:
    """A lead's colour as swatch and word; legs and bent lugs by what they are."""
    if lead.kind == "bare" or (lead.colour is not None and lead.colour.bare):
        return Swatch("BARE", "bare")
    if lead.colour is not None:
        return Swatch(lead.colour.code, lead.colour.word)
    plain = {"leg": "leg", "bend": "bent lug", "bridge": "bridge of solder", "sleeved": "in one sleeve"}
    return plain.get(lead.kind, "not said")


def _plain(n: int, step: Step) -> Row:
    """A step that is done to a lead or a part."""
    if step.change is not None:
        colour = colour_cell(step.change.found or step.change.lead)
        return Row((Tick(), str(n), DO[step.do], step.subject, colour, step.says, ""), bold=2)
    return Row((Tick(), str(n), DO[step.do], "", "", step.says, ""), bold=2)


def _parts(changes: Changes) -> Table:
    rows = [Row(("Parts",), heading=True)]
    words = {"out": "comes out", "in": "goes in", "replaced": "replaced", "moves": "moves", "metered": "stays"}
    for one in changes.parts:
        if one.what in words:
            was = kind_in_words(one.found) if one.found else ""
            will = kind_in_words(one.left) if one.left else ""
            done = Tick() if one.what != "metered" else ""
            details = "; ".join(one.details).replace(" -> ", " to ")
            rows.append(Row((done, one.part.says, words[one.what], was, will, details), bold=1))
    stay = ", ".join(p.part.says for p in changes.parts_that("stays"))
    if stay:
        others = "all others" if len(rows) > 1 else "all"
        rows.append(Row(("", others, "stay", "", "", stay), bold=1))
    before, after = ("as left", "as found") if changes.undoing else ("as found", "as left")
    columns = (Column("", 7), Column("part", 45), Column("what", 22), Column(before, 48), Column(after, 48),
               Column("", 92))
    return Table(columns, tuple(rows) if len(rows) > 1 else (), LETTERING)


def _needed(changes: Changes) -> Table:
    """On the way back: what must be in the bag before anything is opened."""
    lines = to_keep(undo(changes)) if changes.undoing else ()
    return _listed(_lines("Needed from the bag: look that all of it is there before anything is opened", lines, Tick()))


def _remarks(pair: Pair, changes: Changes) -> Table:
    """The bag, what cannot be undone, what is to be known."""
    made = undo(changes) if changes.undoing else changes
    bag = ("What comes out: keep it with the papers" if changes.undoing else
           "Into one bag, labelled with the job number, and kept with the instrument: the way back needs it")
    whole = cannot_undo(made) or ("Nothing: every joint, lead and part can go back as it was found.",)
    return _listed([*_lines(bag, to_keep(changes), Tick()), *_lines("What cannot be undone", whole, "•"),
                    *_lines("To be known of the state as found", pair.notes, "•")])


def _listed(rows: Sequence[Row]) -> Table:
    """Lists below one another, on one page where they are short."""
    return Table((Column("", 7), Column("", 240)), tuple(rows), LETTERING, whole=len(rows) <= SHORT)


def _lines(head: str, lines: Sequence[str], mark: Cell) -> list[Row]:
    rows = [Row((mark, line)) for line in lines]
    return [Row((head,), heading=True), *rows] if rows else []
