"""Which file may take the place of one that is there, decided in one place."""

from __future__ import annotations

import hashlib
import pickle
import sys
from pathlib import Path

import pytest

from diagramgen.kernel.errors import CannotWrite
from diagramgen.writers.output_folder import JOB_LIST, MANIFEST, write_alone, write_packet
from diagramgen.writers.overwriting import MayNotReplace, Permission, check_permission, is_as_written

NEW = {"a.svg": b"new", "b.svg": b"new", "c.svg": b"new"}
links = pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")


def digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def refused(folder: Path, known: dict[str, list[str]] | None = None, **how: object) -> MayNotReplace | None:
    try:
        check_permission(folder, NEW, known or {}, Permission(**how))
    except MayNotReplace as fault:
        return fault
    return None


def test_nothing_stands_in_the_way_of_new_files_and_of_the_same_bytes(tmp_path: Path) -> None:
    assert refused(tmp_path) is None
    (tmp_path / "b.svg").write_bytes(b"new")
    (tmp_path / "other.svg").write_bytes(b"mine")
    assert refused(tmp_path, read=(tmp_path / "gone.svg", tmp_path / "other.svg", Path("nul\0"))) is None


def test_what_was_written_may_go_and_what_was_changed_since_may_not(tmp_path: Path) -> None:
    (tmp_path / "b.svg").write_bytes(b"old")
    assert refused(tmp_path, {"b.svg": [digest(b"x"), digest(b"old")]}) is None
    fault = refused(tmp_path, {"b.svg": [digest(b"x")]})
    assert fault is not None
    assert (fault.path, fault.reason) == (tmp_path / "b.svg", "it was changed since it was written here")
    assert "--replace" in fault.remedy
    for nothing_known in ({}, {"b.svg": []}, {"a.svg": [digest(b"old")]}):
        fault = refused(tmp_path, nothing_known)
        assert fault is not None
        assert "no list beside it says that diagramgen wrote it" in fault.reason
        assert refused(tmp_path, nothing_known, replace=True) is None


def test_what_it_is_made_from_may_never_go(tmp_path: Path) -> None:
    (tmp_path / "b.svg").write_bytes(b"new")
    for how in ({}, {"replace": True}):
        fault = refused(tmp_path, {"b.svg": [digest(b"new")]}, read=(tmp_path / "x", tmp_path / "b.svg"), **how)
        assert fault is not None
        assert fault.reason == "what is written here is made from this file"
        assert "--replace" not in fault.remedy


@links
def test_a_link_is_the_users_wherever_it_leads(tmp_path: Path) -> None:
    (tmp_path / "there").write_bytes(b"new")
    for target in ("there", "nowhere"):
        (tmp_path / "a.svg").symlink_to(target)
        fault = refused(tmp_path, {"a.svg": [digest(b"new")]})
        assert fault is not None
        assert fault.reason.startswith("a link of that name is there already")
        assert not is_as_written(tmp_path / "a.svg", [digest(b"new")])
        (tmp_path / "a.svg").unlink()


def test_all_that_stand_in_the_way_are_named_a_few_of_many(tmp_path: Path) -> None:
    many = {f"{n}.svg": b"new" for n in range(7)}
    for count, words in ((1, ""), (2, "; nor may '1.svg' be replaced"),
                         (5, "; nor may '1.svg', '2.svg', '3.svg', '4.svg' be replaced"),
                         (7, "; nor may '1.svg', '2.svg', '3.svg', '4.svg' and 2 more be replaced")):
        for n in range(count):
            (tmp_path / f"{n}.svg").write_bytes(b"mine")
        with pytest.raises(MayNotReplace) as caught:
            check_permission(tmp_path, many, {}, Permission())
        assert caught.value.path == tmp_path / "0.svg"
        assert caught.value.reason.endswith("wrote it" + words)
        with pytest.raises(MayNotReplace) as caught:
            check_permission(tmp_path, many, {}, Permission(True, tuple(tmp_path / f"{n}.svg" for n in range(count))))
        assert caught.value.reason.endswith("made from this file" + words)


def test_a_folder_of_that_name_is_said_as_such(tmp_path: Path) -> None:
    (tmp_path / "b.svg").mkdir()
    assert refused(tmp_path) is None
    with pytest.raises(CannotWrite, match="a folder of that name"):
        write_packet(tmp_path, NEW, "aaaa")
    assert [p.name for p in tmp_path.iterdir()] == ["b.svg"]


def test_where_one_may_not_be_replaced_none_is_written_and_nothing_is_left_over(tmp_path: Path) -> None:
    write_packet(tmp_path, {"a.svg": b"1", "old.svg": b"2"}, "aaaa")
    (tmp_path / "c.svg").write_bytes(b"mine")
    before = {p.name: p.read_bytes() for p in tmp_path.iterdir()}
    with pytest.raises(MayNotReplace):
        write_packet(tmp_path, NEW, "bbbb")
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == before
    assert write_packet(tmp_path, NEW, "bbbb", permission=Permission(replace=True)) == [
        tmp_path / name for name in NEW]
    assert {p.name for p in tmp_path.iterdir()} == {*NEW, MANIFEST}


@pytest.mark.parametrize("change", [b"", b" ", b"\n", b"\x00"])
def test_a_list_is_ours_only_letter_by_letter(tmp_path: Path, change: bytes) -> None:
    write_packet(tmp_path, NEW, "aaaa")
    write_packet(tmp_path, NEW, "bbbb")
    place = tmp_path / MANIFEST
    place.write_bytes(place.read_bytes() + change)
    if change:
        with pytest.raises(MayNotReplace) as caught:
            write_packet(tmp_path, NEW, "cccc")
        assert caught.value.path == place
    else:
        write_packet(tmp_path, NEW, "cccc")


@pytest.mark.parametrize("theirs", ["[]", "3", '"x"', "{}", '{"files": {}}', '{"file_check": "a"}', "{", "\udcff",
                                    '{\n "file_check": "a",\n "files": {},\n "mine": 1\n}\n'])
def test_a_list_of_another_kind_is_the_users(tmp_path: Path, theirs: str) -> None:
    (tmp_path / MANIFEST).write_bytes(theirs.encode("utf-8", "surrogateescape"))
    with pytest.raises(MayNotReplace):
        write_packet(tmp_path, NEW, "aaaa")
    assert [p.name for p in tmp_path.iterdir()] == [MANIFEST]


def test_what_closes_a_packet_is_listed_with_it_and_kept_as_it_is(tmp_path: Path) -> None:
    write_packet(tmp_path, {"a.svg": b"1"}, "aaaa", JOB_LIST, closing={"job.json": b"{}"})
    write_packet(tmp_path, {"b.svg": b"1"}, "bbbb", JOB_LIST, closing={"job.json": b"{1}"})
    assert {p.name for p in tmp_path.iterdir()} == {"b.svg", "job.json", JOB_LIST}
    (tmp_path / "job.json").write_bytes(b"mine")
    with pytest.raises(MayNotReplace) as caught:
        write_packet(tmp_path, {"b.svg": b"2"}, "cccc", JOB_LIST, closing={"job.json": b"{2}"})
    assert caught.value.path == tmp_path / "job.json"
    assert (tmp_path / "b.svg").read_bytes() == b"1"


def test_a_sheet_of_another_command_is_not_replaced_even_when_others_may_be(tmp_path: Path) -> None:
    write_packet(tmp_path, {"a.svg": b"1"}, "aaaa", "compared.json")
    for how in (Permission(), Permission(replace=True)):
        with pytest.raises(MayNotReplace, match="a sheet of 'compare' lies there"):
            write_packet(tmp_path, {"a.svg": b"2"}, "aaaa", permission=how)
    (tmp_path / "a.svg").write_bytes(b"changed")  # then it is nobody's sheet but the user's
    write_packet(tmp_path, {"a.svg": b"2"}, "aaaa", permission=Permission(replace=True))
    assert (tmp_path / "a.svg").read_bytes() == b"2"


def test_one_file_alone_goes_over_nothing_but_itself(tmp_path: Path) -> None:
    path = tmp_path / "new" / "a.json"
    for _ in range(2):
        write_alone(path, b"1", Permission())
    with pytest.raises(MayNotReplace):
        write_alone(path, b"2", Permission())
    assert path.read_bytes() == b"1"
    write_alone(path, b"2", Permission(replace=True))
    assert path.read_bytes() == b"2"
    with pytest.raises(MayNotReplace):
        write_alone(path, b"3", Permission(True, (path,)))


def test_why_a_file_was_not_written_comes_whole_out_of_another_process(tmp_path: Path) -> None:
    for fault in (MayNotReplace(tmp_path, "it is yours", "Move it."), CannotWrite(tmp_path, "the disk is full")):
        back = pickle.loads(pickle.dumps(fault))
        assert type(back) is type(fault)
        assert (str(back), back.path, back.reason, back.remedy) == (str(fault), tmp_path, fault.reason, fault.remedy)


def test_a_file_that_may_not_be_read_is_the_users(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "a.svg").write_bytes(b"new")

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    assert refused(tmp_path, {"a.svg": [digest(b"new")]}) is not None
