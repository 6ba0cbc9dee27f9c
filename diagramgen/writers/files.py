"""Files that appear whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path


class CannotWrite(Exception):  # noqa: N818 - it says what is the case, in the user's words
    """A file could not be written; ``path`` says which and ``reason`` why."""

    def __init__(self, path: Path, reason: str):
        super().__init__(f"cannot write {path}: {reason}")
        self.path = path
        self.reason = reason


def write_all(folder: Path, files: Mapping[str, bytes]) -> list[Path]:
    """Write the named files into ``folder``, making it if needed; returns their paths in order of names.

    All are first written beside their places under other names and flushed to the disk, then renamed, so
    that no file is ever seen half-written and a failure while writing leaves all old files as they were.
    A failure between two renames can leave new files beside old ones. Names may hold ``/`` for folders
    inside ``folder`` but never lead out of it. Raises ``CannotWrite``.
    """
    places = {name: _place(folder, name) for name in sorted(files)}
    staged: dict[str, Path] = {}
    try:
        for name, place in places.items():
            staged[name] = _stage(place, files[name])
        for name, place in places.items():
            try:
                staged[name].replace(place)
            except OSError as problem:
                raise CannotWrite(place, _reason(problem)) from problem
            del staged[name]
    finally:
        for left in staged.values():
            with contextlib.suppress(OSError):
                left.unlink()
    for parent in sorted({place.parent for place in places.values()}):
        _flush_folder(parent)
    return list(places.values())


def _place(folder: Path, name: str) -> Path:
    place = folder / name
    inside = Path(name).parts
    if not inside or Path(name).is_absolute() or ".." in inside or "\\" in name or "\0" in name:
        raise CannotWrite(place, "the name leads out of the folder")
    if not place.resolve().is_relative_to(folder.resolve()):
        raise CannotWrite(place, "a link in the folder leads out of it")
    return place


def _stage(place: Path, data: bytes) -> Path:
    """Write the bytes under a passing name beside their place; leaves nothing behind when it fails."""
    staged: Path | None = None
    try:
        if place.is_dir():
            raise CannotWrite(place, "there is a folder of that name")
        place.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=".writing-", dir=place.parent)
        staged = Path(name)
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        staged.chmod(_mode(place))
    except OSError as problem:
        if staged is not None:
            with contextlib.suppress(OSError):
                staged.unlink()
        raise CannotWrite(place, _reason(problem)) from problem
    return staged


def _mode(place: Path) -> int:
    """The rights of the file that is replaced, else those a plain new file would get."""
    if place.exists():
        return place.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _flush_folder(folder: Path) -> None:
    """Make the renames last through a power cut, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _reason(problem: OSError) -> str:
    return problem.strerror or str(problem)
