"""The lead list: what to cut, strip and solder, in the order of work, with a box to tick."""

from __future__ import annotations

from collections.abc import Sequence

from diagramgen.job.lead_list import Joint, WireTotal, joints, wire_totals
from diagramgen.job.lead_row import LeadRow
from diagramgen.job.lengths import CutLength
from diagramgen.job.words import is_pickup
from diagramgen.kernel.paper import Paper
from diagramgen.kernel.units import number
from diagramgen.model.build import Build, UnreadLead
from diagramgen.sheets.context import SheetContext, SheetMaker
from diagramgen.sheets.table import Cell, Column, Row, Swatch, Table, Tick
from diagramgen.sheets.table_sheets import list_sheets

LETTERING = 2.0

COLUMNS = (
    Column("", 7),
    Column("tag", 13),
    Column("colour", 30),
    Column("from", 34),
    Column("to", 34),
    Column("wire", 31),
    Column("cut, mm", 19, right=True),
    Column("made up of, mm", 54),
    Column("strip, mm", 21),
    Column("channel", 24),
    Column("remark", 32),
)


def lead_sheets(rows: Sequence[LeadRow], context: SheetContext, paper: Paper, alone: bool = False) -> list[SheetMaker]:
    """The lead list on as many sheets as it takes; ``alone``: no diagram goes with it."""
    build = context.layout.build
    tables = [_left_out(build.unread), _leads(rows, build), _totals(wire_totals(rows)), _joints(joints(build)),
              _notes(context)]
    return list_sheets(tables, context.job, paper, "lead list", "leads", context.warning, alone)


def _leads(rows: Sequence[LeadRow], build: Build) -> Table:
    result: list[Row] = []
    group = ""
    for row in rows:
        if row.group != group:
            group = row.group
            result.append(Row((row.group_says,), heading=True))
        result.append(Row(_cells(row, is_pickup(build, row.cut.owner)), bold=1, subject=f"lead:{row.tag}"))
    return Table(COLUMNS, tuple(result), LETTERING)


def _left_out(unread: Sequence[UnreadLead]) -> Table:
    """Leads whose lines could not be read: on no drawing of this print, and their numbers kept for them."""
    rows = [Row(("Missing on every sheet: these lines could not be read. Mend them before wire is cut",), heading=True)]
    rows += [Row((Tick(), lead.tag or "?", lead.says), bold=1) for lead in unread]
    if any(not lead.tag for lead in unread):
        rows.append(Row(("", "?", "how many leads are missing there is not known: numbers given after it may change")))
    columns = (Column("", 7), Column("tag", 18), Column("as written", 230))
    return Table(columns, tuple(rows) if unread else (), LETTERING)


def _cells(row: LeadRow, spare: bool) -> tuple[Cell, ...]:
    colour: Cell = Swatch(row.colour.code, f"{row.colour.word} {row.colour.code}") if row.colour else ""
    if row.colour is None and row.kind in ("wire", "shielded"):
        colour = "not said"
    if row.kind == "bare":
        colour = Swatch("BARE", "bare")
    return (Tick(), row.tag, colour, row.start_says, row.end_says, wire_words(row), _cut(row, spare), _shares(row.cut),
            strip_words(row), ", ".join(row.channels), _remark(row))


UNTAGGED = "drawn without a tag"
"""Of joints that are metal, not wire: nobody ties a flag to them."""


def _remark(row: LeadRow) -> str:
    words = [f"braid to {says}" for says in row.shield_says]
    words += [UNTAGGED] if row.kind in ("leg", "bend", "bridge") else []
    return "; ".join([*words, row.remark] if row.remark else words)


def wire_words(row: LeadRow) -> str:
    """Kind, gauge and outer diameter: ``hook-up wire, 24 AWG, 1.4 mm``."""
    words = [row.kind_says]
    if row.gauge is not None:
        words.append(f"{row.gauge} AWG")
    if row.diameter is not None:
        words.append(f"⌀ {number(row.diameter)} mm")
    return ", ".join(words)


def _cut(row: LeadRow, spare: bool) -> str:
    """The cut length; of a pickup's own conductor, whose spare is kept, the least."""
    if row.length is None and row.cut.reason.startswith("one wire with"):
        return row.cut.reason.removeprefix("one wire ")
    if row.length is None:
        return "" if row.kind in ("leg", "bend", "bridge") else "measure"
    return f"min {number(row.length)}" if spare else number(row.length)


def _shares(cut: CutLength) -> str:
    return " + ".join(f"{share.name} {number(share.mm)}" for share in cut.shares if round(share.mm, 1))


def strip_words(row: LeadRow) -> str:
    """How far each end is stripped: ``6 / 8``."""
    texts = [text.removeprefix("strip ") or "–" for text in row.cut.strips]
    return " / ".join(texts) if any(row.cut.strips) else ""


def _totals(totals: Sequence[WireTotal]) -> Table:
    rows = [Row(("Wire to have at hand (pickups' own conductors and kept leads not counted)",), heading=True)]
    for total in totals:
        colour: Cell = Swatch(total.colour.code, total.colour.word) if total.colour else "any colour"
        if "bare" in total.kind_says:
            colour = Swatch("BARE", "bare")
        gauge = f"{total.gauge} AWG" if total.gauge else ""
        length = f"{number(total.length)} mm" if total.length else ""
        unmeasured = f"{total.unmeasured} not measured" if total.unmeasured else ""
        rows.append(Row((Tick(), total.kind_says, colour, gauge, str(total.leads), length, unmeasured)))
    columns = (Column("", 7), Column("wire", 50), Column("colour", 45), Column("gauge", 25),
               Column("leads", 18, right=True), Column("together", 30, right=True), Column("", 60))
    return Table(columns, tuple(rows) if len(rows) > 1 else (), LETTERING)


def _joints(found: Sequence[Joint]) -> Table:
    rows = [Row(("Joints, lug by lug: what must be in each before it is soldered",), heading=True)]
    for joint in found:
        ends = "; ".join(f"{e.tag} {e.says}" for e in joint.ends)
        rows.append(Row((Tick(), joint.says, joint.kind, str(joint.wires), ends), bold=1))
    columns = (Column("", 7), Column("lug", 55), Column("kind", 22), Column("ends", 15, right=True),
               Column("what is soldered there", 150))
    return Table(columns, tuple(rows) if len(rows) > 1 else (), LETTERING)


def _notes(context: SheetContext) -> Table:
    rows = [Row((Tick(), note)) for note in context.notes]
    if rows:
        rows.insert(0, Row(("To look at and to settle",), heading=True))
    return Table((Column("", 7), Column("", 240)), tuple(rows), LETTERING)
