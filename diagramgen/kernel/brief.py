"""How a result shows itself where a person types: one line, as long as a screen is wide."""

from __future__ import annotations

from diagramgen.kernel.terminal_cells import shown

MOST = 160
"""Letters of the line at most."""


def counted(number: int, thing: str) -> str:
    """``1 file``, ``2 files``."""
    return f"{number} {thing}" + ("" if number == 1 else "s")


def brief(name: str, *words: str) -> str:
    """``<State selector=up: bridge, in phase>``: a name and what there is to say, cut where it is too long."""
    line = shown(f"{name} {', '.join(word for word in words if word)}".strip().replace("\n", " "))
    return f"<{line if len(line) <= MOST - 2 else line[:MOST - 5] + '...'}>"
