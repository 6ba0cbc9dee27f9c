"""Whether a file may be written where one of that name lies already: the one place where this is decided.

What was written before, and is still as it was written, may be replaced: a list beside it says so (``packet.py``).
Anything else is the user's: it is replaced only when that is asked for. A file that the new one is made from is never
replaced, whatever is asked.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from diagramgen.kernel.errors import CannotWrite

Known = Mapping[str, Collection[str]]
"""Name of a file in the folder -> SHA-256 of what was written there; more than one where a run was cut short."""
LARGEST = 300_000_000
"""Bytes of a file written here at most: a larger one is not looked into."""
SAID = 4
"""Names of further files that are said in one sentence."""


class MayNotReplace(CannotWrite):
    """What lies there is not ours to replace."""


@dataclass(frozen=True)
class Permission:
    """What may be replaced beside what was written before."""

    replace: bool = False
    """Whether the user said that other files of the same name may go."""
    read: tuple[Path, ...] = ()
    """Files that what is written is made from."""


ONLY_OURS = Permission()
"""Nothing is replaced but what was written before."""


def check_permission(folder: Path, files: Mapping[str, bytes], known: Known, permission: Permission) -> None:
    """Raises ``MayNotReplace`` where one of the files may not take its place in the folder, naming every such file."""
    kept = [name for name in sorted(files) if _is_read(folder / name, permission.read)]
    if kept:
        raise MayNotReplace(folder / kept[0], "what is written here is made from this file" + _others(kept),
                            "Choose another folder or name with --out.")
    theirs = [] if permission.replace else [
        name for name in sorted(files) if _is_the_users(folder / name, files[name], known.get(name, ()))]
    if theirs:
        raise MayNotReplace(folder / theirs[0], _why(folder / theirs[0], bool(known.get(theirs[0]))) + _others(theirs),
                            "Choose another folder or name with --out, or move it away; --replace writes over it.")


def is_as_written(path: Path, digests: Collection[str]) -> bool:
    """Whether a file's own SHA-256 is among the digests; a link, and what cannot be read, is nothing that was written
    here."""
    try:
        if path.is_symlink() or not path.is_file() or path.stat().st_size > LARGEST:
            return False
        with path.open("rb") as stream:
            return hashlib.file_digest(stream, "sha256").hexdigest() in digests
    except OSError:
        return False


def _is_the_users(place: Path, data: bytes, digests: Collection[str]) -> bool:
    """A file of other contents than were or will be written. (A folder of that name is refused where it is met.)"""
    if not os.path.lexists(place) or (place.is_dir() and not place.is_symlink()):
        return False
    return not is_as_written(place, {*digests, hashlib.sha256(data).hexdigest()})


def _is_read(place: Path, read: Sequence[Path]) -> bool:
    for path in read:
        try:
            if os.path.samefile(place, path):  # also by a link, or in letters of another case
                return True
        except (OSError, ValueError):  # one of them is not there, or its name cannot be one
            continue
    return False


def _why(place: Path, listed: bool) -> str:
    if place.is_symlink():
        return "a link of that name is there already"
    return ("it was changed since it was written here" if listed else
            "a file of that name is there already, and no list beside it says that diagramgen wrote it")


def _others(names: Sequence[str]) -> str:
    """The further files of which the same holds."""
    if len(names) == 1:
        return ""
    more = [f"'{name}'" for name in names[1:SAID + 1]]
    left = len(names) - 1 - len(more)
    return f"; nor may {', '.join(more)}{f' and {left} more' if left else ''} be replaced"
