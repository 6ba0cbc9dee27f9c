"""Where the shipped data lies: inside the installed package, or beside it in a checkout."""

from __future__ import annotations

from pathlib import Path


def folder(name: str) -> Path:
    """The folder ``symbols`` or ``samples``; raises ``FileNotFoundError`` when the install is broken."""
    here = Path(__file__).parent.parent
    for place in (here / name, here.parent / name):
        if place.is_dir():
            return place
    raise FileNotFoundError(f"the folder '{name}' is missing from this installation of diagramgen")
