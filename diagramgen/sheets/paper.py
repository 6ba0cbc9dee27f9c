"""Paper sizes in mm: ISO 216 and the ANSI/US sizes."""

from __future__ import annotations

from typing import NamedTuple


class Paper(NamedTuple):
    """A sheet size, upright, mm."""

    name: str
    width: float
    height: float

    def landscape(self) -> Paper:
        """The same sheet lying."""
        return Paper(self.name, self.height, self.width)


PAPERS: dict[str, Paper] = {
    "a4": Paper("A4", 210.0, 297.0),
    "a3": Paper("A3", 297.0, 420.0),
    "a5": Paper("A5", 148.0, 210.0),
    "letter": Paper("Letter", 215.9, 279.4),
    "legal": Paper("Legal", 215.9, 355.6),
    "tabloid": Paper("Tabloid", 279.4, 431.8),
}


def larger(paper: Paper) -> Paper:
    """One size up in the same family; the largest stays."""
    up = {"A5": "a4", "A4": "a3", "Letter": "tabloid", "Legal": "tabloid"}
    return PAPERS[up[paper.name]] if paper.name in up else paper


def handy(paper: Paper) -> Paper:
    """The size of its family that people file and post: A4 or Letter; an A5 stays."""
    if paper.name == "A5":
        return paper
    return PAPERS["a4" if paper.name.startswith("A") else "letter"]
