"""Files that appear whole or not at all."""

from __future__ import annotations

import contextlib
import os
import re
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path

from diagramgen.kernel.errors import CannotWrite

try:
    import fcntl
except ImportError:  # pragma: no cover - there is none on Windows
    fcntl = None  # type: ignore[assignment]

DEVICES = {"CON", "PRN", "AUX", "NUL", *(f"{port}{n}" for port in ("COM", "LPT") for n in range(1, 10))}
PASSING = ".diagramgen-writing-"
"""What the names of files begin with that are not whole yet; eight letters or figures follow."""
_PASSING_NAME = re.compile(re.escape(PASSING) + "[a-z0-9_]{8}")


def write_all(folder: Path, files: Mapping[str, bytes]) -> list[Path]:
    """Write the named files into ``folder``, making it if needed; returns their paths in order of names.

    All are first written beside their places under other names and flushed to the disk, then renamed, so
    that no file is ever seen half-written and a failure while writing leaves all old files as they were.
    A failure between two renames can leave new files beside old ones. Names may hold ``/`` for folders
    inside ``folder`` but never lead out of it. Raises ``CannotWrite``.
    """
    _fits_everywhere(folder, files)
    with only_one(folder):
        return write_ordered(folder, {}, files, {})


def write_ordered(
    folder: Path, first: Mapping[str, bytes], files: Mapping[str, bytes], last: Mapping[str, bytes],
    between: Callable[[], None] = lambda: None, check: Callable[[], None] = lambda: None,
) -> list[Path]:
    """The same for who holds the folder by ``only_one``: all is staged before the first rename, then ``first`` comes,
    the files, what ``between`` does, and ``last``. Returns the paths of the files. ``check`` is called when all is
    staged: what it raises leaves everything as it was."""
    _fits_everywhere(folder, {**files, **last})
    order = [(_place(folder, name), group[name]) for group in (first, files, last) for name in sorted(group)]
    turn = len(first) + len(files)
    staged: list[Path] = []
    moved = 0
    try:
        for place, data in order:
            staged.append(_stage(place, data))
        check()
        for place, _ in order[:turn]:
            _rename(staged[moved], place)
            moved += 1
        between()
        for place, _ in order[turn:]:
            _rename(staged[moved], place)
            moved += 1
    finally:
        for left in staged[moved:]:
            with contextlib.suppress(OSError):
                left.unlink()
    for parent in sorted({place.parent for place, _ in order}):
        _flush_folder(parent)
    return [place for place, _ in order[len(first):turn]]


@contextlib.contextmanager
def only_one(folder: Path) -> Iterator[None]:
    """Hold the folder: another run that writes into it waits. What a killed run left half-written there goes.

    The system frees the folder when the program ends, however it ends. Where the system cannot hold a folder
    (Windows, some network disks) two runs at once can leave sheets of both; each sheet bears its file check.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise CannotWrite(folder, _reason(problem)) from problem
    handle = -1
    try:
        with contextlib.suppress(OSError):
            if fcntl is not None:
                handle = os.open(folder, os.O_RDONLY)
                fcntl.flock(handle, fcntl.LOCK_EX)
                for left in folder.glob(f"{PASSING}*"):
                    if _PASSING_NAME.fullmatch(left.name):
                        left.unlink()
        yield
    finally:
        if handle >= 0:
            os.close(handle)


def _rename(staged: Path, place: Path) -> None:
    try:
        staged.replace(place)
    except OSError as problem:
        raise CannotWrite(place, _reason(problem)) from problem


def _fits_everywhere(folder: Path, names: Iterable[str]) -> None:
    """Every name leads into the folder, and no two are one name where capital and small letters are the same."""
    seen: dict[str, str] = {}
    for name in sorted(names):
        place = _place(folder, name)
        if (other := seen.setdefault(name.casefold(), name)) != name:
            raise CannotWrite(place, f"where capital and small letters are the same it would replace '{other}'")


def _place(folder: Path, name: str) -> Path:
    place = folder / name
    inside = Path(name).parts
    if not inside or Path(name).is_absolute() or ".." in inside or "\\" in name or "\0" in name:
        raise CannotWrite(place, "the name leads out of the folder")
    if any(_is_device(part) for part in inside) and os.name == "nt":
        raise CannotWrite(place, "Windows keeps this name for a device")
    if not place.resolve().is_relative_to(folder.resolve()):
        raise CannotWrite(place, "a link in the folder leads out of it")
    return place


def _is_device(name: str) -> bool:
    """Whether Windows opens a device of this name, in any folder and with any ending."""
    return name.partition(".")[0].rstrip(" ").upper() in DEVICES


def _stage(place: Path, data: bytes) -> Path:
    """Write the bytes under a passing name beside their place; leaves nothing behind when it fails."""
    staged: Path | None = None
    try:
        if place.is_dir():
            raise CannotWrite(place, "there is a folder of that name")
        place.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=PASSING, dir=place.parent)
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
