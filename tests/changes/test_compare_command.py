"""``compare``: what it says, what it writes, how it ends."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from running import BROKEN, LOOSE, SAMPLES, quick

FOUND, LEFT = str(SAMPLES / "two-pickups-toggle-found.yaml"), str(SAMPLES / "two-pickups-toggle.yaml")


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("compared")
    return folder, quick("compare", FOUND, LEFT, "--out", str(folder))


def test_the_summary_counts_and_names_every_step_in_order(written):
    _, done = written
    assert done.exit_code == 0
    assert "5 joints to open, 11 to solder" in done.stdout
    said = done.stdout.split("Step by step:")[1]
    for before, after in (("Meter W13", "Open Common joint"), ("Open Common joint", "Take out lead W12"),
                          ("Take out lead W12", "Put in part: neck-tone"),
                          ("Put in part: neck-tone", "Solder Neck-tone 0")):
        assert said.index(before) < said.index(after)
    assert "To keep in the bag" in said
    assert "What cannot be undone" in said


def test_sheets_and_lists_are_written_as_svg_pdf_csv_and_json(written):
    folder, done = written
    names = {p.name for p in folder.iterdir()}
    assert {"changes.svg", "undo.svg", "changes.pdf", "changes.csv", "changes.json"} <= names
    assert "diagram.pdf" not in names
    said = {Path(line).name for line in done.stdout.splitlines() if line.endswith((".svg", ".pdf", ".csv", ".json"))}
    assert said == names - {"compared.json"}
    check = json.loads((folder / "changes.json").read_text(encoding="utf-8"))["file_check"]
    assert check in (folder / "changes.svg").read_text(encoding="utf-8")


def test_json_holds_the_steps_and_the_way_back(tmp_path):
    said = json.loads(quick("compare", FOUND, LEFT, "--json").stdout)
    assert said["changes"]["counts"]["leads_out"] == 1
    assert {s["do"] for s in said["changes"]["undo"]} >= {"open", "make", "part out"}
    assert said["files"] == []


def test_two_instruments_are_not_compared(tmp_path):
    done = quick("compare", str(SAMPLES / "baritone.yaml"), LEFT, "--out", str(tmp_path / "o"))
    assert done.exit_code == 1
    assert "CHG-301" in done.stderr
    assert "Step by step" not in done.stdout
    assert not (tmp_path / "o").exists()


def test_a_build_that_cannot_be_read_whole_is_not_compared(tmp_path):
    broken = tmp_path / "broken.yaml"
    broken.write_text(BROKEN, encoding="utf-8")
    for pair in ((str(broken), LOOSE), (LOOSE, str(broken))):
        done = quick("compare", *pair)
        assert done.exit_code == 1
        assert "Step by step" not in done.stdout


def test_a_circuit_that_is_wrong_as_found_is_no_error(tmp_path):
    text = Path(LOOSE).read_text(encoding="utf-8")
    sleeve = next(line for line in text.splitlines() if "sleeve" in line)
    found = tmp_path / "found.yaml"
    found.write_text(text.replace(sleeve + "\n", ""), encoding="utf-8")
    assert quick("check", str(found)).exit_code == 1
    done = quick("compare", str(found), LOOSE)
    assert done.exit_code == 0
    assert "comes in" in done.stdout


def test_nothing_changed_is_said_and_nothing_is_written(tmp_path):
    done = quick("compare", LOOSE, LOOSE, "--out", str(tmp_path / "o"))
    assert done.exit_code == 0
    assert "Nothing is changed." in done.stdout
    assert not (tmp_path / "o").exists()


def test_print_says_what_the_sheets_of_changes_need(tmp_path):
    done = quick("print", LOOSE, "--sheet", "changes", "--out", str(tmp_path / "o"))
    assert done.exit_code == 2
    assert "as found" in done.stderr
    assert not (tmp_path / "o").exists()


def test_a_missing_file_is_a_problem_and_a_missing_argument_a_wrong_use():
    assert quick("compare", "nowhere.yaml", LEFT).exit_code == 1
    assert quick("compare", LEFT).exit_code == 2
