"""The fault sheet: what the meter or the ear gives, and the joints to look at first."""

from __future__ import annotations

from diagramgen.circuit.outputs import Output, outputs
from diagramgen.circuit.states import TooMany
from diagramgen.diagnosis.fault_model import fault_model
from diagramgen.diagnosis.simulate import simulate
from diagramgen.features.faults.fault_kinds import single_faults
from diagramgen.features.faults.fault_table import LookUp, LookUpRow, look_up
from diagramgen.job.output_words import plug_of
from diagramgen.kernel.paper import Paper
from diagramgen.sheets.context import SheetContext, SheetMaker
from diagramgen.sheets.table import Column, Row, Table
from diagramgen.sheets.table_sheets import list_sheets

LETTERING = 2.0
STAMP = "fault sheet: one thing wrong, where to look first"
ROWS = 22
"""Rows at most; fewer where the page is full. The rest is for the command ``fault``."""
FEWEST = 6
"""Rows below which a second page is taken."""
HEAD = 18
"""Letters of a position that fit over a column."""
LETTERS = ("A", "B", "C", "D", "E")


def fault_sheets(context: SheetContext, paper: Paper, alone: bool = False) -> list[SheetMaker]:
    """The fault sheet, one for each output; nothing for a build without an output jack or with more states than are
    solved."""
    return [sheet for output in outputs(context.layout.build) for sheet in _of_output(context, paper, alone, output)]


def _of_output(context: SheetContext, paper: Paper, alone: bool, output: Output) -> list[SheetMaker]:
    try:
        laid = fault_model(context.layout.build, output)
    except (TooMany, ValueError):
        return []
    found = look_up(simulate(laid, single_faults(laid)))
    sheets: list[SheetMaker] = []
    most = min(ROWS, len(found.rows))
    for rows in range(most, min(FEWEST, most) - 1, -1):
        how = plug_of(context.layout.build, output)
        tables = [t for t in (_positions(found), _table(found, rows, how, output), _notes(found, rows)) if t.rows]
        sheets = list_sheets(tables, context.job, paper, STAMP, "faults", context.warning, alone)
        if len(sheets) == 1:
            break
    return sheets


def _long(found: LookUp) -> bool:
    return any(len(p) > HEAD for p in found.positions)


def _positions(found: LookUp) -> Table:
    """What the letters over the columns stand for, where the positions are too long for a head."""
    rows = [Row((letter, words), bold=0) for letter, words in zip(LETTERS, found.positions, strict=False)]
    return Table((Column("", 8), Column("position", 270)), tuple(rows) if _long(found) else (), LETTERING)


def _table(found: LookUp, most: int, plug: str, output: Output) -> Table:
    ear = "By ear" if plug == "the plug" else f"By ear at {plug}"
    how = (f"{ear}, every pickup tapped, knobs at 10 (no ohm figure means anything at this plug)" if found.by_ear else
           f"At {plug}, {output.contact} to sleeve, knobs at 10, blends and trimmers at 5")
    rows = [Row((f"{how}; blank: as it should be",), heading=True)]
    rows += [Row((*found.healthy, "nothing is wrong"), bold=len(found.healthy))]
    rows += [Row((*row.shown, _places(row))) for row in found.rows[:most]]
    heads = LETTERS if _long(found) else found.positions
    count = len(found.positions)
    width = (14.0 if _long(found) else 24.0) * min(count, 5) / max(count, 1)
    columns = (*(Column(heads[i], width) for i in range(count)),
               Column("look here, the likeliest first", 280 - width * count))
    return Table(columns, tuple(rows), LETTERING)


def _places(row: LookUpRow) -> str:
    said = []
    for kind, places, more in row.faults:
        rest = f" and {more} more" if more else ""
        said.append(f"{kind}: {', '.join(places)}{rest}")
    return "; ".join(said)


def _notes(found: LookUp, most: int) -> Table:
    lines = []
    left = len(found.rows) - most
    if left > 0:
        lines.append(f"{left} rarer patterns are left out.")
    lines += [
        f"{found.unseen} faults show in none of these positions (a tone that does nothing, a braid off its case): turn "
        "each knob, tap each pickup, meter each case and the strings to the sleeve.",
        "One fault at a time is worked out. Readings that fit no row: two faults, or one that is not in the list; take "
        "them again with the plug wiggled and the switch thrown a few times.",
        "How often each kind is met is a technician's judgement, no source. Amplifier unplugged while metering.",
    ]
    rows = [Row((line,)) for line in lines]
    return Table((Column("", 280),), tuple(rows), LETTERING)
