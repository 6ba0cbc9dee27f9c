"""Tables as CSV text (RFC 4180) that a spreadsheet opens without taking anything in it for a formula."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

STARTS = ("=", "+", "-", "@", "\t", "\r")
"""A cell that begins with one of these is worked out as a formula by spreadsheets (OWASP: CSV injection)."""


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A header and rows, with CR LF line ends; write it without translating them."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([plain(name) for name in columns])
    writer.writerows([plain(str(cell)) for cell in row] for row in rows)
    return out.getvalue()


def plain(cell: str) -> str:
    """The cell with an apostrophe before what would be a formula: spreadsheets then show it as text. Numbers stay."""
    return f"'{cell}" if cell.startswith(STARTS) and not _number(cell) else cell


_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?", re.ASCII)
"""A number a spreadsheet shows as one; ``-inf`` and ``+nan`` would be names in a formula."""


def _number(cell: str) -> bool:
    return _NUMBER.fullmatch(cell) is not None
