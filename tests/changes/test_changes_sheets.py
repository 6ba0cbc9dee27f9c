"""Sheets of changes and undo, on an invented build whose state as found is known."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from diagramgen.analysis import changes_of, examine
from diagramgen.drawing.scene import Emphasis, Group, Role, Shape, Text, Viewport, walk
from diagramgen.features.changes.export import changes_csv, changes_json
from diagramgen.features.changes.pair import pair_of
from diagramgen.features.changes.sheet import Pair, change_sheets, undo_sheets
from diagramgen.job.change_steps import cannot_undo, steps, to_keep
from diagramgen.job.changes import Changes, compare, undo
from diagramgen.kernel.colours import LeadColour
from diagramgen.kernel.paper import PAPERS
from diagramgen.sheets.context import context_of

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
FOUND, LEFT = SAMPLES / "two-pickups-toggle-found.yaml", SAMPLES / "two-pickups-toggle.yaml"


@cache
def pair() -> Pair:
    proof = examine(LEFT)
    made = pair_of(proof, context_of(proof))
    assert made is not None
    return made


@cache
def sheets(back: bool):
    makers = (undo_sheets if back else change_sheets)(pair(), PAPERS["a4"])
    return [m(i + 1, len(makers)) for i, m in enumerate(makers)]


def changes(back: bool) -> Changes:
    return undo(pair().changes) if back else pair().changes


def words(back: bool) -> str:
    return " ".join(m.text for sheet in sheets(back) for m in walk(sheet) if isinstance(m, Text))


def rows(back: bool) -> list[tuple[str, list[str]]]:
    """Each row of the tables: its words, and the colour codes of its swatch."""
    found = []
    for sheet in sheets(back):
        for mark in sheet.marks:
            if isinstance(mark, Group):
                texts = " ".join(m.text for m in mark.children if isinstance(m, Text))
                codes = [m.colour for m in mark.children if isinstance(m, Shape) and m.role == Role.LEAD_BODY]
                found.append((texts, codes))
    return found


def pictures(back: bool) -> list[dict[str, tuple[Emphasis, bool]]]:
    """Before and after: tag of each lead -> how strong it is drawn and whether it is crossed."""
    result = []
    for sheet in sheets(back):
        for view in (m for m in sheet.marks if isinstance(m, Viewport)):
            drawn: dict[str, Emphasis] = {}
            crossed: set[str] = set()

            def visit(marks, drawn, crossed):
                for mark in marks:
                    if isinstance(mark, Group):
                        visit(mark.children, drawn, crossed)
                    elif isinstance(mark, Shape) and mark.subject.startswith("lead:"):
                        tag = mark.subject.removeprefix("lead:")
                        if mark.role in (Role.LEAD_BODY, Role.LEG):
                            drawn[tag] = mark.emphasis
                        crossed |= {tag} if mark.role == Role.FRAME else set()

            visit(view.children, drawn, crossed)
            result.append({tag: (how, tag in crossed) for tag, how in drawn.items()})
    return result


@pytest.mark.parametrize("back", [False, True])
def test_every_step_stands_on_the_sheet_with_its_lug_and_every_lead_of_it(back):
    text = " ".join(words(back).split())
    found = steps(changes(back))
    assert len(found) > 15
    for step in found:
        assert step.says.split(":")[0].split(". ")[0][:40] in text, step.says
        for one in step.leads:
            assert one.change.tag in text
    assert text.count(" > ") >= 1


@pytest.mark.parametrize("back", [False, True])
def test_a_row_that_names_a_colour_shows_a_swatch_of_that_colour(back):
    named = 0
    for text, codes in rows(back):
        # Beside the swatch, and again where the lead is spoken of; what stays in the joint comes later.
        said = re.findall(r"\b(red|white)(?= lead)", text) + re.findall(r"\b(red|white)\b", text)[:1]
        if codes and said:
            assert {LeadColour(codes[0]).word} == set(said), text
            named += 1
    assert named >= 5


@pytest.mark.parametrize("back", [False, True])
def test_every_lead_and_part_to_be_done_has_a_box_to_tick(back):
    boxes = [m for sheet in sheets(back) for m in walk(sheet) if isinstance(m, Shape) and m.role == Role.TICK_BOX]
    at_joints = sum(max(1, len(step.leads)) for step in steps(changes(back)))
    parts = len(changes(back).parts_that("in", "out", "replaced", "moves"))
    bag = len(to_keep(changes(back))) + (len(to_keep(changes(False))) if back else 0)
    assert len(boxes) == at_joints + parts + bag


@pytest.mark.parametrize("back", [False, True])
def test_pictures_show_strong_what_is_worked_on_and_cross_only_wires_that_come_out(back):
    before, after = pictures(back)
    done = changes(back)
    out = {c.found.tag for c in done.leads_that("goes", "renewed") if c.found.is_wire}
    new = {c.left.tag for c in done.leads_that("comes", "renewed") if c.left.is_wire}
    stays = [c for c in done.leads_that("stays") if c.found.tag in before]
    assert out
    assert new
    assert {tag for tag, (_, crossed) in before.items() if crossed} == out
    assert not any(crossed for _, crossed in after.values())
    assert all(before[tag][0] == Emphasis.STRONG for tag in out)
    assert all(after[tag][0] == Emphasis.STRONG for tag in new)
    assert all(before[c.found.tag][0] == after[c.left.tag][0] == Emphasis.FAINT for c in stays)


def test_question_bag_and_what_cannot_be_undone_are_printed():
    text = words(False)
    assert "Does the black lead on Strings go to Bridge-volume case?" in " ".join(text.split())
    for line in (*to_keep(pair().changes), *cannot_undo(pair().changes)):
        assert line in text
    assert "?" in [m.text for sheet in sheets(False) for m in walk(sheet) if isinstance(m, Text)]


def test_the_way_back_takes_leads_and_parts_from_the_bag():
    assert "from the bag" in words(True)
    assert "from the bag" not in words(False)
    needed = words(True).partition("Needed from the bag")[2].partition("Open these joints")[0]
    # What the changes put into the bag is what the way back needs.
    assert all(line in needed for line in to_keep(changes(False)))
    assert to_keep(changes(False))


def test_nothing_changed_makes_no_sheet():
    left = pair().left.layout.build
    same = Pair(pair().left, pair().left, compare(left, left))
    assert change_sheets(same, PAPERS["a4"]) == undo_sheets(same, PAPERS["a4"]) == []


def test_tables_as_files_hold_every_part_and_lead_once():
    done = pair().changes
    listed = list(csv.DictReader(io.StringIO(changes_csv(done, "abc"), newline="")))
    assert [(r["kind"], r["name"], r["what"]) for r in listed] == [
        *(("part", p.name, p.what) for p in done.parts), *(("lead", c.tag, c.what) for c in done.leads)]
    said = json.loads(changes_json(done, "abc"))
    assert [s["number"] for s in said["steps"]] == list(range(1, len(steps(done)) + 1))
    assert said["file_check"] == "abc"
    assert said["counts"]["joints_opened"] == sum(s["do"] == "open" for s in said["steps"])
    assert [s["do"] for s in said["undo"]] == [s.do for s in steps(undo(done))]


def write(folder: Path, name: str, text: str) -> Path:
    (folder / name).write_text("format: 1\n" + text, encoding="utf-8")
    return folder / name


TWO = """\
title: Invented
hand: {hand}
parts:
  volume: pot-24, 250k log
  output: jack-mono-open
leads:
  - volume.wiper -> output.tip, {colour}
  - volume.case -> output.sleeve, black
"""


def test_a_file_of_changes_begins_from_its_base(tmp_path):
    write(tmp_path, "base.yaml", TWO.format(hand="right", colour="red"))
    over = write(tmp_path, "over.yaml", "changes to: base.yaml\ntake out: {leads: [W01]}\nput in:\n  leads:\n"
                 "    - volume.wiper -> output.tip, white\n")
    done = changes_of(examine(over, reading=True))
    assert sorted(c.what for c in done.leads if c.what != "stays") == ["comes", "goes"]


@pytest.mark.parametrize(("named", "codes"), [(True, {"CHG-301"}), (False, set())])
def test_another_hand_is_an_error_where_it_is_named_as_found_and_no_change_where_it_is_a_base(tmp_path, named, codes):
    write(tmp_path, "base.yaml", TWO.format(hand="left", colour="red"))
    text = ("as found: base.yaml\n" + TWO.format(hand="right", colour="red") if named else
            "changes to: base.yaml\nhand: right\n")
    proof = examine(write(tmp_path, "left.yaml", text), reading=True)
    assert {p.code for p in proof.problems} & {"CHG-301"} == codes
    assert changes_of(proof) is None


def test_the_file_check_changes_with_the_file_as_found(tmp_path):
    checks = set()
    for colour in ("red", "white"):
        write(tmp_path, "found.yaml", TWO.format(hand="right", colour=colour))
        left = write(tmp_path, "left.yaml", "as found: found.yaml\n" + TWO.format(hand="right", colour="red"))
        checks.add(examine(left, reading=True).checksum)
    assert len(checks) == 2


def test_of_the_state_as_found_the_state_before_it_is_not_followed(tmp_path):
    write(tmp_path, "found.yaml", "as found: left.yaml\n" + TWO.format(hand="right", colour="white"))
    left = write(tmp_path, "left.yaml", "as found: found.yaml\n" + TWO.format(hand="right", colour="red"))
    build = examine(left, reading=True).build
    assert build.as_found.build.as_found is None
    assert replace(build, as_found=None).leads == build.leads
