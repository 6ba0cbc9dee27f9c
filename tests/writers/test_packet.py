"""A folder of sheets holds what the last run made, and nothing of the user's is lost."""

from __future__ import annotations

import json
from pathlib import Path

from diagramgen.writers.packet import MANIFEST, write_packet


def test_a_sheet_no_longer_made_goes_and_a_file_of_the_user_stays(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    write_packet(tmp_path, {"diagram.svg": b"1", "jig.svg": b"2"}, "aaaa")
    write_packet(tmp_path, {"diagram.svg": b"3"}, "bbbb")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["diagram.svg", "notes.txt", MANIFEST]
    assert json.loads((tmp_path / MANIFEST).read_text())["file_check"] == "bbbb"


def test_a_sheet_the_user_changed_is_kept(tmp_path: Path) -> None:
    write_packet(tmp_path, {"diagram.svg": b"1", "jig.svg": b"2"}, "aaaa")
    (tmp_path / "jig.svg").write_bytes(b"with my pencil marks")
    write_packet(tmp_path, {"diagram.svg": b"3"}, "bbbb")
    assert (tmp_path / "jig.svg").read_bytes() == b"with my pencil marks"


def test_a_list_that_is_not_ours_removes_nothing(tmp_path: Path) -> None:
    (tmp_path / "other.txt").write_text("x")
    (tmp_path / MANIFEST).write_text('{"files": {"../other.txt": 3, "other.txt": "00"}}')
    write_packet(tmp_path, {"diagram.svg": b"1"}, "aaaa")
    assert (tmp_path / "other.txt").exists()


def test_some_sheets_more_leave_those_of_the_same_data_and_take_away_those_of_others(tmp_path):
    write_packet(tmp_path, {"diagram.svg": b"1", "jig.svg": b"2"}, "aaaa")
    write_packet(tmp_path, {"faults.pdf": b"3"}, "aaaa", some=True)
    assert {p.name for p in tmp_path.iterdir()} == {"diagram.svg", "jig.svg", "faults.pdf", MANIFEST}
    write_packet(tmp_path, {"faults.pdf": b"4"}, "bbbb", some=True)
    assert {p.name for p in tmp_path.iterdir()} == {"faults.pdf", MANIFEST}
