"""Paper sizes in mm, ISO 216 and the ANSI/US sizes: all that is known of a paper stands in its row here."""

from __future__ import annotations

from typing import NamedTuple


class Paper(NamedTuple):
    """A sheet size, upright, mm. Other papers are named by their key in ``PAPERS``, '' for none."""

    name: str
    width: float
    height: float
    up: str = ""
    """One size up in the same family; the largest has none."""
    files_as: str = ""
    """The size of its family that people file and post, where it is another one."""
    folds_to: str = ""
    """What a half of it is, where it is folded to lie with the others (ISO 216: the longer side is halved)."""
    printed: bool = True
    """Whether sheets can be asked for on it; label sheets and photographed sheets come in every size."""

    def landscape(self) -> Paper:
        """The same sheet lying."""
        return self._replace(width=self.height, height=self.width)


PAPERS: dict[str, Paper] = {
    "a4": Paper("A4", 210.0, 297.0, up="a3"),
    "a3": Paper("A3", 297.0, 420.0, files_as="a4", folds_to="a4"),
    "a5": Paper("A5", 148.0, 210.0, up="a4", printed=False),
    "letter": Paper("Letter", 215.9, 279.4, up="tabloid"),
    "legal": Paper("Legal", 215.9, 355.6, up="tabloid", files_as="letter"),
    "tabloid": Paper("Tabloid", 279.4, 431.8, files_as="letter", folds_to="letter"),
}
PRINTED = tuple(name for name, paper in PAPERS.items() if paper.printed)
"""The papers that sheets can be asked for on, by commands, build files and Python."""


def larger(paper: Paper) -> Paper:
    """One size up in the same family; the largest stays."""
    return PAPERS[paper.up] if paper.up else paper


def handy(paper: Paper) -> Paper:
    """The size of its family that people file and post: A4 or Letter; an A5 stays."""
    return PAPERS[paper.files_as] if paper.files_as else paper
