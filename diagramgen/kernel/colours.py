"""Lead colours: IEC 60757 codes, the bench's short words, and how a typed colour is read.

Codes and words only; which shade is printed for a code stands in ``drawing.style``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

BARE = "BARE"
GREEN_YELLOW = "GNYE"
"""Reserved for protective earth (IEC 60445): never used for anything else."""

WORDS: dict[str, tuple[str, str]] = {
    "BK": ("black", "blk"),
    "BN": ("brown", "brn"),
    "RD": ("red", "red"),
    "OG": ("orange", "org"),
    "YE": ("yellow", "yel"),
    "GN": ("green", "grn"),
    "BU": ("blue", "blu"),
    "VT": ("violet", "vio"),
    "GY": ("grey", "gry"),
    "WH": ("white", "wht"),
    "PK": ("pink", "pnk"),
    "GD": ("gold", "gld"),
    "TQ": ("turquoise", "trq"),
    "SR": ("silver", "slv"),
    GREEN_YELLOW: ("green-and-yellow", "grn/yel"),
    BARE: ("bare", "bare"),
}
"""Code -> (word, short word), in the order of the IEC 60757 table; ``BARE`` is ours."""

_ALSO = {
    "gray": "GY",
    "slate": "GY",
    "purple": "VT",
    "tinned": BARE,
    "green/yellow": GREEN_YELLOW,
    "yellow/green": GREEN_YELLOW,
    "green-yellow": GREEN_YELLOW,
}
_NAMES: dict[str, str] = {
    **{code.lower(): code for code in WORDS},
    **{word: code for code, pair in WORDS.items() for word in pair},
    **_ALSO,
}
_FILLERS = frozenset({"", "with", "stripe", "striped", "and"})
_PLAIN = frozenset(code for code in WORDS if len(code) == 2)


@dataclass(frozen=True)
class LeadColour:
    """The colour of a lead's insulation: a base and, on a striped lead, the stripe; IEC 60757 codes."""

    base: str
    stripe: str = ""

    @property
    def code(self) -> str:
        """Base first, then the stripe: ``RD``, ``WH/BK``."""
        return f"{self.base}/{self.stripe}" if self.stripe else self.base

    @property
    def short(self) -> str:
        """The word printed beside a lead: ``red``, ``wht/blk``."""
        return "/".join(WORDS[code][1] for code in self._codes())

    @property
    def word(self) -> str:
        """The word printed in lists and sentences: ``red``, ``white with black stripe``."""
        words = [WORDS[code][0] for code in self._codes()]
        return f"{words[0]} with {words[1]} stripe" if self.stripe else words[0]

    @property
    def bare(self) -> bool:
        """Whether the lead has no insulation."""
        return self.base == BARE

    def _codes(self) -> tuple[str, ...]:
        return (self.base, self.stripe) if self.stripe else (self.base,)


def colour_word(code: str) -> str:
    """The short word for a code: ``blk`` for ``BK``, ``wht/blk`` for ``WH/BK``.

    Raises ``ValueError`` for a code that is not in the table.
    """
    return parse_colour(code).short


def names() -> tuple[str, ...]:
    """Every plain word a colour may be typed as, for near-name hints."""
    return tuple(sorted(name for name in _NAMES if name.isalpha()))


def parse_colour(text: str) -> LeadColour:
    """Read a colour as typed: ``red``, ``RD``, ``Gray``, ``wht/blk``, ``white-black``, ``RDBU``.

    Base and stripe may be parted by ``/``, ``-``, ``+``, ``with`` or a space; two codes may also stand
    together. Raises ``ValueError`` with a sentence when a word is unknown or a stripe equals its base.
    """
    typed = " ".join(text.lower().split())
    if typed in _NAMES:
        return LeadColour(_NAMES[typed])
    words = [w for w in re.split(r"\s*[/+\-]\s*|\s+", typed) if w not in _FILLERS]
    if len(words) == 1 and words[0] not in _NAMES and len(words[0]) == 4:
        words = [words[0][:2], words[0][2:]]
    unknown = [w for w in words if w not in _NAMES]
    if unknown or not words:
        raise ValueError(f"“{unknown[0] if unknown else text}” is not a colour")
    codes = [_NAMES[w] for w in words]
    if len(codes) == 1:
        return LeadColour(codes[0])
    if len(codes) > 2:
        raise ValueError(f"“{text}” names {len(codes)} colours; a lead has a base and at most one stripe")
    if codes in (["GN", "YE"], ["YE", "GN"]):
        return LeadColour(GREEN_YELLOW)
    if codes[0] == codes[1]:
        raise ValueError(f"“{text}” has a stripe in the colour of its base")
    if not _PLAIN.issuperset(codes):
        raise ValueError(f"“{text}”: {WORDS[next(c for c in codes if c not in _PLAIN)][0]} cannot be striped")
    return LeadColour(codes[0], codes[1])
