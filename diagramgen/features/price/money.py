"""Amounts of money: exact decimals, read strictly as written and rounded half up in one place.

What is divided (an hour into minutes, a price into pieces, tax out of a price) stays a fraction until it is rounded:
a decimal of any length could tip a half.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal, localcontext
from fractions import Fraction

from diagramgen.features.price.codes import PRI_602, PRI_603
from diagramgen.kernel.diagnostics import Diagnostics, Location

DIGITS = 9
"""Digits before the decimal sign that a price may have; more is a slip of the pen in any currency."""
EXACT = 80
"""Digits of a product or sum: none here needs more, so nothing is ever rounded by the way."""
FINEST = 6
"""Decimals of a rate or of minutes at most."""


@dataclass(frozen=True)
class Written:
    """A number as it stands in the file, read once currency and decimal sign are known."""

    text: str
    place: Location


@dataclass(frozen=True)
class Currency:
    """What amounts are in, and how they are written."""

    code: str
    """Three letters (ISO 4217)."""
    decimals: int = 2
    comma: bool = False
    """Whether the decimal sign is a comma."""

    @property
    def least(self) -> Decimal:
        """The smallest amount, such as 0.01."""
        return Decimal(1).scaleb(-self.decimals)

    def words(self, amount: Decimal | Fraction) -> str:
        """An amount as printed, without its currency: ``1234.50`` or ``1234,50``."""
        return self.signed(f"{half_up(amount, self.least):.{self.decimals}f}")

    def signed(self, text: str) -> str:
        """A number with this decimal sign."""
        return text.replace(".", ",") if self.comma else text

    def number(self, value: Decimal | Fraction, decimals: int = 3) -> str:
        """A plain number (a quantity, minutes) without trailing zeros."""
        text = f"{half_up(value, Decimal(1).scaleb(-decimals)):f}"
        return self.signed(text.rstrip("0").rstrip(".") if "." in text else text)


def half_up(amount: Decimal | Fraction, step: Decimal) -> Decimal:
    """The multiple of ``step`` nearest to an exact amount; half a step goes up (away from zero)."""
    steps = Fraction(amount) / Fraction(step)
    whole = math.floor(abs(steps) + Fraction(1, 2))
    return times(Decimal(whole if steps >= 0 else -whole), step)


def times(*factors: Decimal) -> Decimal:
    """Multiply without rounding (80 digits); 1 without factors."""
    with localcontext() as exact:
        exact.prec = EXACT
        return math.prod(factors, start=Decimal(1))


def plus(amounts: Iterable[Decimal]) -> Decimal:
    """An exact sum."""
    with localcontext() as exact:
        exact.prec = EXACT
        return sum(amounts, Decimal(0))


def read_number(written: Written, currency: Currency, say: Diagnostics, what: str) -> Decimal | None:
    """A number not below zero with the file's decimal sign; PRI-602 says what is wrong with it."""
    text, place = written.text.strip(), written.place
    if re.fullmatch(r"[-−–]\s*[0-9].*", text):
        say.add(PRI_602, place, f"{what} of {text} is less than nothing", "Delete the sign.")
        return None
    sign, other = (",", ".") if currency.comma else (".", ",")
    if re.fullmatch(rf"[0-9]+{re.escape(other)}[0-9]+", text):
        word = {",": "comma", ".": "point"}
        mend = text.replace(other, sign)
        say.add(PRI_602, place, f"'{text}' has a decimal {word[other]}",
                f"Write a {word[sign]}: {mend}; or 'decimal sign: {word[other]}' for the whole file.")
        return None
    if not re.fullmatch(rf"[0-9]+(?:{re.escape(sign)}[0-9]+)?", text):
        say.add(PRI_602, place, f"'{text}' is not a plain number",
                f"Write digits alone, with no sign between thousands: 1234{sign}50.")
        return None
    head, _, tail = text.partition(sign)
    if len(head.lstrip("0")) > DIGITS or len(tail) > FINEST:
        say.add(PRI_602, place, f"{what} of {text[:40]} is absurd",
                f"At most {DIGITS} digits before the decimal sign and {FINEST} after it.")
        return None
    return Decimal(text.replace(",", "."))


def read_amount(written: Written, currency: Currency, say: Diagnostics, what: str = "a price") -> Decimal | None:
    """An amount of money in the file's currency: ``7.90``, or ``EUR 7.90`` where that is the currency."""
    text = written.text.strip()
    for word in _currencies(text):
        if word.upper() != currency.code:
            say.add(PRI_603, written.place, f"'{written.text}' is in '{word}'; this file is in {currency.code}")
            return None
        text = text.removeprefix(word).removesuffix(word).strip()
    value = read_number(Written(text, written.place), currency, say, what)
    if value is not None and value != half_up(value, currency.least):
        say.add(PRI_602, written.place, f"'{written.text}' is finer than the smallest amount of {currency.code}, "
                f"{currency.signed(str(currency.least))}",
                "Round it, price a larger quantity (per: 100 pieces), or set 'decimals'.")
        return None
    return value


def _currencies(text: str) -> list[str]:
    """Letters or signs of currency before and after a number."""
    letters = re.fullmatch(r"([A-Za-z]{3})?\s*[-−–]?[0-9].*?\s*(?<![A-Za-z])([A-Za-z]{3})?", text)
    found = [word for word in letters.groups() if word] if letters else []
    return found + [c for c in text if unicodedata.category(c) == "Sc"][:1]
