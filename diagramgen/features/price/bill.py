"""What a job costs: lines of parts, stock, labour and the shop's own, tax and total, in exact decimals.

``bill`` is a pure function of the buying list and the price file; nothing here prints or reads.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from diagramgen.features.price.codes import PRI_601, PRI_602, PRI_607, PRI_608
from diagramgen.features.price.money import half_up, plus, times
from diagramgen.features.price.price_file import LABOUR, Per, Price, PriceFile, Tax, labour_words
from diagramgen.job.material import BuyingList, PartLine, StockLine
from diagramgen.job.part_changes import values_in_words
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, Location, nearest
from diagramgen.model.build import Part


@dataclass(frozen=True)
class BillLine:
    """One line: so many of something at a price each."""

    group: str
    """parts | stock | labour | shop."""
    says: str
    quantity: Fraction | None
    """In ``unit``; None for money alone."""
    unit: str
    """``piece``, ``metre``, ``min``; empty for money alone."""
    each: Decimal | None
    """What one ``per`` costs, of labour an hour; None where it is not known."""
    per: Per | None
    exact: Fraction | None
    """None: the price is missing."""
    on: str
    """parts | labour: which tax it bears."""
    amount: Decimal | None = None
    """As printed: the exact one rounded half up to the currency's smallest amount."""
    minutes: Decimal = Decimal(0)
    code: str = ""
    supplier: str = ""
    charged: bool = True


@dataclass(frozen=True)
class TaxLine:
    """One rate of tax and what it comes to."""

    tax: Tax
    base: Decimal
    """What it is taken on: prices without tax where it is added, with it where it is included."""
    amount: Decimal


@dataclass(frozen=True)
class Bill:
    """The whole account of a job."""

    prices: PriceFile
    lines: tuple[BillLine, ...]
    taxes: tuple[TaxLine, ...]
    lines_total: Decimal
    """Sum of the lines, as the file's prices are: with or without tax."""
    rounding: Decimal
    """What was added so that the total is a multiple of ``round_to``."""
    total: Decimal
    """To pay, tax and all."""
    missing: tuple[str, ...]
    """What has no price: the total is then incomplete."""

    @property
    def complete(self) -> bool:
        """Whether everything has its price."""
        return not self.missing

    @property
    def tax_total(self) -> Decimal:
        """All taxes together."""
        return plus(t.amount for t in self.taxes)

    @property
    def minutes(self) -> Decimal:
        """Work that is charged, minutes."""
        return plus(line.minutes for line in self.lines)

    def sum_of(self, *groups: str) -> Decimal:
        """Sum of the lines of these groups."""
        return plus(line.amount for line in self.lines if line.group in groups and line.amount is not None)


def bill(listed: BuyingList, prices: PriceFile, say: Diagnostics) -> Bill:
    """What a job costs by a price file; what has no price is said (PRI-601) and left out of the sum."""
    lines = (*_parts(listed.parts_that("buy"), prices, say), *_stock(listed.stock, prices, say),
             *_labour(listed, prices), *_own(prices))
    return totals(lines, prices)


def totals(lines: Sequence[BillLine], prices: PriceFile) -> Bill:
    """Sums, taxes and rounding of lines."""
    least = prices.currency.least
    shown = tuple(replace(line, amount=None if line.exact is None else half_up(line.exact, least)) for line in lines)
    summed = half_up(sum((_counting(line, prices) for line in shown), Fraction(0)), least)
    taxes = tuple(_taxes(shown, prices))
    exact = summed if prices.tax_included else plus((summed, *(t.amount for t in taxes)))
    total = half_up(exact, prices.round_to)
    missing = tuple(dict.fromkeys(line.says for line in lines if line.exact is None))
    return Bill(prices, shown, taxes, summed, total - exact, total, missing)


def _counting(line: BillLine, prices: PriceFile) -> Fraction:
    """What a line adds to the sum."""
    if line.exact is None or line.amount is None:
        return Fraction(0)
    return Fraction(line.amount) if prices.each_line else line.exact


def _taxes(lines: Sequence[BillLine], prices: PriceFile) -> Iterator[TaxLine]:
    """Each rate rounded once, on the sum of all it is taken on.

    Where prices hold the tax, a price is the net one and all its rates: p of a price is p / (100 + all rates).
    """
    bases = {on: sum((_counting(line, prices) for line in lines if line.on == on), Fraction(0))
             for on in ("parts", "labour")}
    rates = {on: sum((Fraction(t.percent) for t in prices.taxes if t.on in ("all", on)), Fraction(0)) for on in bases}
    for tax in prices.taxes:
        bears = [on for on in bases if tax.on in ("all", on)]
        held = {on: 100 + rates[on] if prices.tax_included else Fraction(100) for on in bears}
        amount = sum((bases[on] * Fraction(tax.percent) / held[on] for on in bears), Fraction(0))
        base = sum((bases[on] for on in bears), Fraction(0))
        yield TaxLine(tax, half_up(base, prices.currency.least), half_up(amount, prices.currency.least))


def _parts(lines: Iterable[PartLine], prices: PriceFile, say: Diagnostics) -> Iterator[BillLine]:
    nothing = prices.currency.words(Decimal(0))
    for line in lines:
        groups: dict[Price | None, list[str]] = {}
        for part in line.parts:
            price = price_of(part, prices)
            groups.setdefault(price, []).append(part.says)
            if price is None:
                say.add(PRI_601, part.place, f"there is no price for '{part.name}' ({values_in_words(part)})",
                        f"Write it under 'kinds' in {prices.file}: {line.specs.symbol}: {nothing}.")
        for price, names in groups.items():
            count = Decimal(len(names))
            words = _part_words(line, names)
            if price is not None and price.amount is not None and price.per.is_length:
                say.add(PRI_602, price.place, f"{line.specs.symbol} is not sold by the {price.per.unit}",
                        "Give the price per piece.")
                continue
            yield _charged("parts", words, count, Decimal(1), price)


def price_of(part: Part, prices: PriceFile) -> Price | None:
    """What a part costs: by its name, by its kind and values, or by its kind."""
    exact = " ".join(values_in_words(part).lower().split())
    return prices.parts.get(part.name) or prices.kinds.get(exact) or prices.kinds.get(part.symbol.name)


def stock_price(line: StockLine, prices: PriceFile) -> Price | None:
    """Look up what a line of wire or sleeve costs, by the first of its keys that has a price; None where none has."""
    return next((prices.stock[key] for key in line.keys if key in prices.stock), None)


def _part_words(line: PartLine, names: Sequence[str]) -> str:
    """``rotary pot, 24 mm, 500k log: neck-tone, bridge-tone``."""
    known = [f.words for f in (line.specs.value, line.specs.taper) if f.words and not f.typical]
    return f"{', '.join([line.specs.kind, ' '.join(known)] if known else [line.specs.kind])}: {', '.join(names)}"


def _charged(group: str, words: str, quantity: Decimal, unit: Decimal, price: Price | None) -> BillLine:
    """So many of something (pieces, or mm where ``unit`` is a length in mm) at its price."""
    if price is None:
        return BillLine(group, words, Fraction(quantity), "piece" if group == "parts" else "mm", None, None, None,
                        "parts")
    packs = Fraction(quantity) / Fraction(price.per.size)
    packs = Fraction(math.ceil(packs)) if price.whole else packs
    shown = packs * Fraction(price.per.size) / Fraction(unit)
    free = price.amount is None
    exact = Fraction(0) if price.amount is None else packs * Fraction(price.amount)
    return BillLine(group, words, shown, price.per.unit, price.amount, None if free else price.per, exact, "parts",
                    code=price.code, supplier=price.supplier, charged=not free)


def _stock(lines: Iterable[StockLine], prices: PriceFile, say: Diagnostics) -> Iterator[BillLine]:
    group, nothing = "stock", prices.currency.words(Decimal(0))
    for line in lines:
        words = stock_words(line)
        price = stock_price(line, prices)
        if price is None:
            say.add(PRI_601, Location(prices.file), f"there is no price for the stock '{line.keys[-1]}'",
                    f"Write it under 'stock' in {prices.file}: '{line.keys[-1]}: {nothing} per metre'.")
        elif price.amount is not None and not price.per.is_length:
            say.add(PRI_602, price.place, f"'{line.keys[-1]}' is not sold by the piece",
                    "Give the price of a length: per: metre, or per: 10 metres.")
            continue
        if line.unmeasured and (price is None or price.amount is not None):
            tags = ", ".join(line.unmeasured)
            say.add(PRI_607, Location(prices.file), f"{words}: {tags} not measured, so not priced")
            yield BillLine(group, f"{words}: {tags}", None, "", None, None, None, "parts")
        if not line.mm:
            continue
        unit = Decimal(1) if price is None else price.per.size / price.per.count
        yield _charged(group, words, line.mm, unit, price)


def stock_words(line: StockLine) -> str:
    """``hook-up wire, 24 AWG, red``."""
    words = [line.says]
    if line.gauge is not None:
        words.append(f"{line.gauge} AWG")
    if line.colour is not None and line.colour.word != line.says.split()[0]:
        words.append(line.colour.word)
    return ", ".join(words)


def _labour(listed: BuyingList, prices: PriceFile) -> Iterator[BillLine]:
    for key in LABOUR:
        count, each = Decimal(listed.counted.of(key)), prices.labour.get(key)
        if each is not None and count:
            minutes = times(count, each)
            shown = prices.currency.number(each)
            words = f"{labour_words(key, listed.counted.of(key))}, {shown} min each"
            yield _worked("labour", words, minutes, prices, "labour")


def _own(prices: PriceFile) -> Iterator[BillLine]:
    for line in prices.lines:
        if line.minutes is not None:
            yield _worked("shop", line.says, line.minutes, prices, line.on)
        elif line.amount is not None:
            yield BillLine("shop", line.says, None, "", line.amount, None, Fraction(line.amount), line.on)


def _worked(group: str, words: str, minutes: Decimal, prices: PriceFile, on: str) -> BillLine:
    rate = prices.hourly
    exact = None if rate is None else Fraction(minutes) * Fraction(rate) / 60
    return BillLine(group, words, Fraction(minutes), "min", rate, None, exact, on, minutes=minutes)


def check_names(listed: BuyingList, prices: PriceFile, symbols: Iterable[str], say: Diagnostics) -> None:
    """Names in the price file that nothing bears: a slip there would leave a part at another price."""
    known = list(symbols)
    for key, price in prices.kinds.items():
        symbol = key.split(",")[0].strip()
        if symbol not in known:
            say.add(PRI_608, price.place, f"there is no kind of part '{symbol}'", nearest(symbol, known))
    names = [part.name for line in listed.parts for part in line.parts]
    for key, price in prices.parts.items():
        if key not in names:
            say.add(PRI_608.at(Severity.NOTE), price.place, f"this build has no part '{key}'", nearest(key, names))
