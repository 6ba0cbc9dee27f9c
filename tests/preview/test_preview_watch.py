"""When a file is drawn anew: once after a save, never while it is being written, and whatever an editor does to it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from diagramgen.features.preview.follow import Watch, stamp


def looks(watch, count=4):
    return [watch.due() for _ in range(count)]


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "my.yaml"
    path.write_text("format: 1\n")
    return path


def test_a_file_left_alone_is_never_due(file):
    assert looks(Watch([file])) == [False] * 4


def test_a_save_is_due_once_and_only_when_two_looks_agree(file):
    watch = Watch([file])
    file.write_text("format: 1\ntitle: x\n")
    assert looks(watch) == [False, True, False, False]


def test_a_file_that_grows_between_looks_waits_until_it_is_whole(file):
    watch = Watch([file])
    seen = []
    with file.open("a") as half:
        for _ in range(3):
            half.write("x" * 50)
            half.flush()
            seen.append(watch.due())
    assert seen == [False] * 3
    assert looks(watch) == [True, False, False, False]


def test_a_file_put_in_place_of_another_of_the_same_size_and_time_is_due(file, tmp_path):
    """So do editors that write beside the file and rename."""
    watch = Watch([file])
    other = tmp_path / "other"
    other.write_text("format: 2\n")
    old = file.stat()
    os.utime(other, ns=(old.st_atime_ns, old.st_mtime_ns))
    os.replace(other, file)
    assert stamp(file)[:2] == (old.st_mtime_ns, old.st_size)
    assert True in looks(watch)


def test_a_file_taken_away_is_due_and_so_is_its_return(file):
    watch = Watch([file])
    file.unlink()
    assert looks(watch) == [False, True, False, False]
    file.write_text("format: 1\n")
    assert looks(watch) == [False, True, False, False]


def test_a_file_that_is_named_but_not_there_is_due_when_it_comes(file, tmp_path):
    watch = Watch([file])
    watch.follow([file, tmp_path / "outline.svg"])
    assert looks(watch, 2) == [False, False]
    (tmp_path / "outline.svg").write_text("<svg/>")
    assert looks(watch) == [False, True, False, False]


def test_a_save_while_it_is_drawn_is_stale_and_is_not_lost_when_the_files_change(file, tmp_path):
    watch = Watch([file])
    file.write_text("format: 1\ntitle: first\n")
    assert True in looks(watch)
    assert not watch.stale()
    file.write_text("format: 1\ntitle: second one\n")
    watch.follow([file, tmp_path / "more.yaml"])
    assert watch.stale()
    assert looks(watch, 2) == [False, True]
    assert not watch.stale()


def test_a_new_symbol_in_the_folder_of_symbols_is_due(file, tmp_path):
    own = tmp_path / "own"
    own.mkdir()
    watch = Watch([file], own)
    assert not watch.due()
    (own / "mine.yaml").write_text("symbol: mine\n")
    assert looks(watch, 2) == [False, True]


def test_a_name_no_system_can_hold_is_a_file_that_is_not_there():
    assert stamp(Path("a\0b")) is None
