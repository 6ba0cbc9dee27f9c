"""A reading held against what was expected of it; ``job/results.py`` makes them."""

from __future__ import annotations

from dataclasses import dataclass

from diagramgen.kernel.brief import brief


@dataclass(frozen=True, repr=False)
class Verdict:
    """One reading and what was expected; ``metered`` is None where nothing was entered."""

    what: str
    expected: str
    metered: str
    verdict: str
    """inside | outside | not meaningful | '' (not metered)."""
    sounds: str = ""
    heard: str = ""
    note: str = ""

    def __repr__(self) -> str:
        """One line: where, what was metered, what was expected, the verdict."""
        return brief("Verdict", f"{self.what}: {self.metered or 'not metered'}", f"{self.expected} expected",
                     self.verdict)
