"""A file of changes: the base with parts and leads taken out and put in."""

from __future__ import annotations

from pathlib import Path

import pytest
from reading import codes, good, read

BASE = """\
format: 1
title: Invented
parts:
  volume: pot-24, 250k log
  tone: pot-24, 250k log
  output: jack-mono-open
leads:
  - volume.wiper -> output.tip, red
  - volume.ten -> tone.ten, white
  - tone.case -> volume.case, black
  - volume.case -> output.sleeve, black
"""
HEAD = "format: 1\nchanges to: base.yaml\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "base.yaml").write_text(BASE, encoding="utf-8")
    return tmp_path


def test_leads_that_stay_keep_the_tags_of_the_base(folder: Path) -> None:
    text = "take out:\n  leads: [W01]\nput in:\n  leads:\n    - volume.wiper -> output.tip, green\n"
    made = good(HEAD + text, folder)
    assert [e.tag for e in made.leads][:3] == ["W02", "W03", "W04"]
    assert len({e.tag for e in made.leads}) == 4


def test_a_part_taken_out_takes_its_leads_along(folder: Path) -> None:
    made = good(HEAD + "title: After\ntake out: {parts: [tone]}\n", folder)
    assert made.title == "After"
    assert sorted(made.parts) == ["output", "volume"]
    assert [e.tag for e in made.leads] == ["W01", "W04"]


def test_a_part_put_in_under_a_name_takes_its_place_and_leads_stay(folder: Path) -> None:
    made = good(HEAD + "put in:\n  parts:\n    volume: pot-24, 500k log\n", folder)
    assert made.parts["volume"].values["track"] == 500e3
    assert len(made.leads) == 4


def test_a_lead_is_taken_out_by_its_ends_either_way_round(folder: Path) -> None:
    made = good(HEAD + "take out:\n  leads:\n    - output.tip -> volume.wiper\n", folder)
    assert [e.tag for e in made.leads] == ["W02", "W03", "W04"]


@pytest.mark.parametrize(("text", "code"), [
    ("take out: {parts: [tonne]}\n", "INP-343"),
    ("take out: {leads: [W09]}\n", "INP-344"),
    ("take out:\n  leads:\n    - volume.wiper -> output.sleeve\n", "INP-344"),
    ("leads:\n  - volume.wiper -> output.tip, red\n", "INP-341"),
    ("put in:\n  leads:\n    - volume.wiper -> outptu.tip, red\n", "INP-301"),
])
def test_what_is_not_in_the_base_is_said_in_the_line_of_the_changes(folder: Path, text: str, code: str) -> None:
    problems = read(HEAD + text, folder)[1]
    assert code in [p.code for p in problems]
    assert all(p.place.file == "build.yaml" and p.place.line for p in problems if p.code == code)


def test_a_base_that_is_missing_faulty_or_a_file_of_changes_is_refused(folder: Path) -> None:
    (folder / "bad.yaml").write_text(BASE.replace("output.tip", "output.tpi"), encoding="utf-8")
    (folder / "more.yaml").write_text(HEAD, encoding="utf-8")
    assert codes("format: 1\nchanges to: none.yaml\n", folder) == ["INP-022"]
    assert "INP-342" in codes("format: 1\nchanges to: bad.yaml\n", folder)
    assert codes("format: 1\nchanges to: more.yaml\n", folder) == ["INP-342"]
    assert codes("format: 1\nchanges to: ../base.yaml\n", folder) == ["INP-021"]


def test_take_out_without_a_base_is_said() -> None:
    assert "INP-341" in codes("format: 1\ntake out: {parts: [a]}\n")
