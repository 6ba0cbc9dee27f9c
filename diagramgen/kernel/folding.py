"""How words a person types are compared."""

from __future__ import annotations


def folded(text: str) -> str:
    """Lower case with blanks collapsed: how names, lugs and positions are compared."""
    return " ".join(text.lower().split())
