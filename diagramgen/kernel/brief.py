"""How a result shows itself where a person types: one line, as long as a screen is wide."""

from __future__ import annotations

from diagramgen.kernel.terminal_cells import shown

MOST = 110
"""Letters of the line at most."""


def brief(name: str, *words: str) -> str:
    """``<State selector=up: bridge, in phase>``: a name and what there is to say, cut where it is too long."""
    line = shown(f"{name} {', '.join(word for word in words if word)}".strip().replace("\n", " "))
    return f"<{line if len(line) <= MOST - 2 else line[:MOST - 5] + '...'}>"
