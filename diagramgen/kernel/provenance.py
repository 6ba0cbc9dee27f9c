"""Every file a build rests on: read once, bounded, only at or below the build's own folder, and recorded.

The checksum printed on the sheets covers the bytes of the build file, of every file it names and of every
symbol and group used, so that two sheets with the same checksum came from the same data.
"""

from __future__ import annotations

import errno
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath, PureWindowsPath

from diagramgen.kernel.diagnostics import Diagnostics, Location, nearest, spoken
from diagramgen.kernel.file_codes import INP_001, INP_020, INP_021, INP_022, INP_023, INP_024

MAX_BYTES = 2_000_000
"""A drawn outline is a few kilobytes; more than this is the wrong file."""


STREAMS = ("/dev/stdin", "/dev/fd/", "/proc/self/fd/")
"""What a shell calls a pipe that it has opened and fills itself."""


def bytes_up_to(path: Path, limit: int) -> bytes:
    """The bytes of a file, at most ``limit`` of them.

    Raises ``OSError``, also for what is neither a file nor a pipe of the shell's: a named pipe would be waited for
    without end, and a device never ends.
    """
    if not path.is_file() and path.exists() and not str(path).startswith(STREAMS):
        raise OSError(errno.EINVAL, "a folder" if path.is_dir() else "a pipe or a device, not a file")
    with path.open("rb") as stream:
        return stream.read(limit)


def read_bytes(path: Path, say: Diagnostics, limit: int = 1_000_001, what: str = "build file") -> bytes | None:
    """The bytes of a build file (or ``what`` else), at most ``limit``; a problem where it cannot be read."""
    place = Location(spoken(path))
    try:
        if path.is_dir():
            say.add(INP_021, place, f"this is a folder, not a {what}", "Name the file inside it.")
            return None
        data = bytes_up_to(path, limit)
        size = path.stat().st_size if len(data) == limit else len(data)
    except FileNotFoundError:
        near = [p.name for p in path.parent.glob("*.y*ml") if p.is_file()] if path.parent.is_dir() else []
        say.add(INP_020, place, "there is no such file", nearest(path.name, near) or "Check the folder and the name.")
        return None
    except (OSError, RuntimeError) as fault:  # RuntimeError: a loop of links
        say.add(INP_020, place, f"this file cannot be read: {(getattr(fault, 'strerror', '') or str(fault)).lower()}",
                "Check that you may read it.")
        return None
    # The reader refuses what is too large; it must learn the true size without holding the file.
    if size > limit:
        say.add(INP_001, place, f"the file is {size / 1e6:.1f} MB; a {what} is a page or two",
                "The limit is 1 MB. Is this the right file?")
        return None
    return data


@dataclass(frozen=True)
class Source:
    """One file as it was read: what it is for, its size in bytes and its SHA-256."""

    role: str
    """build, file:outline.svg, symbol:pot-24, group:tone-branch."""
    size: int
    sha256: str


class Sources:
    """Reads the files a build names; ``folder`` is the build file's own, or None where it has none."""

    def __init__(self, folder: Path | None = None, limit: int = MAX_BYTES):
        self._folder, self._limit = folder, limit
        self._found: dict[str, Source] = {}
        self._asked: dict[Path, None] = {}
        self._beside: list[Sources] = []

    def beside(self) -> Sources:
        """A reader of the same folder with a record of its own, for another build beside this one."""
        other = Sources(self._folder, self._limit)
        self._beside.append(other)
        return other

    def note(self, role: str, data: bytes) -> None:
        """Record bytes that were read elsewhere (the build file itself, a symbol, a ready group)."""
        self._found[role] = Source(role, len(data), hashlib.sha256(data).hexdigest())

    def read(self, name: str, place: Location, say: Diagnostics, limit: int = 0, advice: str = "") -> bytes | None:
        """The bytes of a file named in the build, or None after a problem was said at ``place``.

        ``limit``: bytes this kind of file may have, in place of the usual; ``advice``: what to do with a larger one.
        """
        most = limit or self._limit
        path = self._allowed(name, place, say)
        if path is None:
            return None
        self._asked[path] = None
        try:
            if path.is_dir():
                say.add(INP_023, place, f"'{name}' is a folder, not a file", "Name the file inside it.")
                return None
            if not path.is_file():
                say.add(INP_022, place, f"the file '{name}' is not there", _instead(name, path))
                return None
            data = bytes_up_to(path, most + 1)
        except OSError as fault:
            reason = fault.strerror or type(fault).__name__
            say.add(INP_023, place, f"the file '{name}' cannot be read: {reason.lower()}",
                    "Check that it is there and that you may read it.")
            return None
        if len(data) > most:
            say.add(INP_024, place, f"the file '{name}' is larger than {most / 1e6:g} MB",
                    advice or "Keep only the outline in it.")
            return None
        self.note(f"file:{PurePosixPath(name)}", data)
        return data

    def _allowed(self, name: str, place: Location, say: Diagnostics) -> Path | None:
        if self._folder is None:
            say.add(INP_020, place, f"'{name}' cannot be read: this build did not come from a file",
                    "Save the build as a file; other files are looked for beside it.")
            return None
        windows = PureWindowsPath(name)
        outside = PurePosixPath(name).is_absolute() or windows.drive or windows.root or "\0" in name
        try:
            path = (self._folder / name).resolve()
            inside = not outside and path.is_relative_to(self._folder.resolve())
        except (OSError, RuntimeError, ValueError):  # a loop of links, a name the system cannot hold
            inside = False
        if not inside:
            say.add(INP_021, place, f"'{name}' lies outside the folder of the build file",
                    "Copy it beside the build file and give its name alone.")
            return None
        return path

    def files(self) -> Mapping[str, Source]:
        """Everything read so far by role, in alphabetical order."""
        return dict(sorted(self._found.items()))

    def everything(self) -> Mapping[str, str]:
        """SHA-256 by role of all that was read, also for builds beside this one: none of it changes unseen."""
        found = {role: source.sha256 for role, source in self._found.items()}
        for other in self._beside:
            found = {role: digest for role, digest in other.everything().items() if role != "build"} | found
        return dict(sorted(found.items()))

    def paths(self) -> tuple[Path, ...]:
        """Every file asked for, here and for builds beside this one, also one that was not there."""
        found = dict(self._asked)
        for other in self._beside:
            found |= dict.fromkeys(other.paths())
        return tuple(found)

    def checksum(self) -> str:
        """SHA-256 (hex) over role and digest of every source; sheets print its first 8 digits."""
        whole = hashlib.sha256()
        for role, source in self.files().items():
            whole.update(f"{role}\0{source.sha256}\n".encode())
        return whole.hexdigest()


def _instead(name: str, path: Path) -> str:
    """What may have been meant by a name that works on another system and not on this one."""
    if "\\" in name:
        return f"Write folders with strokes that work on every system: {PureWindowsPath(name).as_posix()}"
    try:
        near = sorted(p.name for p in path.parent.iterdir() if p.name.casefold() == path.name.casefold())
    except OSError:
        near = []
    if near:
        return f"There is '{near[0]}': capital and small letters count on some systems. Write it as the file is called."
    return "Check the name; it counts from the folder of the build file."
