"""A folder of sheets holds what the last run made, and nothing of the user's is lost."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest

from diagramgen.kernel.errors import CannotWrite
from diagramgen.writers.output_folder import MANIFEST, write_packet
from diagramgen.writers.overwriting import Permission


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


def test_a_list_that_is_not_ours_removes_nothing_and_is_kept(tmp_path: Path) -> None:
    outside = tmp_path / "other.txt"
    folder = tmp_path / "sheets"
    folder.mkdir()
    for path in (outside, folder / "other.txt"):
        path.write_text("x")
    digest = hashlib.sha256(b"x").hexdigest()
    theirs = json.dumps({"files": {"../other.txt": digest, "sub/other.txt": digest, "other.txt": "00", "a": 3}})
    (folder / MANIFEST).write_text(theirs)
    with pytest.raises(CannotWrite) as caught:
        write_packet(folder, {"diagram.svg": b"1"}, "aaaa")
    assert caught.value.path == folder / MANIFEST
    assert (folder / MANIFEST).read_text() == theirs
    write_packet(folder, {"diagram.svg": b"1"}, "aaaa", permission=Permission(replace=True))
    assert outside.exists()
    assert (folder / "other.txt").exists()
    assert set(json.loads((folder / MANIFEST).read_text())["files"]) == {"diagram.svg"}


def test_a_list_never_takes_away_what_lies_in_another_folder(tmp_path: Path) -> None:
    """A list names files beside it: one that leads elsewhere is not followed, however well it is written."""
    folder, digest = tmp_path / "sheets", hashlib.sha256(b"x").hexdigest()
    (folder / "sub").mkdir(parents=True)
    elsewhere = [tmp_path / "other.txt", folder / "sub" / "other.txt"]
    for path in elsewhere:
        path.write_text("x")
    names = ["../other.txt", "sub/other.txt", str(elsewhere[0])]
    listed = {"file_check": "aaaa", "files": dict.fromkeys(names, digest), "before": {n: [digest] for n in names}}
    (folder / MANIFEST).write_bytes((json.dumps(listed, indent=1) + "\n").encode())
    write_packet(folder, {"diagram.svg": b"1"}, "aaaa")
    assert all(path.exists() for path in elsewhere)
    assert set(json.loads((folder / MANIFEST).read_text())["files"]) == {"diagram.svg"}


def test_some_sheets_more_leave_those_of_the_same_data_and_take_away_those_of_others(tmp_path):
    write_packet(tmp_path, {"diagram.svg": b"1", "jig.svg": b"2"}, "aaaa")
    write_packet(tmp_path, {"faults.pdf": b"3"}, "aaaa", some=True)
    assert {p.name for p in tmp_path.iterdir()} == {"diagram.svg", "jig.svg", "faults.pdf", MANIFEST}
    write_packet(tmp_path, {"faults.pdf": b"4"}, "bbbb", some=True)
    assert {p.name for p in tmp_path.iterdir()} == {"faults.pdf", MANIFEST}
