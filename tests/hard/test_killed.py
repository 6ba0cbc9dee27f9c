"""Writing is killed at every line of it and at random times, runs out of disk, is refused, and meets another run.

After each the folder holds, file by file, the old or the new one whole; the next run makes it whole and leaves nothing
behind that no list knows of.
"""

from __future__ import annotations

import errno
import hashlib
import itertools
import json
import os
import random
import resource
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from diagramgen.kernel.errors import CannotWrite
from diagramgen.writers import atomic_files as writing
from diagramgen.writers import output_folder as packet
from diagramgen.writers import overwriting as permission
from diagramgen.writers.atomic_files import write_all
from diagramgen.writers.output_folder import MANIFEST, write_packet

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="missing: fork")

OLD = {"diagram.svg": b"old diagram " * 9000, "leads.csv": b"old leads", "jig.svg": b"old jig"}
NEW = {"diagram.svg": b"new diagram, longer " * 9000, "leads.csv": b"new leads", "work.svg": b"new work" * 5000}
HOMES = (writing.__file__, packet.__file__, permission.__file__)


def child(work: Callable[[], None]) -> int:
    """Run it in a process of its own; returns its process number."""
    number = os.fork()
    if number == 0:
        status = 1
        try:
            work()
            status = 0
        finally:
            os._exit(status)
    return number


def killed_at(line: int, work: Callable[[], None]) -> bool:
    """Whether the work was killed: at its n-th line inside the writers, before that line was run."""
    def doomed() -> None:
        left = line

        def at_line(frame, event, _):
            nonlocal left
            if event == "line":
                left -= 1
                if left == 0:
                    os.kill(os.getpid(), signal.SIGKILL)
            return at_line

        sys.settrace(lambda frame, event, _: at_line if frame.f_code.co_filename in HOMES else None)
        work()

    _, status = os.waitpid(child(doomed), 0)
    if not os.WIFSIGNALED(status):
        assert os.WEXITSTATUS(status) == 0
    return os.WIFSIGNALED(status)


def sheets(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir() if not p.name.startswith(writing.PASSING)}


def whole(folder: Path) -> None:
    """Every file is the old one or the new one whole, and the list names all there is."""
    listed = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
    known = listed["files"].keys() | listed.get("before", {}).keys()
    for name, data in sheets(folder).items():
        if name != MANIFEST:
            assert data in (OLD.get(name), NEW.get(name)), f"{name} is neither the old nor the new one"
            assert name in known, f"{name} is in no list"


def mended(folder: Path, made: dict[str, bytes], check: str) -> None:
    """The next run finds its way, and nothing is left of the one that was killed."""
    write_packet(folder, made, check)
    assert sheets(folder).keys() == {*made, MANIFEST}
    assert {name: data for name, data in sheets(folder).items() if name != MANIFEST} == made
    assert sorted(p.name for p in folder.iterdir()) == sorted({*made, MANIFEST})


@pytest.mark.parametrize("share", ["every seventh", "all others"])
def test_killed_at_any_line_every_file_is_the_old_or_the_new_one_whole(tmp_path: Path, share: str) -> None:
    points, seen = 0, set()
    for line in itertools.count(1):
        if (line % 7 == 0) != (share == "every seventh"):
            continue
        folder = tmp_path / "o"
        write_packet(folder, OLD, "aaaa")
        if not killed_at(line, lambda where=folder: write_packet(where, NEW, "bbbb")):
            break
        points += 1
        whole(folder)
        seen.add(tuple(data in NEW.values() for name, data in sorted(sheets(folder).items()) if name in NEW))
        mended(folder, OLD if points % 2 else NEW, "cccc")
        write_packet(folder, OLD, "aaaa")
    print(f"killed at {points} points")
    few = share == "every seventh"
    assert points >= (28 if few else 172)
    assert len(seen) >= (3 if few else 4)  # all old, mixtures, all new: before, between and after the renames


def test_killed_in_a_new_folder_nothing_is_there_that_no_list_knows(tmp_path: Path) -> None:
    for point in range(1, 400, 7):
        folder = tmp_path / str(point)
        if not killed_at(point, lambda where=folder: write_packet(where, NEW, "bbbb")):
            break
        if folder.is_dir() and sheets(folder):
            whole(folder)
        mended(folder, OLD, "cccc")
    assert point > 100


def test_killed_at_random_times_every_file_is_the_old_or_the_new_one_whole(tmp_path: Path) -> None:
    dice = random.Random(20240613)

    def forever() -> None:
        while True:
            write_packet(tmp_path, NEW, "bbbb")
            write_packet(tmp_path, OLD, "aaaa")

    write_packet(tmp_path, OLD, "aaaa")
    for _ in range(60):
        number = child(forever)
        time.sleep(dice.uniform(0.002, 0.03))
        os.kill(number, dice.choice((signal.SIGKILL, signal.SIGTERM)))
        os.waitpid(number, 0)
        whole(tmp_path)
    mended(tmp_path, NEW, "cccc")


@pytest.mark.parametrize("limit", [0, 10, 9_000, 100_000, 150_000])
def test_a_disk_that_takes_no_more_leaves_the_old_sheets_and_their_list(tmp_path: Path, limit: int) -> None:
    """RLIMIT_FSIZE stops the write within a file, as a full disk does."""
    write_packet(tmp_path, OLD, "aaaa")
    before = sheets(tmp_path)

    def starved() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
        with pytest.raises(CannotWrite) as caught:
            write_packet(tmp_path, NEW, "bbbb")
        assert caught.value.reason

    _, status = os.waitpid(child(starved), 0)
    assert status == 0
    assert sheets(tmp_path) == before
    assert not list(tmp_path.glob(f"{writing.PASSING}*"))


@pytest.mark.parametrize("turn", range(1, 6))
def test_a_full_disk_at_any_file_leaves_all_as_it_was(tmp_path: Path, monkeypatch, turn: int) -> None:
    write_packet(tmp_path, OLD, "aaaa")
    before, calls = sheets(tmp_path), []

    def full(handle: int) -> None:
        calls.append(handle)
        if len(calls) == turn:
            raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(writing.os, "fsync", full)
    with pytest.raises(CannotWrite, match="No space left"):
        write_packet(tmp_path, NEW, "bbbb")
    assert sheets(tmp_path) == before
    assert len(calls) == turn
    assert not list(tmp_path.glob(f"{writing.PASSING}*"))


def test_a_folder_that_may_not_be_written_is_left_as_it_is(tmp_path: Path, monkeypatch) -> None:
    write_packet(tmp_path, OLD, "aaaa")
    before = sheets(tmp_path)

    def refused(*_args, **_how):
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr(writing.tempfile, "mkstemp", refused)
    with pytest.raises(CannotWrite, match="Read-only file system"):
        write_packet(tmp_path, NEW, "bbbb")
    assert sheets(tmp_path) == before


def test_two_runs_at_once_leave_the_whole_of_one_of_them(tmp_path: Path) -> None:
    for _ in range(12):
        runs = [child(lambda made=made, check=check: write_packet(tmp_path, made, check) and None)
                for made, check in ((OLD, "aaaa"), (NEW, "bbbb"), (OLD, "aaaa"), (NEW, "bbbb"))]
        for number in runs:
            assert os.waitpid(number, 0)[1] == 0
        found = sheets(tmp_path)
        listed = json.loads(found.pop(MANIFEST))
        assert found in (OLD, NEW)
        assert listed == {"file_check": "aaaa" if found == OLD else "bbbb",
                          "files": {n: hashlib.sha256(d).hexdigest() for n, d in sorted(found.items())}}


def test_what_a_killed_run_left_goes_with_the_next_and_a_file_like_it_elsewhere_stays(tmp_path: Path) -> None:
    (tmp_path / f"{writing.PASSING}a1b2c3_d").write_bytes(b"half")
    (tmp_path / f"{writing.PASSING}of-mine.txt").write_bytes(b"a letter")
    (tmp_path / "sub").mkdir()
    (tmp_path / "sub" / f"{writing.PASSING}a1b2c3_d").write_bytes(b"half")
    write_all(tmp_path, {"a.svg": b"1"})
    assert sorted(p.name for p in tmp_path.iterdir()) == [f"{writing.PASSING}of-mine.txt", "a.svg", "sub"]
    assert (tmp_path / "sub" / f"{writing.PASSING}a1b2c3_d").exists()


def test_where_a_folder_cannot_be_held_it_is_written_all_the_same(tmp_path: Path, monkeypatch) -> None:
    """As on Windows, where there is no such lock, and on network disks that refuse it."""
    monkeypatch.setattr(writing, "fcntl", None)
    write_packet(tmp_path, OLD, "aaaa")
    mended(tmp_path, NEW, "bbbb")
