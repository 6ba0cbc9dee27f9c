"""Two build files of one instrument held against each other, as found and as left."""

from __future__ import annotations

from pathlib import Path

from diagramgen.analysis import Analysis, changes_of, compared
from diagramgen.job.changes import Changes
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Problem
from diagramgen.sheets.printing import compose
from diagramgen.sheets.sheet_kind import Request


def comparison(found: Path, left: Path, symbols: Path | None = None) -> tuple[Analysis, Changes | None]:
    """What was found out about the build as left, and what is done to get there.

    The changes are None where a file could not be read whole, or the two are of different instruments; the problems of
    the analysis say so.
    """
    analysis = compared(found, left, symbols)
    return analysis, None if _unread(analysis.problems) else changes_of(analysis)


OF_FILES = ("INP-", "SYM-", "CHG-", "REC-")
"""Codes of files that cannot be read or held against each other; a circuit that is wrong is no hindrance."""


def _unread(problems: tuple[Problem, ...]) -> bool:
    """Whether a file could not be read whole: what is missing in it would pass for a change."""
    return any(p.severity is Severity.ERROR and p.code.startswith(OF_FILES) for p in problems)


def change_files(analysis: Analysis, paper: str = "") -> dict[str, bytes]:
    """The sheets of changes and undo with their lists, by name; one PDF holds both.

    ``analysis``: one of which the changes are known. ``paper``: '' for what the build says, else A4.
    """
    made = compose(analysis, Request(paper, ("changes", "undo")))
    made["changes.pdf"] = made.pop("sheets.pdf" if "sheets.pdf" in made else "changes.pdf")
    return made
