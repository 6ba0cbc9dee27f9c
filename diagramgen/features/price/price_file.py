"""The shop's price file: its keys, and how it is read. All figures are the shop's own; none is built in."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from diagramgen.features.price.codes import PRI_602, PRI_604, PRI_605, PRI_606
from diagramgen.features.price.money import Currency, Written, read_amount, read_number
from diagramgen.kernel.diagnostics import Diagnostics, Location, nearest
from diagramgen.lettering import not_set
from diagramgen.library.catalogue import name_today
from diagramgen.reader.codes import INP_347
from diagramgen.reader.upgrade import PRICES_FORMAT, upgraded_prices
from diagramgen.yamlfile.codes import INP_103, INP_110
from diagramgen.yamlfile.nodes import Node, ScalarNode, root_of
from diagramgen.yamlfile.schema_fields import (
    Choice,
    Field,
    Flag,
    FreeText,
    ListOf,
    Located,
    MapOf,
    Number,
    Pattern,
    Record,
    Schema,
    Values,
    scalar,
)

LENGTHS = {"mm": Decimal(1), "cm": Decimal(10), "metre": Decimal(1000), "foot": Decimal("304.8"),
           "yard": Decimal("914.4")}
"""Units wire and sleeve are sold in, mm (the foot of 1959: 0.3048 m)."""
_UNITS = {**{word: word for word in (*LENGTHS, "piece")}, "metres": "metre", "meter": "metre", "meters": "metre",
          "m": "metre", "feet": "foot", "ft": "foot", "yards": "yard", "pieces": "piece"}
LONGEST = Decimal(6000)
"""Minutes: more than a hundred hours for one joint, part or line is a slip of the pen."""
LABOUR = {
    "joint opened": "joints opened", "joint": "joints soldered", "lead out": "leads taken out",
    "lead moved": "leads moved", "lead": "leads put in", "part out": "parts taken out", "part": "parts put in",
}
"""What is counted for labour, in the order of work: key -> words on the sheet."""


def labour_words(key: str, count: int) -> str:
    """``1 lead moved``, ``11 joints soldered``."""
    noun, _, done = LABOUR[key].partition(" ")
    return f"{count} {noun if count != 1 else noun.removesuffix('s')} {done}"


@dataclass(frozen=True)
class Per:
    """The quantity a price is for: ``10 pieces``, ``metre``."""

    count: int = 1
    unit: str = "piece"

    @property
    def says(self) -> str:
        """As printed: ``metre``, ``10 pieces``, ``5 metres``."""
        plural = {"foot": "feet", "mm": "mm", "cm": "cm"}.get(self.unit, f"{self.unit}s")
        return self.unit if self.count == 1 else f"{self.count} {plural}"

    @property
    def size(self) -> Decimal:
        """How many pieces, or how many mm."""
        return Decimal(self.count) * LENGTHS.get(self.unit, Decimal(1))

    @property
    def is_length(self) -> bool:
        """Whether it is sold by length."""
        return self.unit in LENGTHS


@dataclass(frozen=True)
class Price:
    """What one kind of part, one part or one kind of wire costs."""

    amount: Decimal | None
    """None: not charged."""
    per: Per
    whole: bool
    """Only whole units are sold: a part of one costs a whole one."""
    code: str
    """The supplier's code, as entered."""
    supplier: str
    place: Location = field(compare=False)


@dataclass(frozen=True)
class ShopLine:
    """A line of the shop's own: minutes of work, or money."""

    says: str
    minutes: Decimal | None
    amount: Decimal | None
    on: str
    """parts | labour: which tax it bears."""


@dataclass(frozen=True)
class Tax:
    """A rate of tax, per cent."""

    name: str
    percent: Decimal
    on: str
    """all | parts | labour."""


@dataclass(frozen=True)
class PriceFile:
    """Everything the shop says about money."""

    file: str
    currency: Currency
    hourly: Decimal | None
    each_line: bool
    """Lines are rounded and then added; otherwise exact amounts are added and the sum is rounded."""
    round_to: Decimal
    """What the amount to pay is a multiple of."""
    tax_included: bool
    taxes: tuple[Tax, ...]
    kinds: Mapping[str, Price]
    """By symbol, or by symbol and values: ``pot-24``, ``pot-24, 500k log``."""
    parts: Mapping[str, Price]
    stock: Mapping[str, Price]
    labour: Mapping[str, Decimal]
    """Minutes by the keys of ``LABOUR``."""
    lines: tuple[ShopLine, ...]
    shop: tuple[str, ...]
    terms: Mapping[str, str]
    """``estimate`` and ``account`` -> the shop's own words under the sums."""


@dataclass(frozen=True)
class WrittenKind:
    """A number kept as written: its currency and decimal sign are settled by other keys of the file."""

    what: str

    def read(self, node: Node, say: Diagnostics) -> Written | None:
        """Read the text."""
        found = scalar(node, say, self.what)
        return None if found is None else Written(found.text.strip(), found.place)

    def schema(self) -> Schema:
        """A number or a text."""
        return {"type": ["number", "string"], "description": self.what}


@dataclass(frozen=True)
class PerKind:
    """``piece``, ``10 pieces``, ``metre``, ``5 m``."""

    def read(self, node: Node, say: Diagnostics) -> Per | None:
        """Read a count and a unit."""
        found = scalar(node, say, "a quantity like piece, 10 pieces or metre")
        if found is None:
            return None
        match = re.fullmatch(r"(?:(\d{1,5})\s*)?([a-z]+)", " ".join(found.text.lower().split()))
        unit = _UNITS.get(match[2]) if match else None
        if match is None or unit is None or (match[1] and int(match[1]) == 0):
            say.add(INP_103, found.place, f"'{found.text}' is no quantity a price is for",
                    nearest(match[2] if match else "", _UNITS, limit=12))
            return None
        return Per(int(match[1] or 1), unit)

    def schema(self) -> Schema:
        """A text."""
        return {"type": "string"}


@dataclass(frozen=True)
class KeyText:
    """A key in words: lower case, single blanks."""

    limit: int = 80

    def read(self, node: Node, say: Diagnostics) -> str | None:
        """Read the words."""
        text = FreeText(self.limit).read(node, say)
        return None if text is None else " ".join(text.lower().replace(",", ", ").split())

    def schema(self) -> Schema:
        """Any text."""
        return {"type": "string"}


MONEY = WrittenKind("an amount like 7.90")
MINUTES = WrittenKind("minutes like 2.5")


def _bare_price(node: ScalarNode, say: Diagnostics) -> Values | None:
    text, _, per = node.text.partition(" per ")
    values = {"price": Written(text.strip(), node.place)}
    found = PerKind().read(ScalarNode(per.strip(), node.place), say) if per else None
    if per and found is None:
        return None
    return Values(node.place, values | ({"per": found} if found else {}), {"price": node.place})


def _priced_or_free(values: Values, say: Diagnostics) -> bool:
    free, priced = values.get("charged") is False, "price" in values.places()
    if free and priced:
        say.add(PRI_606, values.at("charged"), "a price is given for what is not charged")
    elif not free and not priced:
        say.add(INP_110, values.place, "a price lacks 'price'", "What it costs; or 'charged: no'.")
    return free != priced


PRICE = Record("a price", (
    Field("price", MONEY, "What one quantity of it costs, in the file's currency."),
    Field("per", PerKind(), "The quantity: piece, 10 pieces, metre, foot, 5 metres.",
          default="piece; of wire and sleeve, metre"),
    Field("whole", Flag(), "Only whole quantities are sold: a part of one costs a whole one.", default="no"),
    Field("code", FreeText(60), "The supplier's code, printed as it stands here."),
    Field("supplier", FreeText(60), "Where it is bought."),
    Field("charged", Flag(), "'no': it stands on the buying list, but costs the customer nothing.", default="yes"),
), short=_bare_price, short_doc="The price alone: 7.90, or 0.60 per metre.", check=_priced_or_free)


def _one_of_two(values: Values, say: Diagnostics) -> bool:
    if ("minutes" in values.places()) == ("price" in values.places()):
        say.add(PRI_606, values.place, "a line of the shop's own has either minutes or a price")
        return False
    return True


LINE = Record("a line of the shop", (
    Field("says", FreeText(100), "What it is, as printed.", required=True),
    Field("minutes", MINUTES, "Work that is not counted by joints, leads and parts.", unit="min"),
    Field("price", MONEY, "Money, where it is no work."),
    Field("on", Choice(("parts", "labour")), "Which tax it bears.", default="labour for minutes, parts for money"),
), check=_one_of_two)
RATE = Record("a rate of tax", (
    Field("name", FreeText(40), "Its name, as printed.", required=True),
    Field("percent", WrittenKind("per cent like 20"), "Its rate.", required=True, unit="%"),
    Field("on", Choice(("all", "parts", "labour")), "What it is taken on.", default="all"),
))
TAX = Record("tax", (
    Field("prices", Choice(("included", "added")), "Whether the prices of this file hold the tax already, or it is "
          "added to them.", required=True),
    Field("rates", ListOf(RATE, least=1), "The rates.", required=True),
))
MINUTES_EACH = Record("minutes of work", tuple(
    Field(key, MINUTES, f"For each of the {words}.", default="not charged", unit="min")
    for key, words in LABOUR.items()))
PRICES = Record("a price file", (
    Field("format", Number(1, 999, whole=True), "Version of this format.", default=str(PRICES_FORMAT)),
    Field("currency", Pattern(r"[A-Z]{3}", "a currency", "Three capital letters of ISO 4217: EUR.", fold=False),
          "The one currency of the file, by the letters of ISO 4217.", required=True),
    Field("decimals", Number(0, 4, whole=True), "Decimals the currency has.", default="2"),
    Field("decimal sign", Choice(("point", "comma")), "How numbers are written in this file and printed on the sheets.",
          default="point"),
    Field("hourly rate", MONEY, "What an hour of work costs; needed where minutes are given."),
    Field("rounding", Choice(("each line", "the sum")), "What is rounded (half up): each line before it is added, or "
          "the sum of the exact lines.", default="each line"),
    Field("round to", MONEY, "The amount to pay is a multiple of this, such as 0.05.",
          default="the currency's smallest amount"),
    Field("tax", TAX, "Tax.", default="none is named"),
    Field("kinds", MapOf(PRICE, KeyText()), "Prices by kind of part: the symbol, or the symbol with its values "
          "('pot-24, 500k log'), which goes first."),
    Field("parts", MapOf(PRICE), "Prices of single parts by their names in the build; they go before kinds."),
    Field("stock", MapOf(PRICE, KeyText()), "Wire and sleeve by the words of the buying list: 'hook-up wire', or with "
          "gauge ('hook-up wire, 24 AWG')."),
    Field("labour", MINUTES_EACH, "Minutes of work by what is counted."),
    Field("lines", ListOf(LINE), "The shop's own lines: set-up, strings, postage."),
    Field("shop", ListOf(FreeText(80), single=True), "The shop's head on estimate and account, a line each."),
    Field("on estimate", FreeText(400, lines=True), "The shop's own words under an estimate."),
    Field("on account", FreeText(400, lines=True), "The shop's own words under an account."),
))


def read_prices(data: bytes, file: str, say: Diagnostics) -> PriceFile | None:
    """The price file in these bytes; every fault of it goes to ``say``, None where it cannot be used."""
    node = root_of(data, file, say, "a price file holds keys such as currency and kinds",
                   "Begin with the price file of the samples.", "Write 'currency: EUR' on the first line.")
    if node is None:
        return None
    root = upgraded_prices(node, say)
    values = None if root is None else PRICES.read(root, say)
    return None if values is None else _Reader(values, file, say).prices()


def _kind_today(key: str) -> str:
    """A key of 'kinds' with the symbol's name of today: ``pot-24, 500k log``."""
    symbol, comma, values = key.partition(",")
    return name_today(symbol.strip()) + comma + values


class _Reader:
    """Turns what was written into exact amounts."""

    def __init__(self, values: Values, file: str, say: Diagnostics):
        self.values, self.file, self.say = values, file, say
        self.currency = Currency(values.get("currency"), int(values.get("decimals", 2)),
                                 values.get("decimal sign") == "comma")

    def prices(self) -> PriceFile:
        """The file."""
        v = self.values
        self._letters()
        tax = v.get("tax")
        return PriceFile(
            file=self.file,
            currency=self.currency,
            hourly=self._amount(v.get("hourly rate"), "an hourly rate"),
            each_line=v.get("rounding", "each line") == "each line",
            round_to=self._step(v.get("round to")),
            tax_included=tax is not None and tax.get("prices") == "included",
            taxes=tuple(self._taxes(tax.get("rates", ()))) if tax is not None else (),
            kinds={_kind_today(key): price for key, price in self._table("kinds", Per()).items()},
            parts=self._table("parts", Per()),
            stock=self._table("stock", Per(1, "metre")),
            labour=self._labour(v.get("labour")),
            lines=tuple(self._lines(v.get("lines", ()))),
            shop=tuple(g.value for g in v.get("shop", ())),
            terms={sheet: v.get(f"on {sheet}", "") for sheet in ("estimate", "account")},
        )

    def _letters(self) -> None:
        """Words that are printed, but that the shipped letters cannot set (INP-347)."""
        v, said = self.values, []
        said += [(key, v.get(key), v.at(key)) for key in ("on estimate", "on account") if v.has(key)]
        said += [("the shop's head", g.value, g.place) for g in v.get("shop", ())]
        said += [("this line", g.value.get("says"), g.value.at("says")) for g in v.get("lines", ())]
        for key in ("kinds", "parts", "stock"):
            for g in v.get(key, {}).values():
                found = (word for word in ("code", "supplier") if g.value.has(word))
                said += [(f"this {word}", g.value.get(word), g.value.at(word)) for word in found]
        for what, text, place in said:
            wrong = not_set(text)
            if wrong:
                self.say.add(INP_347, place, f"{what} cannot be lettered on paper in full: {wrong}",
                             "Latin, Greek and Cyrillic letters from left to right can; write the rest by hand.")

    def _amount(self, written: Written | None, what: str = "a price") -> Decimal | None:
        return None if written is None else read_amount(written, self.currency, self.say, what)

    def _step(self, written: Written | None) -> Decimal:
        step = self._amount(written, "a step")
        if written is not None and step == 0:
            self.say.add(PRI_602, written.place, "nothing can be rounded to a step of nothing",
                         f"Leave it out, or write {self.currency.signed(str(self.currency.least))}.")
        return step or self.currency.least

    def _table(self, key: str, per: Per) -> dict[str, Price]:
        given: Mapping[str, Located[Values]] = self.values.get(key, {})
        found = {}
        for name, g in given.items():
            v = g.value
            amount = self._amount(v.get("price"))
            if amount is not None or not v.has("price"):
                found[name] = Price(amount, v.get("per", per), v.get("whole", False), v.get("code", ""),
                                    v.get("supplier", ""), g.place)
        return found

    def _minutes(self, written: Written | None) -> Decimal | None:
        if written is None:
            return None
        bare = re.sub(r"\s*(min|minutes)$", "", written.text)
        value = read_number(Written(bare, written.place), self.currency, self.say, "a time")
        if value is not None and value > LONGEST:
            self.say.add(PRI_602, written.place, f"{written.text} minutes are absurd", "Write minutes, not seconds.")
            return None
        return value

    def _labour(self, values: Values | None) -> dict[str, Decimal]:
        if values is None:
            return {}
        read = {key: self._minutes(values.get(key)) for key in LABOUR if values.has(key)}
        self._rate_for(values, "labour")
        return {key: value for key, value in read.items() if value is not None}

    def _rate_for(self, values: Values, what: str) -> None:
        if "hourly rate" not in self.values.places():
            self.say.add(PRI_605, values.place, f"minutes of {what} are given, but not what an hour costs")

    def _lines(self, given: Iterable[Located[Values]]) -> Iterable[ShopLine]:
        for g in given:
            v = g.value
            if v.has("minutes"):
                self._rate_for(v, f"'{v.get('says')}'")
            minutes, amount = self._minutes(v.get("minutes")), self._amount(v.get("price"))
            if minutes is not None or amount is not None:
                on = v.get("on", "labour" if v.has("minutes") else "parts")
                yield ShopLine(v.get("says"), minutes, amount, on)

    def _taxes(self, given: Iterable[Located[Values]]) -> Iterable[Tax]:
        for g in given:
            written: Written = g.value.get("percent")
            bare = Written(written.text.removesuffix("%").strip(), written.place)
            rate = read_number(bare, self.currency, self.say, "a rate")
            if rate is not None and rate > 100:
                self.say.add(PRI_604, written.place, f"a tax of {written.text} % is more than the whole price")
                continue
            if rate is not None:
                yield Tax(g.value.get("name"), rate, g.value.get("on", "all"))
