"""``labels``: what it writes, what it refuses, and the tags it writes into the file."""

from __future__ import annotations

import csv
import json
import os
import re
import shutil
from pathlib import Path

import pytest
from running import BROKEN, ROOT, SAMPLES, quick, run


@pytest.fixture
def bench(tmp_path, monkeypatch):
    """A folder with two samples whose tags are not pinned, where commands run."""
    for name in ("one-volume", "two-pickups-toggle", "baritone"):
        shutil.copy(SAMPLES / f"{name}.yaml", tmp_path)
    shutil.copytree(SAMPLES / "groups", tmp_path / "groups")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def pinned(bench):
    assert quick("labels", "one-volume.yaml", "--pin").exit_code == 0
    return bench


def rows(folder):
    with (folder / "labels.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def test_labels_with_automatic_tags_are_refused_and_nothing_is_written(bench):
    result = quick("labels", "one-volume.yaml", "--out", "o")
    assert result.exit_code == 1
    assert "LAB-401" in result.stderr
    assert "--pin" in result.stderr
    assert "nothing written" in result.stdout
    assert not (bench / "o").exists()


def test_they_are_printed_all_the_same_when_asked_for_and_it_is_said(bench):
    result = quick("labels", "one-volume.yaml", "--out", "o", "--automatic-tags")
    assert result.exit_code == 0
    assert "warning LAB-401" in result.stderr
    assert (bench / "o" / "labels.pdf").read_bytes().startswith(b"%PDF-")


def test_pin_changes_only_the_lines_of_the_leads_and_then_labels_are_printed(bench):
    before = (bench / "one-volume.yaml").read_bytes().split(b"\n")
    result = quick("labels", "one-volume.yaml", "--pin")
    assert (result.exit_code, result.stdout) == (0, "6 tags written into one-volume.yaml\n")
    after = (bench / "one-volume.yaml").read_bytes().split(b"\n")
    changed = [i for i, (old, new) in enumerate(zip(before, after, strict=True), 1) if old != new]
    assert changed == [28, 29, 30, 31, 32, 33]
    assert after[29] == b"  - volume.wiper -> output.tip, red, tag W03"
    assert quick("labels", "one-volume.yaml").exit_code == 0
    assert {p.name for p in (bench / "one-volume-labels").iterdir()} == {
        "labels-1.svg", "labels.pdf", "labels.csv", "alignment.svg", "alignment.pdf", "labels.json"}  # fmt: skip
    again = quick("labels", "one-volume.yaml", "--pin")
    assert again.stdout == "one-volume.yaml: no tag to write in\n"
    assert (bench / "one-volume.yaml").read_bytes().split(b"\n") == after


def test_pin_keeps_a_link_and_the_rights_of_the_file(bench):
    real = bench / "one-volume.yaml"
    real.chmod(0o640)
    link = bench / "link.yaml"
    os.symlink(real, link)
    assert quick("labels", "link.yaml", "--pin").exit_code == 0
    assert link.is_symlink()
    assert b"tag W03" in real.read_bytes()
    assert real.stat().st_mode & 0o777 == 0o640


def test_pin_leaves_a_file_with_errors_alone(bench):
    (bench / "b.yaml").write_text(BROKEN, encoding="utf-8")
    result = quick("labels", "b.yaml", "--pin")
    assert result.exit_code == 1
    assert (bench / "b.yaml").read_text(encoding="utf-8") == BROKEN


def test_pin_says_where_it_may_not_write_and_leaves_the_file_as_it_was(bench, monkeypatch):
    def full(*_, **__):
        raise OSError(28, "No space left on device")

    before = (bench / "one-volume.yaml").read_bytes()
    monkeypatch.setattr("diagramgen.writers.atomic_files.tempfile.mkstemp", full)
    result = quick("labels", "one-volume.yaml", "--pin")
    assert result.exit_code == 3
    assert "No space left" in result.stderr
    assert (bench / "one-volume.yaml").read_bytes() == before


def test_pin_of_a_file_that_changes_another_leaves_both_alone_and_says_why(bench):
    text = "format: 1\nchanges to: one-volume.yaml\ntitle: as it was\n"
    (bench / "left.yaml").write_text(text, encoding="utf-8")
    before = (bench / "one-volume.yaml").read_bytes()
    result = quick("labels", "left.yaml", "--pin")
    assert result.exit_code == 0
    assert "no tag to write in" in result.stdout
    assert "one-volume.yaml" in result.stderr
    assert "LAB-402" in result.stderr
    assert (bench / "left.yaml").read_text(encoding="utf-8") == text
    assert (bench / "one-volume.yaml").read_bytes() == before


def test_what_is_wrong_with_circuit_or_places_does_not_keep_a_label_from_being_true(bench):
    """A faulty instrument is on the bench because it is faulty: its leads are labelled before they are unsoldered."""
    text = (bench / "one-volume.yaml").read_text(encoding="utf-8")
    (bench / "bad.yaml").write_text(text.replace("depth: 38", "depth: 4").replace("-> output.sleeve, black",
                                                                                  "-> output.tip, black"))
    assert quick("check", "bad.yaml").exit_code == 1
    assert quick("labels", "bad.yaml", "--automatic-tags", "--out", "o").exit_code == 0


def test_only_the_leads_asked_for_are_labelled(pinned):
    assert quick("labels", "one-volume.yaml", "--lead", "w03", "--lead", "W05", "--out", "o").exit_code == 0
    assert [r["tag"] for r in rows(pinned / "o")] == ["W03", "W03", "W05", "W05"]
    assert {r["kind"] for r in rows(pinned / "o")} == {"flag"}


def test_kinds_come_in_one_run_with_the_labels_used_already_left_out(pinned):
    result = quick("labels", "one-volume.yaml", "--kind", "parts", "--kind", "flags", "--skip", "3", "--out", "o")
    assert result.exit_code == 0
    found = rows(pinned / "o")
    assert (found[0]["row"], found[0]["column"], found[0]["kind"]) == ("1", "4", "flag")
    assert [r["kind"] for r in found][-4:] == ["part"] * 4


def test_a_code_holds_tag_file_check_and_job(pinned):
    result = quick("labels", "one-volume.yaml", "--code", "--on", "3x8-a4", "--out", "o", "--json")
    check = json.loads(result.stdout)["checksum"]
    assert rows(pinned / "o")[0]["code"] == f"W01/{check.upper()}/LL-1107"


def test_a_label_sheet_of_ones_own_is_read_and_its_faults_are_said_with_their_place(pinned):
    mine = pinned / "mine.yaml"
    mine.write_text("paper: letter\ncolumns: 2\nrows: 5\nlabel: [90, 50]\n", encoding="utf-8")
    assert quick("labels", "one-volume.yaml", "--on", "mine.yaml", "--out", "o").exit_code == 0
    mine.write_text("paper: letter\ncolumns: 3\nrows: 5\nlabel: [90, 50]\n", encoding="utf-8")
    result = quick("labels", "one-volume.yaml", "--on", "mine.yaml", "--out", "p")
    assert result.exit_code == 1
    assert "mine.yaml" in result.stderr
    assert "LAB-403" in result.stderr
    assert not (pinned / "p").exists()


def test_bags_are_made_for_the_parts_of_the_build_as_found_that_went(bench):
    text = (bench / "one-volume.yaml").read_text(encoding="utf-8")
    (bench / "left.yaml").write_text(text.replace("pot-24, 250k", "pot-16, 250k"), encoding="utf-8")
    result = quick("labels", "left.yaml", "--kind", "bags", "--before", "one-volume.yaml", "--out", "o")
    assert result.exit_code == 0, result.stderr
    assert [r["tag"] for r in rows(bench / "o")] == ["volume"]
    assert "old part" in rows(bench / "o")[0]["text"]


def test_a_run_with_fewer_labels_takes_its_old_sheets_away_and_leaves_other_files(pinned):
    (pinned / "o").mkdir()
    (pinned / "o" / "mine.txt").write_text("mine")
    assert quick("labels", "one-volume.yaml", "--tape", "12", "--out", "o").exit_code == 0
    assert (pinned / "o" / "labels-2.svg").exists()
    assert quick("labels", "one-volume.yaml", "--out", "o").exit_code == 0
    assert not (pinned / "o" / "labels-2.svg").exists()
    assert (pinned / "o" / "mine.txt").read_text() == "mine"


def test_labels_and_sheets_share_a_folder_and_neither_takes_the_other_away(pinned):
    assert quick("print", "one-volume.yaml", "--sheet", "leads", "--out", "o").exit_code == 0
    assert quick("labels", "one-volume.yaml", "--out", "o").exit_code == 0
    assert quick("print", "one-volume.yaml", "--sheet", "leads", "--out", "o").exit_code == 0
    assert {"leads.pdf", "labels.pdf"} <= {p.name for p in (pinned / "o").iterdir()}


def test_the_same_file_gives_the_same_bytes(pinned):
    for folder in ("o", "p"):
        assert quick("labels", "one-volume.yaml", "--code", "--out", folder).exit_code == 0
    for file in (pinned / "o").iterdir():
        assert file.read_bytes() == (pinned / "p" / file.name).read_bytes(), file.name


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([], "name the build file"),
        (["one-volume.yaml", "--on", "4x12"], "Did you mean '4x12-a4'?"),
        (["one-volume.yaml", "--kind", "flag"], "'flag' is not one of"),
        (["one-volume.yaml", "--lead", "W77"], "no lead to label is tagged W77"),
        (["one-volume.yaml", "--skip", "48"], "has 48 labels: take a new sheet"),
        (["one-volume.yaml", "--skip", "-1"], "0<=x<=10000"),
        (["one-volume.yaml", "--tape", "2"], "a tape of 2 mm"),
        (["one-volume.yaml", "--tape", "nan"], "a tape of nan mm"),
        (["one-volume.yaml", "--tape", "12", "--length", "nan"], "labels of nan mm"),
        (["one-volume.yaml", "--length", "40"], "--length goes with --tape"),
        (["one-volume.yaml", "--shift", "1"], "not two lengths"),
        (["one-volume.yaml", "--shift", "nan,0"], "more than 10 mm"),
        (["one-volume.yaml", "--shift", "99,0"], "check the label sheet's margin"),
        (["one-volume.yaml", "--bar-measures", "50,50"], "scaled by the printer's"),
        (["one-volume.yaml", "--module", "0.2"], "0.33<=x<=2.0"),
        (["one-volume.yaml", "--kind", "bags"], "--before"),
    ],
)
def test_wrong_usage_ends_with_2_and_says_what_is_right(pinned, arguments, words):
    result = quick("labels", *arguments)
    assert result.exit_code == 2, result.output
    assert words in " ".join(result.stderr.split())


def test_a_missing_file_a_missing_sheet_and_a_folder_are_said(pinned):
    assert quick("labels", "no.yaml").exit_code == 1
    assert quick("labels", "one-volume.yaml", "--on", "no.yaml").exit_code == 1
    assert quick("labels", "one-volume.yaml", "--on", "./groups").exit_code == 1
    assert quick("labels", "no.yaml", "--pin").exit_code == 1


def test_ready_sheets_are_listed():
    said = quick("labels", "--list").stdout
    assert re.search(r"4x12-a4 +48 labels of 45.7 x 21.2 mm on 210 x 297", said)
    assert json.loads(quick("labels", "--list", "--json").stdout)["3x8-a4"]["rows"] == 8


def test_the_commands_of_the_page_on_labels_run_in_order(bench):
    page = (ROOT / "docs" / "labels.md").read_text(encoding="utf-8")
    commands = re.findall(r"(?m)^    diagramgen (labels .*)$", page)
    assert len(commands) >= 5
    sheet = re.search(r"(?s)```yaml\n(.*?)```", page)
    Path("mine.yaml").write_text(sheet[1], encoding="utf-8")
    shutil.copy("one-volume.yaml", "found.yaml")
    text = Path("baritone.yaml").read_text(encoding="utf-8")
    Path("found.yaml").write_text(text, encoding="utf-8")
    Path("baritone.yaml").write_text(text.replace("cap: capacitor-film, 15n", "cap: capacitor-film, 47n"),
                                     encoding="utf-8")
    for command in commands:
        result = quick(*command.split())
        assert result.exit_code == 0, (command, result.output)


def test_the_real_command_prints_labels(bench):
    done = run("labels", "baritone.yaml", "--automatic-tags", "-q", "--out", "o", cwd=bench)
    assert (done.returncode, done.stdout) == (0, "")
    assert "Traceback" not in done.stderr
