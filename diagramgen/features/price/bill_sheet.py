"""Estimate and account: an upright sheet with the shop's head, lines by group, tax, total and the rules of rounding."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import partial

from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Sheet, Text
from diagramgen.features.price.bill import Bill, BillLine
from diagramgen.features.price.price_file import LABOUR, labour_words
from diagramgen.job.material import Counted
from diagramgen.kernel.geometry import Box, Point, polyline, rounded_box
from diagramgen.kernel.paper import Paper
from diagramgen.lettering import fit, text_width, wrap
from diagramgen.sheets.context import SheetMaker
from diagramgen.sheets.forms import blank
from diagramgen.sheets.frame import JobLine, framed
from diagramgen.sheets.table import Column, Row, Table, end_of, pages

LETTERING = 2.5
SMALL = 2.0
PITCH = 4.4
"""From line to line of running text, mm."""
SUMS = 92.0
"""Width of the block of sums, mm."""
GROUPS = {"parts": "Parts", "stock": "Wire and sleeve", "labour": "Work, counted", "shop": "Further"}
TITLES = {"estimate": "Estimate", "account": "Account"}


@dataclass(frozen=True)
class Addressed:
    """Whom an estimate or account is for, and what it rests on."""

    customer: str
    reference: str
    counted: Counted


def bill_sheets(
    bill: Bill, kind: str, to: Addressed, job: JobLine, paper: Paper, unproved: bool = False
) -> list[SheetMaker]:
    """The estimate or account (``kind``) on as many sheets as it takes."""
    words = ["NOT PROVED: the build has errors"] if unproved else []
    words += [f"INCOMPLETE: {len(bill.missing)} not priced"] if not bill.complete else []
    warning = " · ".join(words)
    probe = framed(paper, job, TITLES[kind], None, 1, 1, warning)
    room = Box(probe.room.left + 6, probe.room.top + 5, probe.room.right - 6, probe.room.bottom - 4)
    blocks = _blocks(bill, kind, to, job, room)
    return [partial(_sheet, block, job, paper, kind, warning) for block in blocks]


def _sheet(block: Sequence[Mark], job: JobLine, paper: Paper, kind: str, warning: str, n: int, of: int) -> Sheet:
    frame = framed(paper, job, TITLES[kind], None, n, of, warning)
    return Sheet(paper.width, paper.height, f"{kind} {n}", (*frame.marks, *block), kind)


def _blocks(bill: Bill, kind: str, to: Addressed, job: JobLine, room: Box) -> list[list[Mark]]:
    head, y = _head(bill, kind, to, job, room)
    table = _table(bill)
    blocks = pages(table, room, y)
    blocks[0] = [*head, *blocks[0]]
    y = end_of(table, room, y) + 4
    for block in (_sums(bill, kind, room), _under(bill, kind, to, room)):
        marks, tall = block
        if y + tall > room.bottom:
            blocks.append([])
            y = room.top
        blocks[-1] += [m for make in marks for m in make(y)]
        y += tall + 4
    return blocks


def _head(bill: Bill, kind: str, to: Addressed, job: JobLine, room: Box) -> tuple[list[Mark], float]:
    """The shop on the left, customer and job on the right; returns the marks and where they end."""
    shop = bill.prices.shop or ((job.workshop,) if job.workshop else ())
    middle = room.left + room.width * 0.55
    marks: list[Mark] = []
    y = room.top + 5
    for i, line in enumerate(shop):
        space = middle - room.left - 4
        tall = next((h for h in ((3.5, 3.0, 2.5) if i == 0 else (LETTERING,)) if text_width(line, h, i == 0) <= space),
                    SMALL)
        marks.append(Text(fit(line, tall, space, i == 0), Point(room.left, y), tall, bold=i == 0))
        y += PITCH + (1.2 if i == 0 else 0)
    left_end, y = y, room.top + 5
    for label, text in _addressed(kind, to, job):
        marks.append(Text(label, Point(middle, y), SMALL, role=Role.ARROW_TEXT))
        at = middle + 21
        shown = text or blank(room.right - at - 1, LETTERING)
        for line in wrap(shown, LETTERING, room.right - at, bool(text)):
            marks.append(Text(line, Point(at, y), LETTERING, bold=bool(text)))
            y += PITCH
        y += 0.6
    return [Group(tuple(marks), kind=Kind.NOTE)], max(left_end, y) + 2


def _addressed(kind: str, to: Addressed, job: JobLine) -> Iterator[tuple[str, str]]:
    yield "for", to.customer
    yield "reference", to.reference
    yield "instrument", job.instrument
    yield "work", job.title
    yield f"{kind} no.", ""
    yield "date", job.date


def _table(bill: Bill) -> Table:
    code = bill.prices.currency.code
    rows: list[Row] = []
    for group, head in GROUPS.items():
        lines = [line for line in bill.lines if line.group == group]
        if not lines:
            continue
        rows.append(Row((head,), heading=True))
        rows += [Row((line.says, _quantity(line, bill), _each(line, bill), _amount(line, bill)),
                     bold=3 if line.amount is None else -1) for line in lines]
    columns = (Column("what", 88), Column("quantity", 23, right=True), Column(f"each, {code}", 38, right=True),
               Column(f"amount, {code}", 33, right=True))
    return Table(columns, tuple(rows), LETTERING)


def _quantity(line: BillLine, bill: Bill) -> str:
    if line.quantity is None:
        return ""
    number = bill.prices.currency.number(line.quantity)
    unit = {"piece": "", "metre": " m", "foot": " ft"}.get(line.unit, f" {line.unit}")
    return f"{number}{unit}"


def _each(line: BillLine, bill: Bill) -> str:
    if line.each is None or line.quantity is None:
        return ""
    words = bill.prices.currency.words(line.each)
    if line.unit == "min":
        return f"{words} / h"
    per = line.per.says if line.per is not None else "piece"
    return words if per == "piece" else f"{words} / {per}"


def _amount(line: BillLine, bill: Bill) -> str:
    if line.amount is None:
        return "price missing" if line.quantity is not None else "not measured"
    return bill.prices.currency.words(line.amount) if line.charged else "not charged"


def _rows_of_sums(bill: Bill) -> Iterator[tuple[str, Decimal]]:
    held = bill.prices.tax_included
    if bill.taxes and not held:
        yield "together, without tax", bill.lines_total
    elif bill.rounding:
        yield "together", bill.lines_total
    if not held:
        for one in bill.taxes:
            yield tax_words(one.tax.name, one.tax.percent, one.tax.on, bill), one.amount
    if bill.rounding:
        yield f"rounded to {bill.prices.currency.words(bill.prices.round_to)}", bill.rounding


def tax_words(name: str, percent: Decimal, on: str, bill: Bill) -> str:
    """``VAT 20 %``, ``sales tax 8.875 % on parts``."""
    rate = bill.prices.currency.number(percent, 6)
    return f"{name} {rate} %" + ("" if on == "all" else f" on {on}")


def _sums(bill: Bill, kind: str, room: Box) -> tuple[list[partial[list[Mark]]], float]:
    """The block of sums at the right, the total in a box."""
    currency, left = bill.prices.currency, room.right - SUMS
    rows = list(_rows_of_sums(bill))
    held = [(f"holds {tax_words(t.tax.name, t.tax.percent, t.tax.on, bill)}", t.amount) for t in bill.taxes
            ] if bill.prices.tax_included else []

    def at(y: float) -> list[Mark]:
        marks: list[Mark] = []
        y += 3.4
        for label, amount in rows:
            marks += _sum_line(label, currency.words(amount), left, room.right, y, LETTERING)
            y += PITCH + 0.4
        box = Box(left, y - 1.6, room.right, y + 8.0)
        role = Role.STAMP if bill.complete else Role.WARNING
        words = Role.STAMP_TEXT if bill.complete else Role.WARNING_TEXT
        label = ("estimated total" if kind == "estimate" else "to pay") if bill.complete else "so far"
        marks.append(Shape((rounded_box(box, 0.8),), role))
        total = f"{currency.code} {currency.words(bill.total)}"
        free = SUMS - 10 - text_width(label, 3.0, True)
        tall = next((h for h in (4.0, 3.0, 2.5) if text_width(total, h, True) < free), 2.0)
        marks.append(Text(label, Point(left + 3, y + 4.7), 3.0, bold=True, role=words))
        marks.append(Text(total, Point(room.right - 3, y + 5.2), tall, "end", bold=True, role=words))
        y += 12.2
        for label, amount in held:
            marks += _sum_line(label, currency.words(amount), left, room.right, y, SMALL)
            y += PITCH
        return [Group(tuple(marks), kind=Kind.NOTE)]

    tall = 3.4 + len(rows) * (PITCH + 0.4) + (12.2 + len(held) * PITCH if held else 8.0)
    return [partial(at)], tall


def _sum_line(label: str, amount: str, left: float, right: float, y: float, height: float) -> list[Mark]:
    room = right - left - text_width(amount, height) - 10
    return [Text(fit(label, height, room), Point(left + 3, y), height),
            Text(amount, Point(right - 3, y), height, "end")]


def _under(bill: Bill, kind: str, to: Addressed, room: Box) -> tuple[list[partial[list[Mark]]], float]:
    """What is missing, what was counted, how it was rounded, the shop's own words, and where it is signed."""
    lines: list[tuple[str, bool]] = []
    if not bill.complete:
        lines += [(f"Not yet in the sum: {'; '.join(bill.missing)}.", True)]
    lines += [(counted_words(to.counted), False), (rules(bill), False)]
    terms = bill.prices.terms.get(kind, "")
    texts = [(line, bold) for text, bold in lines for line in wrap(text, SMALL, room.width, bold)]
    own = wrap(terms, LETTERING, room.width) if terms else []
    signed = {"estimate": "Agreed up to", "account": "Received"}[kind]

    def at(y: float) -> list[Mark]:
        marks: list[Mark] = []
        y += 3.0
        for line in own:
            marks.append(Text(line, Point(room.left, y), LETTERING))
            y += PITCH
        y += 1.5 if own else 0.0
        for line, bold in texts:
            marks.append(Text(line, Point(room.left, y), SMALL, bold=bold))
            y += SMALL * 1.75
        y += 9.0
        marks += _signing(signed, bill.prices.currency.code, room, y)
        return [Group(tuple(marks), kind=Kind.NOTE)]

    return [partial(at)], 3.0 + len(own) * PITCH + (1.5 if own else 0) + len(texts) * SMALL * 1.75 + 13.0


def _signing(word: str, code: str, room: Box, y: float) -> list[Mark]:
    marks: list[Mark] = []
    third = room.width / 3
    for i, label in enumerate((f"{word}, {code}", "date", "signed")):
        left = room.left + i * third
        rule = polyline([Point(left, y), Point(left + third - 6, y)])
        marks.append(Shape((rule,), Role.TABLE_RULE))
        marks.append(Text(label, Point(left, y + 3.2), SMALL, role=Role.ARROW_TEXT))
    return marks


def counted_words(counted: Counted) -> str:
    """``Counted from the wiring: 11 joints soldered, 5 parts put in.``"""
    found = [labour_words(key, counted.of(key)) for key in LABOUR if counted.of(key)]
    return f"Counted from the wiring: {', '.join(found) or 'nothing'}."


def rules(bill: Bill) -> str:
    """How it was rounded, in words."""
    currency = bill.prices.currency
    least = f"{currency.signed(str(currency.least))} {currency.code}"
    lines = (f"Each line is rounded half up to {least}, then added." if bill.prices.each_line else
             f"Lines are printed rounded half up to {least}; the exact ones are added and the sum is rounded once.")
    tax = " Each tax is rounded once, on all it is taken on." if bill.taxes else ""
    if not bill.taxes:
        tax = " No tax is named in the price file."
    elif bill.prices.tax_included:
        tax = " Prices hold the tax." + tax
    return lines + tax
