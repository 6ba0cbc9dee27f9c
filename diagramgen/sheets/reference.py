"""docs/sheets.md: every kind of sheet, from what the kinds declare."""

from __future__ import annotations

from diagramgen.sheets.registry import kinds
from diagramgen.sheets.sheet_kind import SheetKind

HEAD = """# Every sheet there is

The job: to have the page you need on the bench, and no other. In hand: your build file. `print my.yaml` makes the usual
ones; `print my.yaml --sheet WORD` makes only that one, and may name several. Sheets are numbered in the order below. A
sheet that a build cannot have is named with the reason when you ask for it.

| word | sheet | for | made | needs |
|---|---|---|---|---|
"""


def reference_text() -> str:
    """The page as it is shipped."""
    return HEAD + "".join(_row(kind) for kind in kinds().values())


def _row(kind: SheetKind) -> str:
    about = kind.about or kind.hint
    made = "as a rule" if kind.default else "on request"
    made += f", with {', '.join(kind.brings)}" if kind.brings else ""
    needs = ", ".join(need.about for need in kind.needs)
    return f"| `{kind.name}` | {kind.title} | {about} | {made} | {needs} |\n"
