"""Punctuation that cannot be read is said once, at its entry, and hides no other fault of the file.

Each break is made in lines of the samples, which are free of faults: whatever else is said would be a consequence.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, Problem
from diagramgen.kernel.provenance import Sources
from diagramgen.library.catalogue import shipped
from diagramgen.model.build import Build
from diagramgen.reader.reader import read_build

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
GOOD = [p for p in sorted(SAMPLES.glob("*.yaml")) if p.stem != "wrong-on-purpose"]
BREAKS: dict[str, Callable[[str], str]] = {
    "bracket opened": lambda row: f"{row} [",
    "brace opened": lambda row: re.sub(r"(: |- )", r"\1{", row, count=1),
    "double quote opened": lambda row: re.sub(r"(: |- )", r'\1"', row, count=1),
    "single quote opened": lambda row: re.sub(r"(: |- )", r"\1'", row, count=1),
    "backtick": lambda row: re.sub(r"(: |- )", r"\1`", row, count=1),
    "bars": lambda row: re.sub(r"(: |- )", r"\1||", row, count=1),
    "second colon": lambda row: f"{row}: x: y",
    "no colon": lambda row: row.replace(":", "", 1),
    "bracket left open": lambda row: re.sub(r"[\]}]([^\]}]*)$", r"\1", row),
    "tab": lambda row: "\t" + row.lstrip(),
}


def read(text: str, file: str = "build.yaml") -> tuple[Build | None, tuple[Problem, ...]]:
    say = Diagnostics()
    build = read_build(text.encode(), file, Sources(SAMPLES), shipped(), say)
    return build, say.sorted()


def errors(problems: tuple[Problem, ...]) -> list[tuple[str, int]]:
    return [(p.code, p.place.line) for p in problems if p.severity is Severity.ERROR]


@pytest.mark.parametrize("sample", GOOD, ids=lambda p: p.stem)
@pytest.mark.parametrize("how", BREAKS)
def test_one_break_is_one_problem_at_its_line_and_nothing_follows_from_it(sample: Path, how: str) -> None:
    rows = sample.read_text(encoding="utf-8").split("\n")
    usual = {p.code for p in read("\n".join(rows))[1]}
    tried = 0
    for at in range([*BREAKS].index(how) % 3, len(rows), 3):
        broken = BREAKS[how](rows[at])
        if broken == rows[at] or not rows[at].strip() or rows[at].lstrip().startswith("#"):
            continue
        build, problems = read("\n".join([*rows[:at], broken, *rows[at + 1:]]))
        if not any(p.code == "INP-005" for p in problems):
            continue  # a break inside a comment or a text is none
        tried += 1
        assert errors(problems) == [("INP-005", at + 1)], (at + 1, broken)
        assert {p.code for p in problems} - usual == {"INP-005"}, (at + 1, broken)
        assert build is None
    assert tried or how in ("bracket opened", "bracket left open")


CHANGES = """\
format: 1
title: A tone put in
changes to: one-volume.yaml
take out:
  leads:
    - volume.wiper -> output.tip
put in:
  parts:
    tone: pot-24, 500k log, at 20 26
    cap: capacitor-film, 22n
  leads:
    - volume.wiper -> tone.wiper, white
    - volume.wiper -> output.tip, yellow
    - tone.ten -> cap.one, bare
    - cap.other -> volume.case, bare
"""


@pytest.mark.parametrize("how", BREAKS)
def test_a_break_in_a_file_of_changes_is_one_problem_and_nothing_follows_from_it(how: str) -> None:
    rows = CHANGES.split("\n")
    usual = read(CHANGES)[1]
    assert errors(usual) == []
    for at in range(len(rows) - 1):
        broken = BREAKS[how](rows[at])
        build, problems = read("\n".join([*rows[:at], broken, *rows[at + 1:]]))
        if broken != rows[at] and any(p.code == "INP-005" for p in problems):
            assert errors(problems) == [("INP-005", at + 1)], (at + 1, broken)
            assert {p.code for p in problems} - {p.code for p in usual} == {"INP-005"}, (at + 1, broken)
            assert build is None


@pytest.mark.parametrize("how", [how for how in BREAKS if how not in ("tab", "no colon")])
def test_a_lead_to_a_lug_that_is_not_there_is_named_beside_a_break_elsewhere(how: str) -> None:
    rows = (SAMPLES / "one-volume.yaml").read_text(encoding="utf-8").split("\n")
    lead = next(i for i, row in enumerate(rows) if "->" in row and "output.tip" in row)
    rows[lead] = rows[lead].replace("output.tip", "output.tipp")
    for at in (i for i, row in enumerate(rows) if row.startswith(("cavity:", "  pickup:", "  bridge:"))):
        broken = BREAKS[how](rows[at])
        if broken != rows[at]:
            _, problems = read("\n".join([*rows[:at], broken, *rows[at + 1:]]))
            assert {code for code, line in errors(problems) if line == lead + 1} == {"INP-302"}
            assert ("INP-005", at + 1) in errors(problems)


def test_every_break_of_a_file_is_named_in_one_run() -> None:
    rows = (SAMPLES / "one-volume.yaml").read_text(encoding="utf-8").split("\n")
    leads = [i for i, row in enumerate(rows) if "->" in row][:3]
    for i in leads:
        rows[i] += " [{"
        rows[i] = rows[i].replace("- ", "- [", 1)
    title = next(i for i, row in enumerate(rows) if row.startswith("title:"))
    rows[title] = 'title: "One'
    _, problems = read("\n".join(rows))
    assert errors(problems) == [("INP-005", i + 1) for i in sorted([title, *leads])]


def test_a_bracket_left_open_in_one_left_open_is_named_once_where_the_inner_one_is() -> None:
    text = ("format: 1\ntitle: T\nparts:\n  pickup: {symbol: single-coil,\n"
            "           colours: {finish: white, start: black\n  output: jack-mono-open\n"
            "leads:\n  - pickup.finish -> output.tip\n  - pickup.start -> output.sleve\n")
    assert errors(read(text)[1]) == [("INP-005", 5), ("INP-302", 9)]


@pytest.mark.parametrize("text", ["[", "{", "a: [", "a: [\n", "a:\n  - [\n", "[\n\n", '"', "'\n", "a: {\n  b: [\n"])
def test_a_bracket_or_quote_that_the_file_ends_in_is_named_with_a_place(text: str) -> None:
    (problem,) = [p for p in read(text)[1] if p.code == "INP-005"]
    assert 1 <= problem.place.line <= text.count("\n") + 2


def test_a_quote_that_a_mark_far_below_closes_is_named_where_it_was_opened() -> None:
    text = 'format: 1\ntitle: "Three-eighths\njob: A\nnote: the jack is 3/8" wide\n'
    _, problems = read(text)
    assert ("INP-005", 2) in errors(problems)
    assert not [line for code, line in errors(problems) if code == "INP-005" and line != 2]


@given(st.lists(st.sampled_from(['a: "b', "  c: [d", "- e", "f: g: h", "\ti: j", "k", "' l", "}", "m: 'n'", "", " o: p",
                                 "  - {q: r", "s: |", "# t", ": u", "? v", "\u2028w: x", "-", "y:"]), max_size=12))
def test_no_heap_of_broken_lines_is_read_for_ever_or_without_a_word(rows: list[str]) -> None:
    build, problems = read("\n".join(rows))
    assert build is None or not any(p.code == "INP-005" for p in problems)
    assert all(p.place.column >= 0 and p.message for p in problems)
    assert problems
