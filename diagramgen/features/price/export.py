"""Buying list and bill as files: CSV (RFC 4180) and JSON with a format version.

Columns and keys are never renamed or reordered; new ones are added at the end. Amounts are texts with a point, exact to
the currency's decimals. ``docs/prices.md`` lists each,
written from ``BILL_COLUMNS`` and ``BUYING_COLUMNS``.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from diagramgen.features.price.bill import Bill, BillLine, price_of, stock_price
from diagramgen.features.price.money import Currency, half_up
from diagramgen.features.price.price_file import Price, PriceFile
from diagramgen.job.material import BuyingList, Figure, PartLine, StockLine
from diagramgen.kernel.columns import Column, Form, cells, csv_table, json_row
from diagramgen.kernel.units import number

FORMAT = 1
"""Version of the JSON form; raised when a key changes its meaning."""
CHECK = "the first 8 digits of the checksum over build and price file together"
CURRENCY = "three letters of ISO 4217"
SUPPLIER = "where it is bought and its number there, as the price file has them"
PRICE = "price of so many (`per`), exact to the currency's decimals"
FIGURES = {"value": "value", "taper": "taper", "shaft": "shaft_mm", "bushing": "bushing_mm", "thread": "thread_mm",
           "needs": "thread_needed_mm", "bore": "knob_bore_mm", "hole": "hole"}
"""Figures of a part: name among its specifications -> column."""


def money(amount: Decimal | Fraction | None, currency: Currency) -> str:
    """Write an amount with a point, whatever the papers print: ``1234.50``; empty where there is none."""
    return "" if amount is None else f"{half_up(amount, currency.least):.{currency.decimals}f}"


def _missing(line: BillLine) -> str:
    return "price missing" if line.quantity is not None else "not measured"


def _quantity(line: BillLine) -> str:
    """The quantity with as many decimals as it needs, six at most."""
    if line.quantity is None:
        return ""
    text = f"{half_up(line.quantity, Decimal('0.000001')):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


@dataclass(frozen=True)
class _Charged:
    """A line of the bill, and the currency its amounts are written in."""

    line: BillLine
    currency: Currency


def _charged(value: Callable[[BillLine], Decimal | None]) -> Callable[[_Charged], str | None]:
    """An amount of a line as text; None where there is none."""
    return lambda row: money(value(row.line), row.currency) or None


BILL_COLUMNS: tuple[Column[_Charged], ...] = (
    Column("group", "", "parts, stock, labour or shop; tax; sum", lambda row: row.line.group),
    Column("what", "", "what is charged, or which tax or sum it is", lambda row: row.line.says),
    Column("quantity", "", "how many of the unit", lambda row: _quantity(row.line) or None),
    Column("unit", "", "piece, metre or min; empty for money alone", lambda row: row.line.unit or None),
    Column("each", "", "price of so many (`per`), of labour an hour; in a row of tax what it is taken on",
           _charged(lambda line: line.each)),
    Column("per", "", "how many `each` is the price of", lambda row: row.line.per.says if row.line.per else None),
    Column("minutes", "min", "labour of the line", lambda row: f"{row.line.minutes:f}" if row.line.minutes else None),
    Column("amount", "", "what the line comes to, `price missing` or `not measured`",
           lambda row: _missing(row.line) if row.line.amount is None else money(row.line.amount, row.currency),
           Form.CSV),
    Column("amount", "", "", _charged(lambda line: line.amount), Form.JSON),
    Column("tax_class", "", "", lambda row: row.line.on, Form.JSON),
    Column("charged", "", "", lambda row: row.line.charged, Form.JSON),
    Column("currency", "", CURRENCY, form=Form.CSV),
    Column("supplier", "", SUPPLIER, lambda row: row.line.supplier),
    Column("code", "", SUPPLIER, lambda row: row.line.code),
    Column("file_check", "", CHECK, form=Form.CSV),
)


def bill_csv(bill: Bill, check: str = "") -> str:
    """Write every line, each tax, the rounding and the total as CSV text; write it without translating line ends."""
    currency = bill.prices.currency
    lines = [cells(BILL_COLUMNS, _Charged(line, currency)) for line in bill.lines]
    return csv_table(BILL_COLUMNS, [*lines, *_sums(bill)], currency=currency.code, file_check=check)


def _sums(bill: Bill) -> Iterator[dict[str, str]]:
    """The rows under the lines."""
    currency = bill.prices.currency
    yield {"group": "sum", "what": "lines", "amount": money(bill.lines_total, currency)}
    for one in bill.taxes:
        words = f"{one.tax.name} {one.tax.percent:f} % {'included' if bill.prices.tax_included else 'added'}"
        yield {"group": "tax", "what": words, "each": money(one.base, currency), "amount": money(one.amount, currency)}
    if bill.rounding:
        yield {"group": "sum", "what": "rounding", "amount": money(bill.rounding, currency)}
    what = "total" if bill.complete else "total so far, prices are missing"
    yield {"group": "sum", "what": what, "amount": money(bill.total, currency)}


def bill_dict(bill: Bill) -> dict[str, Any]:
    """Give the bill as plain values for JSON: amounts as texts, keys in a fixed order."""
    currency = bill.prices.currency
    return {
        "format": FORMAT,
        "currency": currency.code,
        "complete": bill.complete,
        "missing": list(bill.missing),
        "lines": [json_row(BILL_COLUMNS, _Charged(line, currency)) for line in bill.lines],
        "lines_total": money(bill.lines_total, currency),
        "tax_included": bill.prices.tax_included,
        "taxes": [{"name": t.tax.name, "percent": f"{t.tax.percent:f}", "on": t.tax.on, "base": money(t.base, currency),
                   "amount": money(t.amount, currency)} for t in bill.taxes],
        "rounding": money(bill.rounding, currency),
        "total": money(bill.total, currency),
        "minutes": f"{bill.minutes:f}",
    }


@dataclass(frozen=True)
class _Bought:
    """A row of the buying list: a part, or wire and sleeve; and its price where the price file has one."""

    part: PartLine | None
    stock: StockLine | None
    price: Price | None
    currency: Currency | None

    def figure(self, name: str) -> Figure | None:
        """One of ``FIGURES`` of a part."""
        return None if self.part is None else getattr(self.part.specs, name)


def _part_says(value: Callable[[PartLine], Any]) -> Callable[[_Bought], Any]:
    return lambda row: None if row.part is None else value(row.part)


def _stock_says(value: Callable[[StockLine], Any]) -> Callable[[_Bought], Any]:
    return lambda row: None if row.stock is None else value(row.stock)


def _price_says(value: Callable[[Price, Currency], str]) -> Callable[[_Bought], str | None]:
    return lambda row: None if row.price is None or row.currency is None else value(row.price, row.currency)


def _figure_column(name: str) -> Column[_Bought]:
    def value(row: _Bought) -> str | None:
        figure = row.figure(name)
        return None if figure is None else figure.words

    return Column(FIGURES[name], "mm" if FIGURES[name].endswith("_mm") else "", "as the list prints it", value)


def _typical(row: _Bought) -> str:
    found = ((column, row.figure(name)) for name, column in FIGURES.items())
    return " ".join(column for column, figure in found if figure is not None and figure.typical)


BUYING_COLUMNS: tuple[Column[_Bought], ...] = (
    Column("fate", "", "buy, stays or out", lambda row: row.part.fate if row.part else "buy"),
    Column("quantity", "", "how many parts", _part_says(lambda part: part.quantity)),
    Column("symbol", "", "the part's symbol", _part_says(lambda part: part.specs.symbol)),
    Column("kind", "", "what it is, in words",
           lambda row: row.part.specs.kind if row.part else row.stock.says if row.stock else None),
    *(_figure_column(name) for name in FIGURES),
    Column("typical", "", "the columns of this row that are typical of the kind", _typical),
    Column("for", "", "the parts of the build, in words", _part_says(lambda part: part.says)),
    Column("replaces", "", "what comes out in its place, parted by `; `", _part_says(lambda part: part.replaces)),
    Column("colour", "", "colour of wire", _stock_says(lambda stock: stock.colour and stock.colour.word)),
    Column("gauge_awg", "AWG", "gauge of wire", _stock_says(lambda stock: stock.gauge)),
    Column("pieces", "", "pieces of wire or sleeve", _stock_says(lambda stock: stock.pieces)),
    Column("length_mm", "mm", "all pieces together, without waste",
           _stock_says(lambda stock: number(float(stock.mm)))),
    Column("supplier", "", SUPPLIER, _price_says(lambda price, currency: price.supplier)),
    Column("code", "", SUPPLIER, _price_says(lambda price, currency: price.code)),
    Column("price", "", PRICE, _price_says(lambda price, currency: money(price.amount, currency))),
    Column("per", "", "how many `price` is the price of", _price_says(lambda price, currency: price.per.says)),
    Column("currency", "", CURRENCY, _price_says(lambda price, currency: currency.code)),
    Column("file_check", "", CHECK),
)


def buying_csv(listed: BuyingList, prices: PriceFile | None, check: str = "") -> str:
    """Write every part, wire and sleeve as CSV text, the parts first; write it without translating line ends."""
    currency = None if prices is None else prices.currency
    rows = [_Bought(line, None, None if prices is None else price_of(line.parts[0], prices), currency)
            for line in listed.parts]
    rows += [_Bought(None, stock, None if prices is None else stock_price(stock, prices), currency)
             for stock in listed.stock]
    return csv_table(BUYING_COLUMNS, (cells(BUYING_COLUMNS, row) for row in rows), file_check=check)


def buying_dict(listed: BuyingList) -> dict[str, Any]:
    """Give the buying list as plain values for JSON, keys in a fixed order; lengths in mm."""
    return {
        "format": FORMAT,
        "compared": listed.compared,
        "counts": asdict(listed.counted),
        "parts": [_part(line) for line in listed.parts],
        "stock": [_stock(line) for line in listed.stock],
    }


def _part(line: PartLine) -> dict[str, Any]:
    figures = {}
    for name in FIGURES:
        f: Figure = getattr(line.specs, name)
        figures[name] = {"words": f.words, "typical": f.typical} if f.words else {"unknown": True} if f.blank else None
    return {"fate": line.fate, "quantity": line.quantity, "symbol": line.specs.symbol, "kind": line.specs.kind,
            **figures, "names": [p.name for p in line.parts], "for": line.says, "replaces": list(line.replaces)}


def _stock(line: StockLine) -> dict[str, Any]:
    return {"words": line.says, "colour": line.colour.word if line.colour else None, "gauge_awg": line.gauge,
            "pieces": line.pieces, "length_mm": float(line.mm), "unmeasured": list(line.unmeasured)}


def price_json(listed: BuyingList, bill: Bill | None, check: str = "") -> str:
    """Write buying list and bill as JSON text, ending in one line feed; ``bill`` is null without prices."""
    whole = {"format": FORMAT, "buying": buying_dict(listed), "bill": None if bill is None else bill_dict(bill),
             "file_check": check}
    return json.dumps(whole, ensure_ascii=False, indent=1) + "\n"
