"""Every code the program can say is declared once, with its severity, and every one declared is said."""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from diagramgen.features.meaning.page import problems_page
from diagramgen.kernel.codes import Code, Range, Severity, declared_in, registry, registry_of

ROOT = Path(__file__).resolve().parent.parent
CODE = r"[A-Z]{3}-\d{3}"


def trees() -> Iterator[tuple[str, ast.Module]]:
    """Dotted name and tree of every module."""
    for path in sorted((ROOT / "diagramgen").rglob("*.py")):
        yield ".".join(path.relative_to(ROOT).with_suffix("").parts), ast.parse(path.read_text(encoding="utf-8"))


def test_every_code_that_is_compared_is_declared_and_every_one_declared_is_said() -> None:
    names = {code.id.replace("-", "_"): code.id for code in registry().codes}
    said, compared = set(), set()
    for _, tree in trees():
        own = {id(node.args[0]) for node in ast.walk(tree) if isinstance(node, ast.Call)
               and isinstance(node.func, ast.Name) and node.func.id == "Code"}
        for node in ast.walk(tree):
            if isinstance(node, ast.Name) and node.id in names and isinstance(node.ctx, ast.Load):
                said.add(names[node.id])
            elif (isinstance(node, ast.Constant) and isinstance(node.value, str) and re.fullmatch(CODE, node.value)
                    and id(node) not in own):
                compared.add(node.value)
    assert said == set(names.values())
    assert compared - said == set()
    assert len(said) > 280
    assert len(compared) > 20


def test_every_code_is_declared_once() -> None:
    found = Counter(code for path in (ROOT / "diagramgen").rglob("*.py") for code in re.findall(
        rf'= Code\(\s*"({CODE})"', path.read_text(encoding="utf-8")))
    assert [code for code, times in found.items() if times > 1] == []
    assert set(found) == {code.id for code in registry().codes}


def test_no_code_is_said_with_a_severity_that_it_is_not_declared_with() -> None:
    """Where the severity stands in the call; where it is worked out, ``Code.at`` itself refuses any other."""
    codes = {code.id.replace("-", "_"): code for code in registry().codes}
    asked = [(codes[node.func.value.id], Severity[found]) for _, tree in trees() for node in ast.walk(tree)
             if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "at"
             and isinstance(node.func.value, ast.Name) and node.func.value.id in codes
             for found in re.findall(r"Severity\.([A-Z]+)", ast.unparse(node.args[0]))]
    assert [code.at(severity).severity for code, severity in asked] == [severity for _, severity in asked]
    assert len(asked) >= 10


def test_a_name_is_the_id_and_what_it_was_keeps_its_number() -> None:
    for name, tree in trees():
        for node in tree.body:
            if (isinstance(node, ast.Assign) and isinstance(node.value, ast.Call)
                    and ast.unparse(node.value.func) == "Code"):
                assert ast.unparse(node.targets[0]) == ast.literal_eval(node.value.args[0]).replace("-", "_"), name
    assert all(code.was[1:] in ("", code.id[-3:]) for code in registry().codes)
    assert len({code.was for code in registry().codes if code.was}) == sum(1 for code in registry().codes if code.was)


def test_a_code_takes_no_severity_that_it_is_not_declared_with() -> None:
    code = Code("A101", Severity.ERROR, "A thing", also=((Severity.NOTE, "where it is small"),))
    assert code.at(Severity.NOTE).severity is Severity.NOTE
    assert code.at(Severity.ERROR) is code
    with pytest.raises(ValueError, match="A101 is not declared to be said as a warning"):
        code.at(Severity.WARNING)


def test_a_code_of_no_range_is_refused() -> None:
    with pytest.raises(ValueError, match="no range is declared for B101"):
        registry_of([Range("A1", "a", 10)], [Code("B101", Severity.ERROR, "A thing")])


def test_ranges_stand_in_their_order_and_no_two_in_one_place() -> None:
    places = [one.place for one in registry().ranges]
    assert places == sorted(set(places))
    assert len({one.id for one in registry().ranges}) == len(places)
    assert all(registry().of(one) for one in registry().ranges)


def test_a_title_is_one_sentence_without_its_full_stop() -> None:
    assert [code.id for code in registry().codes if code.title.endswith((".", ":", ";")) or not code.title] == []


def test_the_page_is_what_the_declarations_say() -> None:
    page = (ROOT / "docs" / "problems.md").read_text(encoding="utf-8")
    assert page == problems_page(registry()), "after a change of a declaration: python tools/make_problems.py"


def test_every_code_a_faulty_build_shows_has_an_example() -> None:
    said = set()
    for path in (ROOT / "tests" / "bad_builds").glob("*.txt"):
        said |= set(re.findall(rf": (?:error|warning|note) ({CODE}): ", path.read_text(encoding="utf-8")))
    shown = (ROOT / "docs" / "problem-examples.txt").read_text(encoding="utf-8")
    missing = {code for code in said if f" {code}: " not in shown}
    assert missing == set(), "after a change of tests/bad_builds: python tools/make_examples.py"


def test_what_is_read_out_of_the_text_is_what_the_module_holds() -> None:
    """Codes of a rule stand among its code; the registry must not import the rule to find them."""
    from diagramgen.circuit.rules import idle_switches

    text = Path(idle_switches.__file__).read_text(encoding="utf-8")
    assert list(declared_in(text)) == [idle_switches.CIR_256, idle_switches.CIR_257]
    with pytest.raises(NameError):
        list(declared_in('CODE = Code("CIR-999", Severity.ERROR, TITLE)'))


def test_what_a_rule_calls_idle_is_a_code_of_what_a_part_does_not_do() -> None:
    from diagramgen.circuit.proof import IDLE

    # The numbers from 253 up were kept for what a control does not do that its kind is for.
    assert sorted(IDLE) == [f"CIR-{n}" for n in (253, 254, 255, 256, 257, 258, 259, 270, 271)]
