"""``explain``: every code of the page, an example out of the faulty builds, the nearest code, ranges."""

from __future__ import annotations

import importlib.util
import json
import re

import pytest
from running import ROOT, quick

from diagramgen.kernel.code_texts import all_codes, ranges, ranges_in

PAGE = (ROOT / "docs" / "problems.md").read_text(encoding="utf-8")
CODES = re.findall(r"(?m)^\*\*([A-Z]\d{3})\*\*", PAGE)


def letters(text):
    return re.sub(r"[\s`'*]+", "", text)


def test_every_code_of_the_page_is_explained_by_its_whole_paragraph():
    assert list(all_codes()) == CODES
    assert len(CODES) > 250
    for code in CODES:
        said = quick("explain", code).output
        on_page = re.search(rf"(?ms)^\*\*{code}\*\*(?:\s+\*\*\w+\*\*)*\s+(.*?)(?=^\*\*[A-Z]\d|^## |\Z)", PAGE)[1]
        assert letters(said.split("As it is said")[0]) == letters(code + on_page), code


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
    shown = {e.code for r in ranges() for e in r.codes if e.example}
    assert len(shown) >= 110
    assert shown <= set(CODES)


def test_capitals_do_not_matter_and_several_codes_may_be_asked():
    said = quick("explain", "r206", "C104").output
    assert said.index("R206") < said.index("C104")
    assert "\n        - volume.wiper -> output.tip, red, green\n" in said


@pytest.mark.parametrize(("typed", "near"), [("R1044", "Did you mean R104?"), ("C140", "Nearest: C104"),
                                             ("Q", "Ranges: R0xx, R1xx"), ("", "Ranges: R0xx")])  # fmt: skip
def test_a_code_that_is_none_ends_with_2_and_the_nearest(typed, near):
    done = quick("explain", typed)
    assert done.exit_code == 2
    assert near in done.stderr
    assert done.stdout == ""


def test_alone_it_lists_every_code_under_its_range():
    said = quick("explain").output
    heads = re.findall(r"(?m)^## (.+)$", PAGE)
    assert re.findall(r"(?m)^([A-Z]\dxx: .+)$", said) == heads
    assert re.findall(r"(?m)^  ([A-Z]\d{3})  \S", said) == CODES


@pytest.mark.parametrize("word", ["C2", "c2xx", "C2XX"])
def test_a_range_is_listed_alone(word):
    said = quick("explain", word).output
    assert re.findall(r"(?m)^  ([A-Z]\d{3})  ", said) == [c for c in CODES if c.startswith("C2")]


def test_json_holds_the_same():
    (one,) = json.loads(quick("explain", "R206", "--json").stdout)
    assert one["code"] == "R206"
    assert one["paragraphs"] == ["The same thing is said twice on one line."]
    assert "error R206" in one["example"]
    assert [c["code"] for r in json.loads(quick("explain", "--json").stdout) for c in r["codes"]] == CODES


def test_a_paragraph_may_have_several_pieces():
    (found,) = ranges_in("## R1xx: keys\n\n**R101** One thing. Two.\n\n- a list\n\n**R102** More.\n", {})
    assert [(e.code, e.paragraphs) for e in found.codes] == [("R101", ("One thing. Two.", "- a list")),
                                                            ("R102", ("More.",))]
    assert found.codes[0].first_sentence == "One thing."
