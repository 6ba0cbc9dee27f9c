"""The two shipped faces and their measures, read straight from the TrueType tables.

A font library takes longer to import than these tables take to read, and widths are wanted by every run.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from struct import unpack_from

FAMILY = "DG Sans"
"""Family name of the shipped faces, as written into SVG files."""

_NO_WIDTH = dict.fromkeys(
    [0xAD, *range(0x200B, 0x2010), *range(0x202A, 0x202F), *range(0x2060, 0x2070), 0xFEFF]
)
_FOLDER = Path(__file__).resolve().parent.parent / "fonts"


@dataclass(frozen=True)
class Face:
    """Measures of one face, in units of the em (``1.0`` = font size)."""

    advances: dict[int, float]
    """Advance width by code point."""
    fallback: float
    """Advance of the empty box set for a missing character."""
    capital: float
    """Height of a capital H."""
    ascent: float
    """Highest ink of accented capitals above the baseline."""
    descent: float
    """Lowest ink below the baseline, as a positive number."""


def font_path(bold: bool = False) -> Path:
    """The TrueType file of the regular or the bold face."""
    return _FOLDER / f"DGSans-{'Bold' if bold else 'Regular'}.ttf"


@lru_cache(maxsize=2)
def face(bold: bool = False) -> Face:
    """The measures of the regular or the bold face."""
    data = font_path(bold).read_bytes()
    tables = _tables(data)
    units = unpack_from(">H", data, tables["head"] + 18)[0]
    glyphs = _glyph_numbers(data, tables["cmap"])
    widths = _advances(data, tables["hhea"], tables["hmtx"])
    top, bottom = unpack_from(">hh", data, tables["hhea"] + 4)
    return Face(
        advances={code: widths[min(glyph, len(widths) - 1)] / units for code, glyph in glyphs.items()},
        fallback=widths[0] / units,
        capital=_top_of(data, tables, glyphs[ord("H")]) / units,
        ascent=top / units,
        descent=-bottom / units,
    )


def composed(text: str) -> str:
    """The text as all writers set it: accents joined to their letters, nothing in it that has no width.

    Soft hyphens, joiners and direction marks go: one program would draw them, the next would not.
    """
    return text if text.isascii() else unicodedata.normalize("NFC", text.translate(_NO_WIDTH))


def missing_characters(text: str) -> str:
    """The characters of ``text`` the shipped faces cannot set, each once, in order of appearance."""
    known = face().advances
    return "".join(dict.fromkeys(c for c in composed(text) if ord(c) not in known))


def not_set(text: str) -> str:
    """The characters that cannot be set, or only the wrong way round (right to left), named; '' where all can."""
    wrong = missing_characters(text)
    wrong += "".join(c for c in dict.fromkeys(text) if c not in wrong and unicodedata.bidirectional(c) in ("R", "AL"))
    return ", ".join(f"{c} (U+{ord(c):04X})" for c in wrong)


def _tables(data: bytes) -> dict[str, int]:
    count = unpack_from(">H", data, 4)[0]
    entries = (unpack_from(">4sLLL", data, 12 + 16 * i) for i in range(count))
    return {tag.decode("ascii"): offset for tag, _, offset, _ in entries}


def _advances(data: bytes, hhea: int, hmtx: int) -> list[int]:
    count = unpack_from(">H", data, hhea + 34)[0]
    return list(unpack_from(">" + "Hh" * count, data, hmtx)[::2])


def _glyph_numbers(data: bytes, cmap: int) -> dict[int, int]:
    """Code point to glyph, from the format 4 table (Windows, Unicode BMP): all that the faces hold."""
    for i in range(unpack_from(">H", data, cmap + 2)[0]):
        platform, encoding, offset = unpack_from(">HHL", data, cmap + 4 + 8 * i)
        if (platform, encoding) == (3, 1):
            return _format_4(data, cmap + offset)
    raise ValueError("the font has no Unicode character map")


def _format_4(data: bytes, at: int) -> dict[int, int]:
    count = unpack_from(">H", data, at + 6)[0] // 2
    row = f">{count}H"
    lasts = unpack_from(row, data, at + 14)
    firsts = unpack_from(row, data, at + 16 + 2 * count)
    deltas = unpack_from(row, data, at + 16 + 4 * count)
    ranges_at = at + 16 + 6 * count
    ranges = unpack_from(row, data, ranges_at)
    found: dict[int, int] = {}
    for i, (first, last, delta, away) in enumerate(zip(firsts, lasts, deltas, ranges, strict=True)):
        for code in range(first, min(last, 0xFFFE) + 1):
            glyph = code
            if away:
                glyph = unpack_from(">H", data, ranges_at + 2 * i + away + 2 * (code - first))[0]
            if glyph or not away:
                found[code] = (glyph + delta) & 0xFFFF
    return found


def _top_of(data: bytes, tables: dict[str, int], glyph: int) -> int:
    long = unpack_from(">h", data, tables["head"] + 50)[0]
    entry = ">L" if long else ">H"
    start = unpack_from(entry, data, tables["loca"] + (4 if long else 2) * glyph)[0] * (1 if long else 2)
    top: int = unpack_from(">h", data, tables["glyf"] + start + 8)[0]
    return top
