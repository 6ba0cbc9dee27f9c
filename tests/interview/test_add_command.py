"""``add``: written where the file is as good as before, refused with the problems' places where it is not."""

from __future__ import annotations

import json
import os

import pytest
from running import quick

GOOD = """format: 1
title: T
parts:
  pickup: single-coil
  volume: pot-24, 250k log   # the only one
  output: jack-mono-open
leads:
  - pickup.finish -> volume.ten
  - pickup.start -> volume.case
  - volume.zero -> volume.case, bend
  - volume.wiper -> output.tip, red   # to the tip
"""
LAST = "volume.case -> output.sleeve, black"


@pytest.fixture
def build(tmp_path):
    path = tmp_path / "b.yaml"
    path.write_text(GOOD)
    return path


def test_a_lead_that_mends_the_build_is_written(build):
    done = quick("add", str(build), "lead", LAST)
    assert done.exit_code == 0, done.output
    assert build.read_text() == GOOD + f"  - {LAST}\n"
    assert "lead in line 12" in done.stdout


def test_ends_and_remarks_may_be_words_of_their_own(build):
    assert quick("add", str(build), "lead", "volume.case", "output.sleeve", "black").exit_code == 0
    assert build.read_text() == GOOD + f"  - {LAST}\n"


def test_a_part_stands_behind_the_last_one_with_its_own_line_s_remark_kept(build):
    done = quick("add", str(build), "part", "tone: pot-24, 250k log", "--anyway")
    assert "part in line 7" in done.stdout
    assert "  output: jack-mono-open\n  tone: pot-24, 250k log\nleads:\n" in build.read_text()
    assert "# the only one" in build.read_text()


@pytest.mark.parametrize(("kind", "text", "word"), [
    ("lead", "volume.wipr -> output.sleeve, black", ":12:5: error INP-"),
    ("lead", "volume.ten -> volume.case, green", "error CIR-"),
    ("part", "volume: pot-16, 250k log", "error INP-011"),
])  # fmt: skip
def test_what_makes_the_file_worse_is_said_with_its_place_and_not_written(build, kind, text, word):
    quick("add", str(build), "lead", LAST)
    before = build.read_text()
    word = word.replace(":12:", ":13:")
    done = quick("add", str(build), kind, text)
    assert done.exit_code == 1
    assert word in done.stderr
    assert "Nothing was written" in done.stderr
    assert build.read_text() == before
    anyway = quick("add", str(build), kind, text, "--anyway", "--json")
    assert json.loads(anyway.stdout)["written"] is True
    assert build.read_text() != before


def test_a_file_that_cannot_be_read_is_left(tmp_path):
    path = tmp_path / "b.yaml"
    for text in ("leads: [", "", "\0\0"):
        path.write_text(text)
        done = quick("add", str(path), "lead", LAST)
        assert done.exit_code == 1
        assert path.read_text() == text
    assert quick("add", str(tmp_path / "none.yaml"), "lead", LAST).exit_code == 1
    assert quick("add", str(tmp_path), "lead", LAST).exit_code == 1


def test_a_link_stays_a_link_and_rights_stay(build, tmp_path):
    build.chmod(0o640)
    link = tmp_path / "link.yaml"
    link.symlink_to(build)
    assert quick("add", str(link), "lead", LAST).exit_code == 0
    assert link.is_symlink()
    assert build.read_text().endswith(f"  - {LAST}\n")
    assert os.stat(build).st_mode & 0o777 == 0o640


@pytest.mark.parametrize("saved", ["other text", None])
def test_what_an_editor_saved_meanwhile_is_not_written_over(build, monkeypatch, saved):
    """The file changes, or goes, after it was read and before it would be written."""
    from diagramgen.edit import insert_entry as adding

    put_in = adding.added

    def meanwhile(data, kind, text):
        if saved is None:
            build.unlink(missing_ok=True)
        else:
            build.write_text(saved)
        return put_in(data, kind, text)

    monkeypatch.setattr(adding, "added", meanwhile)
    done = quick("add", str(build), "lead", LAST)
    assert done.exit_code == 3
    assert "changed while it was read; nothing was written" in done.stderr
    assert (build.read_text() if build.exists() else None) == saved
