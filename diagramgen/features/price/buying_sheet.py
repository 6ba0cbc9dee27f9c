"""The buying list: parts to buy with all that must match, wire and sleeve, what stays and what comes out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from diagramgen.features.price.bill import price_of, stock_price
from diagramgen.features.price.price_file import Price, PriceFile
from diagramgen.job.material import BuyingList, Figure, PartLine, StockLine
from diagramgen.kernel.paper import Paper
from diagramgen.sheets.context import SheetContext, SheetMaker
from diagramgen.sheets.forms import blank
from diagramgen.sheets.table import Cell, Column, Row, Swatch, Table, Tick
from diagramgen.sheets.table_sheets import list_sheets

LETTERING = 2.0
STAMP = "parts to buy"
BRACKETS = ("In brackets: typical of the kind, nobody measured or chose it. Ask for the real figure before you order; "
            "write what you learn into the build, and the list is made anew.")
FITS = ("A thread must be as long as it needs: wood, washers and nut. A knob's bore must fit shaft and splines. A hole "
        "is reamed by hand from both sides, never drilled in one go.")


def buying_sheets(
    listed: BuyingList, prices: PriceFile | None, context: SheetContext, paper: Paper
) -> list[SheetMaker]:
    """The buying list of a build; codes and prices stand on it where a price file is given."""
    tables = [_to_buy(listed, prices), _stock(listed.stock, prices), _others(listed), _notes(listed)]
    return list_sheets(tables, context.job, paper, STAMP, "buying", context.warning, alone=True, cautioned=False)


def figure_words(figure: Figure, mm: float = 9) -> str:
    """A figure as printed: typical ones in brackets, unknown ones as a line to write on."""
    if figure.blank:
        return blank(mm, LETTERING)
    return f"({figure.words})" if figure.typical else figure.words


def _to_buy(listed: BuyingList, prices: PriceFile | None) -> Table:
    head = "Parts to buy" if listed.compared else "Parts of the build, all of them: no state as found is named"
    rows = [Row((f"{head} (lengths in mm)",), heading=True)]
    rows += [Row(_part_cells(line, listed.compared, prices), bold=1) for line in listed.parts_that("buy")]
    if len(rows) == 1:
        rows = [Row(("No part is to be bought",), heading=True)]
    priced = [] if prices is None else [Column(f"each, {prices.currency.code}", 26, right=True)]
    columns = (
        Column("", 6), Column("", 9, right=True), Column("part", 38), Column("value", 19), Column("taper", 17),
        Column("shaft", 15, right=True), Column("bushing", 19, right=True), Column("thread", 16, right=True),
        Column("needs", 15, right=True), Column("bore", 13, right=True), Column("hole", 18, right=True),
        Column("for", 34), *([Column("in place of", 36)] if listed.compared else []), Column("code", 26), *priced)
    return Table(columns, tuple(rows), LETTERING)


def _part_cells(line: PartLine, compared: bool, prices: PriceFile | None) -> tuple[Cell, ...]:
    s = line.specs
    measures = (s.shaft, s.bushing, s.thread, s.needs, s.bore)
    found = [] if prices is None else [price_of(part, prices) for part in line.parts]
    notes = dict.fromkeys(part.note for part in line.parts if part.note)
    says = f"{line.says} ({'; '.join(notes)})" if notes else line.says
    cells: list[Cell] = [Tick(), f"{line.quantity} ×", f"{s.kind}, {s.symbol}", figure_words(s.value, 14),
                         figure_words(s.taper, 12), *(figure_words(f) for f in measures), figure_words(s.hole),
                         says]
    cells += ["; ".join(line.replaces)] if compared else []
    cells.append(_codes(found) or blank(20, LETTERING))
    if prices is not None:
        cells.append(_each(found, prices))
    return tuple(cells)


def _codes(found: Sequence[Price | None]) -> str:
    return "; ".join(dict.fromkeys(" ".join(filter(None, (p.supplier, p.code))) for p in found if p is not None))


def _each(found: Sequence[Price | None], prices: PriceFile) -> str:
    words = [price_words(p, prices) for p in found]
    return ", ".join(dict.fromkeys(words))


def price_words(price: Price | None, prices: PriceFile) -> str:
    """``7.90``, ``0.60 / metre``, ``not charged``, ``price missing``."""
    if price is None:
        return "price missing"
    if price.amount is None:
        return "not charged"
    per = "" if price.per.says == "piece" else f" / {price.per.says}"
    return f"{prices.currency.words(price.amount)}{per}"


def _stock(stock: Sequence[StockLine], prices: PriceFile | None) -> Table:
    rows = [Row(("Wire and sleeve, as the cut list has it, without waste (pickups' own conductors and kept leads not "
                 "counted)",), heading=True)]
    for line in stock:
        swatch: Cell = ""
        if line.colour is not None:
            swatch = Swatch("BARE" if line.colour.bare else line.colour.code, line.colour.word)
        gauge = f"{line.gauge} AWG" if line.gauge is not None else ""
        open_ = f"{len(line.unmeasured)} not measured: {', '.join(line.unmeasured)}" if line.unmeasured else ""
        found = None if prices is None else stock_price(line, prices)
        cells: list[Cell] = [Tick(), line.says, swatch, gauge, str(line.pieces), f"{_plain(line.mm)} mm", open_,
                             _codes([found]) or blank(20, LETTERING)]
        if prices is not None:
            cells.append(price_words(found, prices))
        rows.append(Row(tuple(cells), bold=1))
    priced = [] if prices is None else [Column(f"each, {prices.currency.code}", 30, right=True)]
    columns = (Column("", 6), Column("wire", 62), Column("colour", 40), Column("gauge", 20),
               Column("pieces", 16, right=True), Column("together", 24, right=True), Column("", 50), Column("code", 30),
               *priced)
    return Table(columns, tuple(rows) if len(rows) > 1 else (), LETTERING)


def _plain(mm: Decimal) -> str:
    text = f"{mm:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _others(listed: BuyingList) -> Table:
    """What stays, and what comes out and is handed back."""
    rows: list[Row] = []
    for fate, head in (("out", "Comes out: kept in a bag, labelled, and handed back"),
                       ("stays", "Stays in the instrument: not bought")):
        found = list(_other(listed.parts_that(fate)))
        rows += [Row((head,), heading=True), *found] if found else []
    columns = (Column("", 6), Column("", 9, right=True), Column("part", 90), Column("value", 60), Column("for", 140))
    return Table(columns, tuple(rows), LETTERING)


def _other(lines: Sequence[PartLine]) -> Iterator[Row]:
    for line in lines:
        s = line.specs
        values = " ".join(filter(None, (figure_words(s.value, 14), figure_words(s.taper, 12))))
        mark: Cell = Tick() if line.fate == "out" else ""
        yield Row((mark, f"{line.quantity} ×", f"{s.kind}, {s.symbol}", values, line.says), bold=2)


def _notes(listed: BuyingList) -> Table:
    buys = listed.parts_that("buy")
    notes = [BRACKETS] if any(f.typical for line in buys for f in vars(line.specs).values() if isinstance(f, Figure)
                              ) or any("(" in line.specs.value.words for line in buys) else []
    notes += [FITS] if any(line.specs.thread.words for line in buys) else []
    rows = [Row(("", note)) for note in notes]
    return Table((Column("", 6), Column("", 300)), tuple(rows), LETTERING)
