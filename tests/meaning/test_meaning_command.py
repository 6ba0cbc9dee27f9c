"""``meaning``: every code, an example out of the faulty builds, the nearest code, ranges, ids of before."""

from __future__ import annotations

import importlib.util
import json
import re

import pytest
from running import ROOT, quick

from diagramgen.features.meaning.examples import examples
from diagramgen.features.meaning.page import problems_page
from diagramgen.kernel.codes import Code, Range, Severity, registry, registry_of

PAGE = (ROOT / "docs" / "problems.md").read_text(encoding="utf-8")
CODES = re.findall(r"(?m)^\*\*([A-Z]{3}-\d{3})\*\*", PAGE)


def letters(text):
    return re.sub(r"[\s`'*]+", "", text)


def test_every_code_of_the_page_is_told_by_its_whole_paragraph():
    assert [code.id for code in registry().codes] == CODES
    assert len(CODES) > 280
    for code in CODES:
        said = quick("meaning", code).output
        on_page = re.search(rf"(?ms)^\*\*{code}\*\*\s+(.*?)(?=^\*\*[A-Z]{{3}}-\d|^## |\Z)", PAGE)[1]
        severity, told = on_page.removeprefix("(").split(") ", 1)
        head = f"{code}, called {registry().find(code).was} before: {severity}"
        assert letters(said.split("As it is said")[0]) == letters(head + told), code


def test_the_examples_shipped_are_those_of_the_faulty_builds():
    spec = importlib.util.spec_from_file_location("make_examples", ROOT / "tools" / "make_examples.py")
    tool = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    shipped = (ROOT / "docs" / "problem-examples.txt").read_text(encoding="utf-8")
    # Another build may show a code more shortly by now; what is shipped must still be said by one of them.
    answers = {block for path in [*(ROOT / "tests" / "bad_builds").glob("*.txt"),
                                  ROOT / "samples" / "wrong-on-purpose.txt"]
               for _, block in tool.blocks_of(path.read_text(encoding="utf-8"))}
    stale = [block for _, block in tool.blocks_of(shipped) if block not in answers]
    assert stale == [], "after a change of tests/bad_builds: python tools/make_examples.py"
    assert tool.examples_text().startswith(tool.HEAD)
    assert len(examples()) >= 110
    assert set(examples()) <= set(CODES)


def test_capitals_do_not_matter_and_several_codes_may_be_asked():
    said = quick("meaning", "inp-206", "CIR-104").output
    assert said.index("INP-206") < said.index("CIR-104")
    assert "        - volume.wiper -> output.tip, red, green\n" in said


@pytest.mark.parametrize(("typed", "near"), [("INP-1044", "INP-104"), ("CIR-140", "Nearest: CIR-104"),
                                             ("C140", "Nearest: CIR-104"), ("Q", "Ranges: INP-0xx, INP-1xx"),
                                             ("", "Ranges: INP-0xx")])  # fmt: skip
def test_a_code_that_is_none_ends_with_2_and_the_nearest(typed, near):
    done = quick("meaning", typed)
    assert done.exit_code == 2
    assert near in done.stderr
    assert done.stdout == ""


def test_alone_it_lists_every_code_under_its_range():
    said = quick("meaning").output
    heads = re.findall(r"(?m)^## (.+)$", PAGE)
    assert re.findall(r"(?m)^([A-Z]{3}-\dxx: .+)$", said) == heads
    assert re.findall(r"(?m)^  ([A-Z]{3}-\d{3})  \S", said) == CODES


@pytest.mark.parametrize("word", ["CIR-2", "cir-2xx", "CIR-2XX", "C2", "c2xx"])
def test_a_range_is_listed_alone(word):
    said = quick("meaning", word).output
    assert re.findall(r"(?m)^  ([A-Z]{3}-\d{3})  ", said) == [c for c in CODES if c.startswith("CIR-2")]


def test_json_holds_the_same():
    (one,) = json.loads(quick("meaning", "r206", "--json").stdout)
    assert (one["code"], one["was"]) == ("INP-206", "R206")
    assert one["severity"] == "error"
    assert one["paragraphs"] == ["The same thing is said twice on one line."]
    assert "error INP-206" in one["example"]
    assert [c["code"] for r in json.loads(quick("meaning", "--json").stdout) for c in r["codes"]] == CODES


def test_a_text_may_have_several_paragraphs_and_a_list():
    code = Code("A101", Severity.ERROR, "One thing", text="Two.\n\n- a list\n- of two\n\nThree.", advice="Mend it.",
                also=((Severity.NOTE, "where it is small"),))
    page = problems_page(registry_of([Range("A1", "things", 10, intro="All things.")], [code]))
    assert page.endswith("## A1xx: things\n\nAll things.\n\n**A101** (error; note where it is small) One thing. "
                         "Two.\n\n- a list\n- of two\n\nThree. *What to do:* Mend it.\n")


def test_an_id_of_before_is_answered():
    known = registry_of([Range("NEW-1", "things", 10, was="A1")],
                        [Code("NEW-101", Severity.ERROR, "One thing", was="A101")])
    assert known.find("a101") is known.find("new-101") is known.codes[0]
    for word in ("A", "a1", "A1xx", "NEW", "new-", "NEW-1", "new-1xx"):
        assert known.ranges_named(word) == known.ranges, word
    for word in ("", "N", "NEW-2", "B"):
        assert known.ranges_named(word) == (), word
    assert known.nearest("A110") == known.nearest("A1011") == known.nearest("NEW-110") == ["NEW-101"]


@pytest.mark.parametrize("typed", ["INP-302", "inp302", "INP_302", "inp 302", "R302"])
def test_an_id_is_found_without_its_hyphen_and_in_small_letters(typed):
    assert quick("meaning", typed).output == quick("meaning", "INP-302").output


def test_a_range_is_found_without_its_hyphen():
    assert quick("meaning", "cir2xx").output == quick("meaning", "CIR-2xx").output
