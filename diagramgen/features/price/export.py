"""Buying list and bill as files: CSV (RFC 4180) and JSON with a format version.

Columns and keys are never renamed or reordered; new ones are added at the end. Amounts are texts with a point, exact to
the currency's decimals. ``docs/prices.md`` describes each.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from decimal import Decimal
from fractions import Fraction
from typing import Any

from diagramgen.features.price.bill import Bill, BillLine, price_of, stock_price
from diagramgen.features.price.money import Currency, half_up
from diagramgen.features.price.price_file import Price, PriceFile
from diagramgen.job.material import BuyingList, Figure, PartLine, StockLine
from diagramgen.kernel.csvtext import csv_text
from diagramgen.kernel.units import number

FORMAT = 1
"""Version of the JSON form; raised when a key changes its meaning."""
BILL_COLUMNS = ("group", "what", "quantity", "unit", "each", "per", "minutes", "amount", "currency", "supplier", "code",
                "file_check")
BUYING_COLUMNS = (
    "fate", "quantity", "symbol", "kind", "value", "taper", "shaft_mm", "bushing_mm", "thread_mm", "thread_needed_mm",
    "knob_bore_mm", "hole", "typical", "for", "replaces", "colour", "gauge_awg", "pieces", "length_mm", "supplier",
    "code", "price", "per", "currency", "file_check",
)
FIGURES = {"value": "value", "taper": "taper", "shaft": "shaft_mm", "bushing": "bushing_mm", "thread": "thread_mm",
           "needs": "thread_needed_mm", "bore": "knob_bore_mm", "hole": "hole"}


def _table(columns: tuple[str, ...], rows: Iterable[dict[str, str]]) -> str:
    return csv_text(columns, ([row.get(column, "") for column in columns] for row in rows))


def money(amount: Decimal | Fraction | None, currency: Currency) -> str:
    """An amount with a point, whatever is printed: ``1234.50``; empty where there is none."""
    return "" if amount is None else f"{half_up(amount, currency.least):.{currency.decimals}f}"


def bill_csv(bill: Bill, check: str = "") -> str:
    """Every line, each tax, the rounding and the total, with CR LF line ends; write it without translating them."""
    return _table(BILL_COLUMNS, _bill_rows(bill, check))


def _bill_rows(bill: Bill, check: str) -> Iterator[dict[str, str]]:
    currency = bill.prices.currency
    always = {"currency": currency.code, "file_check": check}
    for line in bill.lines:
        yield {"group": line.group, "what": line.says, "quantity": _quantity(line), "unit": line.unit,
               "each": money(line.each, currency), "per": line.per.says if line.per else "",
               "minutes": f"{line.minutes:f}" if line.minutes else "",
               "amount": _missing(line) if line.amount is None else money(line.amount, currency),
               "supplier": line.supplier, "code": line.code, **always}
    yield {"group": "sum", "what": "lines", "amount": money(bill.lines_total, currency), **always}
    for one in bill.taxes:
        words = f"{one.tax.name} {one.tax.percent:f} % {'included' if bill.prices.tax_included else 'added'}"
        yield {"group": "tax", "what": words, "quantity": "", "each": money(one.base, currency),
               "amount": money(one.amount, currency), **always}
    if bill.rounding:
        yield {"group": "sum", "what": "rounding", "amount": money(bill.rounding, currency), **always}
    what = "total" if bill.complete else "total so far, prices are missing"
    yield {"group": "sum", "what": what, "amount": money(bill.total, currency), **always}


def _missing(line: BillLine) -> str:
    return "price missing" if line.quantity is not None else "not measured"


def _quantity(line: BillLine) -> str:
    """The quantity with as many decimals as it needs, six at most."""
    if line.quantity is None:
        return ""
    text = f"{half_up(line.quantity, Decimal('0.000001')):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def bill_dict(bill: Bill) -> dict[str, Any]:
    """The bill as plain values, amounts as texts, keys in a fixed order."""
    currency = bill.prices.currency
    return {
        "format": FORMAT,
        "currency": currency.code,
        "complete": bill.complete,
        "missing": list(bill.missing),
        "lines": [{
            "group": line.group, "what": line.says, "quantity": _quantity(line) or None, "unit": line.unit or None,
            "each": money(line.each, currency) or None, "per": line.per.says if line.per else None,
            "minutes": f"{line.minutes:f}" if line.minutes else None, "amount": money(line.amount, currency) or None,
            "tax_class": line.on, "charged": line.charged, "supplier": line.supplier, "code": line.code,
        } for line in bill.lines],
        "lines_total": money(bill.lines_total, currency),
        "tax_included": bill.prices.tax_included,
        "taxes": [{"name": t.tax.name, "percent": f"{t.tax.percent:f}", "on": t.tax.on, "base": money(t.base, currency),
                   "amount": money(t.amount, currency)} for t in bill.taxes],
        "rounding": money(bill.rounding, currency),
        "total": money(bill.total, currency),
        "minutes": f"{bill.minutes:f}",
    }


def buying_csv(listed: BuyingList, prices: PriceFile | None, check: str = "") -> str:
    """Every part, wire and sleeve, with CR LF line ends; write it without translating them."""
    return _table(BUYING_COLUMNS, _buying_rows(listed, prices, check))


def _buying_rows(listed: BuyingList, prices: PriceFile | None, check: str) -> Iterator[dict[str, str]]:
    for line in listed.parts:
        figures: dict[str, Figure] = {column: getattr(line.specs, name) for name, column in FIGURES.items()}
        found = None if prices is None else price_of(line.parts[0], prices)
        yield {"fate": line.fate, "quantity": str(line.quantity), "symbol": line.specs.symbol,
               "kind": line.specs.kind, **{column: f.words for column, f in figures.items()},
               "typical": " ".join(column for column, f in figures.items() if f.typical), "for": line.says,
               "replaces": "; ".join(line.replaces), "file_check": check, **_price_cells(found, prices)}
    for stock in listed.stock:
        colour = stock.colour.word if stock.colour else ""
        found = None if prices is None else stock_price(stock, prices)
        yield {"fate": "buy", "kind": stock.says, "colour": colour,
               "gauge_awg": "" if stock.gauge is None else str(stock.gauge), "pieces": str(stock.pieces),
               "length_mm": number(float(stock.mm)), "file_check": check, **_price_cells(found, prices)}


def _price_cells(price: Price | None, prices: PriceFile | None) -> dict[str, str]:
    if price is None or prices is None:
        return {}
    return {"supplier": price.supplier, "code": price.code, "price": money(price.amount, prices.currency),
            "per": price.per.says, "currency": prices.currency.code}


def buying_dict(listed: BuyingList) -> dict[str, Any]:
    """The buying list as plain values, keys in a fixed order; lengths in mm."""
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
    """Buying list and bill as JSON text, ending in one line feed."""
    whole = {"format": FORMAT, "buying": buying_dict(listed), "bill": None if bill is None else bill_dict(bill),
             "file_check": check}
    return json.dumps(whole, ensure_ascii=False, indent=1) + "\n"
