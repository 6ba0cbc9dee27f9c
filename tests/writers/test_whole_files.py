import os
import stat
import sys

import pytest
from sheets_for_tests import measuring_sheet

from diagramgen.kernel.errors import CannotWrite
from diagramgen.writers import atomic_files as files
from diagramgen.writers import png
from diagramgen.writers.atomic_files import write_all


def listing(folder):
    return sorted(str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file())


def test_files_are_written_into_a_new_folder_and_replace_old_ones(tmp_path):
    out = tmp_path / "new" / "folder"
    assert write_all(out, {"b.svg": b"1", "a/c.pdf": b"2"}) == [out / "a/c.pdf", out / "b.svg"]
    write_all(out, {"b.svg": b"3"})
    assert (out / "b.svg").read_bytes() == b"3"
    assert listing(out) == ["a/c.pdf", "b.svg"]


@pytest.mark.parametrize("step", ["fsync", "replace", "chmod"])
def test_a_failure_leaves_the_old_file_whole_and_nothing_else(tmp_path, monkeypatch, step):
    (tmp_path / "a.svg").write_bytes(b"old")

    def fail(*_args):
        raise OSError(28, "No space left on device")

    if step == "fsync":
        monkeypatch.setattr(files.os, "fsync", fail)
    else:
        monkeypatch.setattr(files.Path, step, fail)
    with pytest.raises(CannotWrite, match="No space left") as caught:
        write_all(tmp_path, {"a.svg": b"new", "b.pdf": b"new"})
    monkeypatch.undo()
    assert caught.value.path == tmp_path / "a.svg"
    assert caught.value.reason == "No space left on device"
    assert listing(tmp_path) == ["a.svg"]
    assert (tmp_path / "a.svg").read_bytes() == b"old"


def test_a_failure_at_the_second_file_leaves_the_first_as_it_was(tmp_path, monkeypatch):
    (tmp_path / "a.svg").write_bytes(b"old")
    (tmp_path / "b.svg").mkdir()
    with pytest.raises(CannotWrite, match="a folder of that name"):
        write_all(tmp_path, {"a.svg": b"new", "b.svg": b"new"})
    assert (tmp_path / "a.svg").read_bytes() == b"old"
    assert listing(tmp_path) == ["a.svg"]


@pytest.mark.parametrize("name", ["../x", "/etc/x", "a/../../x", "", "a\\..\\x", "a\0b"])
def test_nothing_is_written_outside_the_folder(tmp_path, name):
    inner = tmp_path / "in"
    with pytest.raises(CannotWrite, match="out of the folder"):
        write_all(inner, {"good.svg": b"1", name: b"2"})
    assert list(tmp_path.iterdir()) == []


def test_names_that_are_one_where_capitals_do_not_count_are_refused(tmp_path):
    with pytest.raises(CannotWrite, match=r"it would replace 'A\.svg'"):
        write_all(tmp_path / "in", {"a.svg": b"1", "A.svg": b"2"})
    assert list(tmp_path.iterdir()) == []


def test_the_folder_is_held_while_it_is_written_and_free_afterwards(tmp_path):
    fcntl = pytest.importorskip("fcntl")
    handle = os.open(tmp_path, os.O_RDONLY)
    try:
        with files.only_one(tmp_path), pytest.raises(BlockingIOError):
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    finally:
        os.close(handle)


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_a_link_out_of_the_folder_is_not_followed(tmp_path):
    inner, other = tmp_path / "in", tmp_path / "other"
    inner.mkdir()
    other.mkdir()
    (inner / "away").symlink_to(other)
    with pytest.raises(CannotWrite, match="leads out of it"):
        write_all(inner, {"away/x.svg": b"1"})
    assert listing(other) == []


def test_a_file_where_the_folder_should_be_is_a_plain_message(tmp_path):
    (tmp_path / "out").write_bytes(b"")
    with pytest.raises(CannotWrite, match="cannot write"):
        write_all(tmp_path / "out", {"a.svg": b"1"})


@pytest.mark.skipif(sys.platform == "win32", reason="rights differ there")
def test_new_files_get_the_usual_rights_and_old_ones_keep_theirs(tmp_path):
    old = os.umask(0o022)
    try:
        write_all(tmp_path, {"a.svg": b"1"})
        assert (tmp_path / "a.svg").stat().st_mode & 0o777 == 0o644
        assert os.umask(0o022) == 0o022  # the program's own stays as it was
        (tmp_path / "a.svg").chmod(0o600)
        write_all(tmp_path, {"a.svg": b"2"})
        assert (tmp_path / "a.svg").stat().st_mode & 0o777 == 0o600
    finally:
        os.umask(old)


@pytest.mark.parametrize("error", [ImportError("x"), OSError('no library called "cairo-2" was found')])
def test_a_missing_png_renderer_is_a_sentence_that_says_how_to_get_it(monkeypatch, error):
    class Blocked:
        def find_spec(self, name, _path=None, _target=None):
            if name == "cairosvg":
                raise error

    monkeypatch.delitem(sys.modules, "cairosvg", raising=False)
    monkeypatch.setattr(sys, "meta_path", [Blocked(), *sys.meta_path])
    with pytest.raises(png.PngUnavailable, match="apt install libcairo2"):
        png.png_bytes(measuring_sheet())


def test_a_picture_has_the_sheet_size_at_its_resolution():
    import io

    from PIL import Image

    pytest.importorskip("cairosvg", reason="missing: cairosvg", exc_type=(ImportError))
    picture = Image.open(io.BytesIO(png.png_bytes(measuring_sheet(), 96)))
    assert abs(picture.width - 297 / 25.4 * 96) <= 1
    assert abs(picture.height - 210 / 25.4 * 96) <= 1


@pytest.mark.skipif(sys.platform == "win32", reason="folders cannot be flushed there")
def test_renames_are_flushed_to_the_disk_folder_by_folder_after_the_last_of_them(tmp_path, monkeypatch):
    """fsync(2), rename(2): the file's own bytes last once the file is flushed, its name once the folder is."""
    done, sizes, fsync, replace = [], [], os.fsync, files.Path.replace

    def flush(handle):
        kind = "folder" if stat.S_ISDIR(os.fstat(handle).st_mode) else "file"
        done.append((kind, os.fstat(handle).st_ino))
        sizes.append(os.fstat(handle).st_size)
        fsync(handle)

    def rename(path, target):
        done.append(("rename", path.stat().st_ino))
        return replace(path, target)

    monkeypatch.setattr(files.os, "fsync", flush)
    monkeypatch.setattr(files.Path, "replace", rename)
    paths = write_all(tmp_path, {"a.svg": b"1", "sub/b.svg": b"2", "sub/c.svg": b"3"})
    inodes = [path.stat().st_ino for path in paths]
    folders = [tmp_path.stat().st_ino, (tmp_path / "sub").stat().st_ino]
    assert done == [("file", n) for n in inodes] + [("rename", n) for n in inodes] + [("folder", n) for n in folders]
    assert sizes[:3] == [1, 1, 1]  # the bytes have left the program when the file is flushed


def test_a_folder_that_cannot_be_flushed_is_written_all_the_same(tmp_path, monkeypatch):
    """As on some network disks."""
    fsync = os.fsync

    def refuse(handle):
        if stat.S_ISDIR(os.fstat(handle).st_mode):
            raise OSError(22, "Invalid argument")
        fsync(handle)

    monkeypatch.setattr(files.os, "fsync", refuse)
    write_all(tmp_path, {"a.svg": b"1"})
    assert (tmp_path / "a.svg").read_bytes() == b"1"
    handles = len(os.listdir("/proc/self/fd")) if os.path.isdir("/proc/self/fd") else 0
    write_all(tmp_path, {"a.svg": b"2"})
    assert not handles or len(os.listdir("/proc/self/fd")) == handles  # no handle is left open


def test_what_a_run_that_was_killed_left_half_written_goes_and_a_file_of_the_users_with_such_a_name_stays(tmp_path):
    (tmp_path / f"{files.PASSING}a1b2c3_d").write_bytes(b"half")
    (tmp_path / f"{files.PASSING}of-mine.txt").write_bytes(b"mine")
    write_all(tmp_path, {"a.svg": b"1"})
    assert listing(tmp_path) == [f"{files.PASSING}of-mine.txt", "a.svg"]


def test_folders_above_are_made_too_and_names_may_lead_through_folders(tmp_path):
    out = tmp_path / "not" / "there" / "yet"
    write_all(out, {"sub/deeper/a.svg": b"1"})
    assert (out / "sub" / "deeper" / "a.svg").read_bytes() == b"1"
