"""Values as people write them: ``500k``, ``4n7``, ``473``, ``22 nF``, ``2k2``, ``1/4 in``, ``38 mm``.

Reading returns SI numbers (ohms, farads, henries, hertz, volts) and millimetres for lengths. What cannot
be read without a guess raises ``BadValue`` with the reason and a remedy. ``number`` is the one place where
a printed figure is rounded.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

PREFIXES = {"p": 1e-12, "n": 1e-9, "u": 1e-6, "m": 1e-3, "": 1.0, "k": 1e3, "M": 1e6, "G": 1e9}
INCH_MM = 25.4


class BadValue(ValueError):  # noqa: N818 - a value that cannot be read, in the technician's words
    """A value that cannot be read; ``remedy`` says what to write instead."""

    def __init__(self, message: str, remedy: str = ""):
        super().__init__(message)
        self.remedy = remedy


@dataclass(frozen=True)
class Quantity:
    """A kind of value: its name, unit spellings, the range that is not absurd (SI units) and examples."""

    name: str
    symbol: str
    spellings: tuple[str, ...]
    low: float
    high: float
    example: str
    bare_number: bool = True
    """Whether a number without prefix or unit is accepted (it then is in the base unit)."""


RESISTANCE = Quantity("resistance", "Ω", ("ohms", "ohm", "r"), 0.01, 1e9, "500k, 4k7, 2.2M, 470R")
CAPACITANCE = Quantity("capacitance", "F", ("farad", "f"), 1e-13, 0.01, "22n, 4n7, 473, 0.022 uF", False)
INDUCTANCE = Quantity("inductance", "H", ("henry", "h"), 1e-6, 100.0, "4.5 H, 600 mH", False)
FREQUENCY = Quantity("frequency", "Hz", ("hz",), 0.1, 1e6, "4.2 kHz, 50 Hz")
VOLTAGE = Quantity("voltage", "V", ("volts", "volt", "v"), 0.01, 100.0, "9 V")
CURRENT = Quantity("current", "A", ("a",), 1e-9, 1.0, "250 uA, 0.4 mA", False)
LENGTH = Quantity("length", "mm", (), 0.0, 3000.0, "38, 38 mm, 1.5 in, 3/8 in")

_OHM_SIGNS = str.maketrans(
    {"\u03a9": "ohm", "\u2126": "ohm", "\u00b5": "u", "\u03bc": "u", "\u2013": "-", "\u2212": "-"}
)
_NUMBER = r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)"
_DECIMAL_COMMA = re.compile(r"^[-+]?\d+,\d+")


def _clean(text: str) -> str:
    cleaned = text.translate(_OHM_SIGNS).strip()
    if _DECIMAL_COMMA.match(cleaned):
        raise BadValue(f"'{text}' has a decimal comma", "Write a point: " + cleaned.replace(",", ".", 1))
    return cleaned


def _checked(value: float, text: str, kind: Quantity, allow_zero: bool = False) -> float:
    if not math.isfinite(value):
        raise BadValue(f"'{text}' is not a finite {kind.name}", f"Write it like {kind.example}.")
    if value < 0:
        raise BadValue(f"a {kind.name} cannot be negative: '{text}'", f"Write it like {kind.example}.")
    if value == 0 and not allow_zero:
        raise BadValue(f"a {kind.name} of zero makes no sense here", f"Write it like {kind.example}.")
    if value and not kind.low <= value <= kind.high:
        limits = f"{quantity(kind.low, kind)} to {quantity(kind.high, kind)}"
        raise BadValue(f"'{text}' is an absurd {kind.name}", f"Expected {limits}; check the prefix letter.")
    return value


def read_quantity(text: str, kind: Quantity, allow_zero: bool = False) -> float:
    """Read a value with an optional prefix and unit, or letter code of IEC 60062; result in SI units."""
    cleaned = _clean(text)
    value = _letter_code(cleaned, kind)
    if value is None and kind is CAPACITANCE:
        value = _three_digits(cleaned)
    if value is None:
        value = _plain(cleaned, text, kind)
    return _checked(value, text, kind, allow_zero)


def _letter_code(text: str, kind: Quantity) -> float | None:
    """IEC 60062 letter code: the prefix letter stands for the decimal point (4k7, R47, n47)."""
    found = re.fullmatch(r"(\d*)([pnumkKMGRrLH])(\d+)", text)
    if not found:
        return None
    letter = {"K": "k", "R": "", "r": "", "L": "m"}.get(found[2], found[2])
    if found[2] in "RrL" and kind is not RESISTANCE:
        return None
    if found[2] == "H":
        return float(f"{found[1] or 0}.{found[3]}") if kind is INDUCTANCE else None
    return float(f"{found[1] or 0}.{found[3]}") * PREFIXES[letter]


def _three_digits(text: str) -> float | None:
    """EIA three-digit capacitor code in pF, with or without a tolerance letter (473, 473J)."""
    found = re.fullmatch(r"(\d\d)(\d)[BCDFGHJKMPZ]?", text)
    if not found:
        return None
    exponent = {"8": -2, "9": -1}.get(found[2], int(found[2]))
    return float(f"{found[1]}e{exponent - 12}")


def _plain(cleaned: str, text: str, kind: Quantity) -> float:
    found = re.fullmatch(rf"({_NUMBER})\s*([a-zA-Z]*)", cleaned)
    if not found:
        raise BadValue(f"'{text}' is no {kind.name}", f"Write it like {kind.example}.")
    number, letters = float(found[1]), found[2]
    if letters.lower() in ("meg", "megohm", "megohms") and kind is RESISTANCE:
        return number * 1e6
    for spelling in (*kind.spellings, ""):
        if not letters.lower().endswith(spelling):
            continue
        prefix = letters[: len(letters) - len(spelling)]
        prefix = "k" if prefix == "K" else prefix
        if prefix in PREFIXES and (prefix or spelling or kind.bare_number):
            # '4.7f' must not read as femto or as farad where only a prefix was meant
            return number * PREFIXES[prefix]
    if not letters:
        raise BadValue(f"'{text}' has no unit", f"Say which: {kind.example}.")
    raise BadValue(f"'{text}' is no {kind.name}", f"Write it like {kind.example}.")


def read_length(text: str, allow_zero: bool = False, allow_negative: bool = False) -> float:
    """Read a length in mm; a bare number is millimetres; inches may be decimal or a fraction (1 1/2 in)."""
    cleaned = _clean(text)
    found = re.fullmatch(
        rf"(?:({_NUMBER})|([-+]?\d+\s+)?(\d+)/(\d+))\s*(mm|cm|m|in|inch|inches|\"|″)?", cleaned, re.IGNORECASE
    )
    if not found:
        raise BadValue(f"'{text}' is no length", f"Write it like {LENGTH.example}.")
    unit = (found[5] or "mm").lower()
    if found[1] is not None:
        value = float(found[1])
    else:
        if not found[5]:
            raise BadValue(f"'{text}' is a fraction without a unit", f"Write {cleaned} in, or the millimetres.")
        if int(found[4]) == 0:
            raise BadValue(f"'{text}' divides by zero", f"Write it like {LENGTH.example}.")
        whole = int((found[2] or "0").strip())  # not every blank of a pattern is one to int()
        value = math.copysign(abs(whole) + int(found[3]) / int(found[4]), whole or 1)
    value *= {"mm": 1.0, "cm": 10.0, "m": 1000.0}.get(unit, INCH_MM)
    if allow_negative and value < 0:
        return -_checked(-value, text, LENGTH, allow_zero=True)
    return _checked(value, text, LENGTH, allow_zero or allow_negative)


def read_number(text: str) -> float:
    """Read a plain finite number."""
    cleaned = _clean(text)
    if not re.fullmatch(_NUMBER + r"(?:[eE][-+]?\d+)?", cleaned):
        raise BadValue(f"'{text}' is no number", "Write digits and at most one point, like 12 or 12.5.")
    value = float(cleaned)
    if not math.isfinite(value) or abs(value) > 1e6:
        raise BadValue(f"'{text}' is an absurd number", "Write digits and at most one point, like 12 or 12.5.")
    return value


def number(value: float, decimals: int = 1) -> str:
    """The number as printed: rounded half away from zero, no trailing zeros, never ``-0``."""
    # A guard digit keeps two machines from printing 19.4 and 19.5 for the same figure.
    guarded = Decimal(repr(round(value, decimals + 6)))
    text = format(guarded.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP), "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def quantity(value: float, kind: Quantity, figures: int = 3) -> str:
    """A value with its prefix and unit as printed: ``500 kΩ``, ``22 nF``, ``38 mm``."""
    if kind is LENGTH:
        return f"{number(value)} mm"
    if value == 0:
        return f"0 {kind.symbol}"
    for prefix in ("G", "M", "k", "", "m", "u", "n", "p"):
        scale = PREFIXES[prefix]
        shown = value / scale
        if shown >= 0.9995 or prefix == "p":
            decimals = max(0, figures - 1 - math.floor(math.log10(max(shown, 1e-9)) + 1e-9))
            return f"{number(shown, decimals)} {'µ' if prefix == 'u' else prefix}{kind.symbol}"
    raise AssertionError("unreachable: every value has a prefix")


def awg_diameter(gauge: int) -> float:
    """Bare copper diameter in mm of an American wire gauge (ASTM B258: 0.127 mm x 92^((36-n)/39))."""
    return 0.127 * math.pow(92.0, (36 - gauge) / 39)
