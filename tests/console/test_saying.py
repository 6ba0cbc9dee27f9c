"""How problems are put in order, joined and counted before they are said."""

from __future__ import annotations

import pytest

from diagramgen.console.report import counts, in_order, report_problems
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Location, Problem
from diagramgen.model.coil_expression import Joined, coils, read_network


def lead(tag: str, line: int, severity: Severity = Severity.WARNING) -> Problem:
    return Problem("RTE-101", severity, Location("a.yaml", line, 5), f"lead {tag} (a -> b): is too short",
                   "Cut it longer.")


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


@pytest.mark.parametrize("text", ["wanted neck.a + neck.b, the wiring gives neck.a", "gives neck || bridge",
                                  "gives neck - bridge", "(neck.a + neck.b) || (bridge.a + bridge.b)", "a - -b"])
def test_a_sentence_with_coils_and_signs_is_followed_by_the_key(text: str, capsys: pytest.CaptureFixture[str]) -> None:
    said = Problem("CIR-301", Severity.ERROR, Location("a.yaml", 3, 5), text)
    report_problems([said, said])
    assert capsys.readouterr().err.count("+ in series, || in parallel, - out of phase with the first") == 1


@pytest.mark.parametrize("text", ["lead W01 (a.b -> c.d): 4 - 2 mm", "wood 9.5 + 8", "a hand-made part", "x-y", "a+b"])
def test_a_sentence_without_them_is_not(text: str, capsys: pytest.CaptureFixture[str]) -> None:
    report_problems([Problem("CIR-301", Severity.ERROR, Location("a.yaml", 3, 5), text)])
    assert "in series" not in capsys.readouterr().err


def test_the_key_is_true_of_what_is_read() -> None:
    for text, how in (("a + b", "series"), ("a || b", "parallel")):
        network = read_network(text)
        assert isinstance(network, Joined)
        assert network.how == how
    turned = read_network("a - b")
    assert isinstance(turned, Joined)
    assert [coil.reversed for coil in coils(turned)] == [False, True]
