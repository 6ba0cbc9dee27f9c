"""How problems are put in order, joined and counted before they are said."""

from __future__ import annotations

from diagramgen.console.report import counts, in_order
from diagramgen.kernel.diagnostics import Place, Problem, Severity


def lead(tag: str, line: int, severity: Severity = Severity.WARNING) -> Problem:
    return Problem("W101", severity, Place("a.yaml", line, 5), f"lead {tag} (a -> b): is too short", "Cut it longer.")


def test_problems_are_counted_by_what_they_are() -> None:
    errors = [lead("W01", 1, Severity.ERROR), lead("W02", 2, Severity.ERROR)]
    assert counts([*errors, lead("W03", 3), lead("W04", 4, Severity.NOTE)]) == "2 errors, 1 warning, 1 note"
    assert counts([lead("W03", 3)]) == "1 warning"
    assert counts([]) == "no problems"


def test_the_same_of_three_leads_is_said_once_with_the_leads_and_of_two_for_each() -> None:
    three = [lead(f"W0{n}", n) for n in (3, 1, 2)]
    (said,) = in_order(three)
    assert (said.message, said.place.line) == ("leads W01, W02, W03: is too short", 1)
    assert [p.message for p in in_order(three[:2])] == [three[1].message, three[0].message]


def test_errors_come_first_and_each_kind_by_its_place() -> None:
    found = [lead("W01", 9, Severity.NOTE), lead("W02", 8), lead("W03", 7, Severity.ERROR), lead("W04", 2)]
    assert [p.place.line for p in in_order(found)] == [7, 2, 8, 9]
